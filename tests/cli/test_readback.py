"""`templgen readback`: files that came back from a shop or a mail program."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from msgspec.structs import replace

from templgen import cli
from templgen.build.demo import demo_job

Capture = pytest.CaptureFixture[str]
Run = Callable[..., tuple[int, str]]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's result folder."""
    out = tmp_path_factory.mktemp("built") / "out"
    assert cli.run(["demo", "--out", str(out), "--no-previews"]) == cli.EXIT_DONE
    return out


@pytest.fixture
def run(capsys: Capture, tmp_path: Path) -> Run:
    """Read a file back against the demo job; return exit code and what is printed."""

    def readback(data: bytes, name: str, job: Path | None = None, *more: str) -> tuple[int, str]:
        path = tmp_path / name
        path.write_bytes(data)
        capsys.readouterr()
        code = cli.run(["readback", str(path), "--against", str(job or demo_job()), *more])
        told = capsys.readouterr()
        return code, told.out + told.err

    return readback


PLATE = "cut/base-plate.dxf"
TEMPLATE = "sheets/01-template-mast.svg"


@pytest.mark.parametrize("name", [PLATE, "cut/rib-clip.dxf", TEMPLATE, "sheets.pdf"])
def test_a_file_that_was_not_touched(name: str, built: Path, run: Run) -> None:
    code, told = run((built / name).read_bytes(), Path(name).name)
    assert code == cli.EXIT_DONE
    assert "the file is the same" in told
    assert "differs" not in told


def test_a_hole_that_was_moved(built: Path, run: Run) -> None:
    data = (built / PLATE).read_text()
    hole = re.search(r"AcDbEntity\n  8\ndo_not_cut\n100\nAcDbCircle\n 10\n(.*)\n", data)
    assert hole is not None
    moved = f"{data[: hole.start(1)]}{float(hole[1]) + 0.31}{data[hole.end(1) :]}"
    code, told = run(moved.encode(), "plate-final.dxf")
    assert code == cli.EXIT_FINDINGS
    assert "compared with the part 'base plate' of mast.toml" in told
    assert re.search(r"^differs: hole \d+ at .* moved 0\.31 mm \(0\.012 in\)", told, re.M)
    assert "; 1 difference\n" in told


def test_a_shop_that_keeps_no_comments(built: Path, run: Run) -> None:
    """Without what the file says about itself, a part is found by its words or its shapes."""
    data = re.sub(r"(?m)^999\n.*\n", "", (built / PLATE).read_text())
    code, told = run(data.encode(), "order-4711.dxf")
    assert (code, "the part 'base plate'" in told) == (cli.EXIT_DONE, True)
    assert "note: the file no longer says about itself: digest" in told

    bare = re.sub(r"  0\nTEXT\n(?:(?!  0\n).*\n(?!  0\n).*\n)*", "", data)
    code, told = run(bare.encode(), "order-4711.dxf")
    assert (code, "the part 'base plate'" in told) == (cli.EXIT_FINDINGS, True)
    assert "differs: the layer 'note' is lost" in told


def test_a_file_of_another_state_of_the_job(built: Path, run: Run, tmp_path: Path) -> None:
    job = tmp_path / "mast.toml"
    job.write_text(demo_job().read_text().replace("[-1.25, 1.6]", "[-1.30, 1.6]"))
    code, told = run((built / PLATE).read_bytes(), "base-plate.dxf", job)
    assert code == cli.EXIT_FINDINGS
    first, second = told.splitlines()[:2]
    assert "digest" in first
    assert "it was made from another state of the job" in second
    assert "moved 1.27 mm (0.050 in)" in told


def test_a_sheet_without_its_unit(built: Path, run: Run) -> None:
    data = (
        (built / TEMPLATE)
        .read_bytes()
        .replace(b'mm" viewBox', b'" viewBox')
        .replace(b'mm" width', b'" width')
    )
    data = re.sub(rb'(width|height)="([\d.]+)mm"', rb'\1="\2"', data, count=2)
    code, told = run(data, "mail.svg")
    assert code == cli.EXIT_FINDINGS
    assert "the sheet 'Template: mast'" in told
    assert "pixels of 1/96 in were taken for millimetres" in told


def pages(data: bytes, change: Callable[[pikepdf.Pdf], None]) -> bytes:
    buffer = BytesIO()
    with pikepdf.open(BytesIO(data)) as document:
        change(document)
        document.save(buffer)
    return buffer.getvalue()


def test_one_page_of_the_pdf(built: Path, run: Run) -> None:
    def keep_second(document: pikepdf.Pdf) -> None:
        del document.pages[2:]
        del document.pages[0]

    code, told = run(pages((built / "sheets.pdf").read_bytes(), keep_second), "page.pdf")
    assert code == cli.EXIT_DONE
    assert "the sheet 'Rough template: mast'" in told


def test_pages_that_are_missing_or_in_another_order(built: Path, run: Run) -> None:
    def change(document: pikepdf.Pdf) -> None:
        del document.pages[-1]
        document.pages.reverse()

    code, told = run(pages((built / "sheets.pdf").read_bytes(), change), "page.pdf")
    assert code == cli.EXIT_FINDINGS
    assert "differs: pages are missing: the sheet 'Drill schedule" in told
    assert "differs: the pages are in another order" in told
    assert told.count("differs") == 2


def test_a_sheet_on_other_paper_is_asked_for(built: Path, run: Run) -> None:
    data = (built / TEMPLATE).read_bytes()
    code, told = run(data, "sheet.svg", None, "--paper", "a4")
    assert (code, "the page is" in told) == (cli.EXIT_FINDINGS, True)


@pytest.mark.parametrize(
    ("data", "words"),
    [(b"", "is no SVG, no PDF and no DXF"), (b"<svg", "not an SVG file"), (b"%PDF-1.6", "not a PDF")],
)
def test_what_can_not_be_read(data: bytes, words: str, run: Run) -> None:
    code, told = run(data, "file.bin")
    assert (code, words in told) == (cli.EXIT_CANNOT_RUN, True)


def test_a_file_of_something_else(run: Run) -> None:
    from templgen.drawing import CircleMark, Meaning, PageInfo
    from templgen.exporters.dxf import dxf_bytes
    from templgen.geometry import Vec
    from tests.unit.proof.plate import part

    other = replace(part(), info=PageInfo("Other", ""), items=(CircleMark(Vec(0, 0), 77.0, Meaning.CUT),))
    code, told = run(dxf_bytes(other), "other.dxf")
    assert (code, "is like nothing of this job" in told) == (cli.EXIT_CANNOT_RUN, True)


def test_a_file_that_is_not_there(tmp_path: Path, capsys: Capture) -> None:
    code = cli.run(["readback", str(tmp_path / "no.dxf"), "--against", str(demo_job())])
    assert (code, "can not read" in capsys.readouterr().err) == (cli.EXIT_CANNOT_RUN, True)


def test_the_job_beside_it_is_not_touched(built: Path, run: Run, tmp_path: Path) -> None:
    job = Path(shutil.copy(demo_job(), tmp_path))
    run((built / PLATE).read_bytes(), "base-plate.dxf", job)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["base-plate.dxf", "mast.toml"]


def test_a_writer_that_errs_is_our_own_bug(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: Capture
) -> None:
    from templgen.exporters import dxf

    monkeypatch.setattr(dxf, "layer_name", lambda meaning: meaning.name)
    assert cli.run(["demo", "--out", str(tmp_path / "out"), "--no-previews"]) == cli.EXIT_OUR_BUG
    told = capsys.readouterr().err
    assert "this is a fault of templgen, not yours: ReadBackError: cut/base-plate.dxf does not hold" in told
    assert not (tmp_path / "out").exists()
    Path(told.rpartition(" ")[2].strip()).unlink()
