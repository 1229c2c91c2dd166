"""Read-back in the pipeline: nothing is released that does not hold its drawing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from templgen.build.demo import demo_job
from templgen.build.readback import Proven, Written, prove
from templgen.build.write import build_job
from templgen.drawing import Drawing
from templgen.errors import ExportError, ReadBackError
from templgen.exporters import dxf, pdf, svg
from tests.unit.proof.plate import part, sheet


def test_what_was_read_is_counted() -> None:
    files = [
        Written("a.svg", "svg", svg.svg_bytes(sheet()), (sheet(),)),
        Written("a.dxf", "dxf", dxf.dxf_bytes(part()), (part(),)),
    ]
    proven = prove(files)
    assert (proven.files, proven.shapes, proven.words) == (2, 218 + 11, 4 + 2)
    assert 0.0 < proven.largest_deviation_mm < 0.001


def test_it_is_told_in_one_line() -> None:
    told = str(Proven(9, 214, 60, 0.000_41))
    assert told == "read back: 214 shapes in 9 files, largest deviation 0.4 um"
    assert str(Proven(1, 1, 0, 0.0)) == "read back: 1 shape in 1 file, largest deviation 0.0 um"


def test_a_file_that_does_not_hold_its_drawing_is_no_output() -> None:
    data = dxf.dxf_bytes(part()).replace(b"\n121.5\n", b"\n121.81\n")
    with pytest.raises(ReadBackError, match=r"a\.dxf does not hold its drawing: hole 6 .* moved 0\.31 mm"):
        prove([Written("a.dxf", "dxf", data, (part(),))])


def test_a_file_that_can_not_be_read_is_no_output() -> None:
    with pytest.raises(ReadBackError, match=r"a\.pdf can not be read back: not a PDF"):
        prove([Written("a.pdf", "pdf", b"", (sheet(),))])


def test_many_differences_are_cut_short() -> None:
    empty = svg.svg_bytes(Drawing((), sheet().info, 100.0, 100.0))
    with pytest.raises(ReadBackError, match=r"; and \d+ more$"):
        prove([Written("a.svg", "svg", empty, (sheet(),))])


def test_it_counts_as_our_own_bug() -> None:
    assert issubclass(ReadBackError, ExportError)


def _moved(data: bytes) -> bytes:
    """Return an SVG whose first circle lies 0.01 mm off."""
    head, tail = data.split(b' cx="', 1)
    place, rest = tail.split(b'"', 1)
    return head + b' cx="' + f"{float(place) + 0.01:.4f}".encode() + b'"' + rest


@pytest.mark.parametrize("kind", ["svg", "pdf", "dxf"])
def test_a_writer_that_errs_releases_nothing(
    kind: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Each writer is broken in turn: a hole off by 0.01 mm, a page lost, a layer renamed."""
    out = tmp_path / "out"
    build_job(demo_job(), out, previews=False)
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    if kind == "svg":
        write_svg = svg.svg_bytes
        monkeypatch.setattr(svg, "svg_bytes", lambda drawing: _moved(write_svg(drawing)))
    elif kind == "pdf":
        write_pdf = pdf.pdf_bytes
        monkeypatch.setattr(pdf, "pdf_bytes", lambda drawings, **more: write_pdf(drawings[:-1]))
    else:
        monkeypatch.setattr(dxf, "layer_name", lambda meaning: meaning.name)
    with pytest.raises(ReadBackError, match=rf"\.{kind} "):
        build_job(demo_job(), out, previews=False)
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_the_result_stands_in_the_report(tmp_path: Path) -> None:
    built = build_job(demo_job(), tmp_path / "out", previews=False)
    assert str(built.proven) in (tmp_path / "out" / "checks.txt").read_text().splitlines()
    told = json.loads((tmp_path / "out" / "checks.json").read_text())["read_back"]
    written = [path for path in (tmp_path / "out").rglob("*") if path.suffix in {".svg", ".pdf", ".dxf"}]
    assert told["files"] == len(written) == built.proven.files
    assert told["shapes"] == built.proven.shapes > 1000
    assert told["largest_deviation_mm"] == pytest.approx(built.proven.largest_deviation_mm, abs=1e-7)
