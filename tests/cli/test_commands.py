"""Every command and every exit code, stdout and stderr apart."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest

from templgen import cli
from templgen.build.demo import demo_job

Capture = pytest.CaptureFixture[str]


def names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def edited(tmp_path: Path, old: str, new: str) -> Path:
    """Return a copy of the demo's job file with one text replaced."""
    text = demo_job().read_text()
    assert text.count(old) >= 1
    path = tmp_path / "job.toml"
    path.write_text(text.replace(old, new))
    return path


def test_the_demo_is_written_and_told(tmp_path: Path, capsys: Capture) -> None:
    out = tmp_path / "demo"
    assert cli.run(["demo", "--out", str(out)]) == cli.EXIT_DONE
    told = capsys.readouterr()
    assert told.err == ""
    written = names(out)
    assert {"sheets.pdf", "checks.txt", "checks.json", "drill-schedule.csv", "job.toml"} <= written
    assert {"cut/base-plate.dxf", "cut/rib-clip.dxf"} <= written
    listed = told.out.split(f"wrote {out}:\n")[1].splitlines()
    assert [line.strip() for line in listed if line.startswith("  ")] == sorted(written)


def test_all_files_carry_the_digest_of_the_job(tmp_path: Path) -> None:
    out = tmp_path / "demo"
    assert cli.run(["demo", "--out", str(out), "--no-previews"]) == cli.EXIT_DONE
    digest = json.loads((out / "templgen.json").read_text())["digest"]
    text = [p for p in out.rglob("*") if p.suffix in {".svg", ".dxf", ".csv", ".txt", ".json"}]
    assert len(text) > 8
    assert [p.name for p in text if digest.encode() not in p.read_bytes()] == []


def test_pass_then_fail_leaves_no_cut_file_and_no_old_digest(tmp_path: Path, capsys: Capture) -> None:
    out = tmp_path / "result"
    good = edited(tmp_path, 'title = "Air', 'title = "An air')
    assert cli.run(["build", str(good), "--out", str(out), "--no-previews"]) == cli.EXIT_DONE
    old = json.loads((out / "templgen.json").read_text())["digest"]
    capsys.readouterr()

    bad = edited(tmp_path, "[2.5, 0.0], [-2.5, 0.0]", "[2.9, 0.0], [-2.5, 0.0]")
    assert cli.run(["build", str(bad), "--out", str(out), "--no-previews"]) == cli.EXIT_FINDINGS
    told = capsys.readouterr().out
    assert "error hole-too-near-edge" in told
    assert "no cut file was written" in told
    assert not [name for name in names(out) if name.endswith(".dxf")]
    assert json.loads((out / "templgen.json").read_text())["may_cut"] is False
    assert all("DO NOT CUT" in p.read_text() for p in (out / "sheets").glob("*template*.svg"))
    assert all(old not in p.read_bytes().decode("latin-1") for p in out.rglob("*") if p.is_file())
    assert "cut/base-plate.dxf" in names(tmp_path / "result-superseded-1")


@pytest.mark.parametrize(
    ("old", "new"),
    [('unit = "in"', 'unit = "feet"'), ("thickness = 0.032", "thickness = 0,032"), ("gap =", "gab =")],
)
def test_a_faulty_job_leaves_the_old_folder_untouched(
    tmp_path: Path, capsys: Capture, old: str, new: str
) -> None:
    out = tmp_path / "result"
    sound = edited(tmp_path, "Air-data", "Air data")
    assert cli.run(["build", str(sound), "--out", str(out), "--no-previews"]) == cli.EXIT_DONE
    before = {name: (out / name).read_bytes() for name in names(out)}
    capsys.readouterr()
    faulty = edited(tmp_path, old, new)
    assert cli.run(["build", str(faulty), "--out", str(out)]) == cli.EXIT_CANNOT_RUN
    told = capsys.readouterr()
    assert told.out == ""
    assert all(re.match(rf"{re.escape(str(faulty))}:\d+:\d+: ", line) for line in told.err.splitlines())
    assert {name: (out / name).read_bytes() for name in names(out)} == before


def test_same_job_same_bytes(tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert cli.run(["demo", "--out", str(tmp_path / name)]) == cli.EXIT_DONE
    one, two = ({n: (tmp_path / d / n).read_bytes() for n in names(tmp_path / d)} for d in ("one", "two"))
    assert one == two


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["check", "missing.toml"], "missing.toml"),
        (["demo", "mats"], "mast"),
        (["new", "mats"], "mast"),
        (["rules", "hole-to-near-edge"], "hole-too-near-edge"),
        (["shapes", "circel"], "circle"),
        (["bild"], "build"),
        (["build"], "JOB"),
        (["demo", "--paper", "a7"], "paper"),
    ],
)
def test_what_can_not_run_says_what_there_is(arguments: list[str], said: str, capsys: Capture) -> None:
    assert cli.run(arguments) == cli.EXIT_CANNOT_RUN
    told = capsys.readouterr()
    assert said in told.err
    assert "Traceback" not in told.err


def test_what_is_too_large_for_the_paper_is_tiled(tmp_path: Path, capsys: Capture) -> None:
    job = edited(tmp_path, "length = 6.0, width = 4.0", "length = 11.0, width = 4.0")
    out = tmp_path / "x"
    cli.run(["build", str(job), "--out", str(out), "--paper", "letter", "--no-previews"])
    assert "read back" in capsys.readouterr().out
    assert len([name for name in names(out) if "template-mast-tile-" in name]) > 1


def test_over_50_tiles_are_refused_and_nothing_is_written(tmp_path: Path, capsys: Capture) -> None:
    job = tmp_path / "job.toml"
    far = "points = [" + ", ".join(f"[{x}, {y}]" for x in (0, 1500, 3000) for y in (0, 1500, 3000)) + "]"
    job.write_text(
        f"""title = "Far apart"
unit = "mm"
hand = "left"
measured_on = "outside"
measured_to = 0.3
drilled_to = {{ locating = 0.2, rivet = 0.2, screw = 0.2, hole = 0.3, cut = 0.3 }}
axes = {{ origin = "corner", x = "aft", y = "outboard" }}
skin = {{ material = "2024-T3 clad", thickness = 0.8, room_behind = 60, surface = "lower" }}
fastener = {{ r = {{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#30" }} }}
[[pattern]]
name = "far"
at = {{ x = 0, y = 0 }}
holes = {{ fastener = "r", {far} }}
"""
    )
    assert cli.run(["build", str(job), "--out", str(tmp_path / "x"), "--paper", "letter"]) == 2
    assert re.search(r"more than 50.*--many-pages", capsys.readouterr().err)
    assert not (tmp_path / "x").exists()


@pytest.mark.parametrize("paper", ["a7", "rol 36 in", "roll 3 mm", "a0", "letter, margin 90 mm"])
def test_paper_that_is_none_is_refused(paper: str, capsys: Capture) -> None:
    assert cli.run(["build", str(demo_job()), "--paper", paper]) == cli.EXIT_CANNOT_RUN
    assert "--paper" in capsys.readouterr().err


@pytest.mark.parametrize("paper", ["a7", "a5", "a2", "ansi-c"])
def test_the_papers_that_are_named_are_those_of_the_readme(paper: str, capsys: Capture) -> None:
    assert cli.run(["build", str(demo_job()), "--paper", paper]) == cli.EXIT_CANNOT_RUN
    named = re.findall(r"allowed: (.*), roll WIDTH", capsys.readouterr().err)
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert named == re.findall(r"Papers are (.*), or a roll", readme)


def test_our_own_bug_is_one_line_and_a_file(monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    def broken(*arguments: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("templgen.build.check.check_job", broken)
    assert cli.run(["check", str(demo_job())]) == cli.EXIT_OUR_BUG
    (line,) = capsys.readouterr().err.splitlines()
    file = Path(line.rsplit("traceback in ", 1)[1])
    assert "ZeroDivisionError: division by zero" in line
    assert "in broken" in file.read_text()
    file.unlink()


def test_findings_as_json(capsys: Capture) -> None:
    assert cli.run(["check", str(demo_job()), "--json"]) == cli.EXIT_DONE
    document = json.loads(capsys.readouterr().out)
    assert document["schema"] == "templgen-check/1"
    assert document["may_cut"] is True
    accepted = [f for f in document["findings"] if f["accepted"]]
    assert [f["rule"] for f in accepted] == ["hole-too-near-edge"]


@pytest.mark.parametrize("kind", ["mast", "holes", "cutout", "part", "bracket"])
def test_every_starter_builds_as_it_stands(kind: str, tmp_path: Path, capsys: Capture) -> None:
    job = tmp_path / f"{kind}.toml"
    assert cli.run(["new", kind, "--to", str(job)]) == cli.EXIT_DONE
    assert cli.run(["build", str(job), "--out", str(tmp_path / "out"), "--no-previews"]) == cli.EXIT_DONE
    assert cli.run(["new", kind, "--to", str(job)]) == cli.EXIT_CANNOT_RUN  # nothing is overwritten
    capsys.readouterr()


def test_a_mast_starter_brings_its_measuring_sheet(tmp_path: Path) -> None:
    assert cli.run(["new", "mast", "--to", str(tmp_path / "m.toml")]) == cli.EXIT_DONE
    assert (tmp_path / "m-measuring-sheet.pdf").read_bytes().startswith(b"%PDF")


def test_a_starter_goes_to_standard_output(capsys: Capture) -> None:
    from templgen.job.starters import starter

    assert cli.run(["new", "part"]) == cli.EXIT_DONE
    assert capsys.readouterr().out == starter("part")


def test_shapes_and_rules_are_listed(capsys: Capture) -> None:
    from templgen.checks.registry import RULES
    from templgen.shapes import ShapeLibrary

    assert cli.run(["shapes"]) == cli.EXIT_DONE
    told = capsys.readouterr().out
    assert [name for name in ShapeLibrary.standard().names() if name not in told] == []
    assert cli.run(["rules"]) == cli.EXIT_DONE
    told = capsys.readouterr().out
    assert [rule.name for rule in RULES if rule.name not in told] == []


def test_a_link_in_the_way_is_refused(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "real").mkdir()
    os.symlink(tmp_path / "real", tmp_path / "link")
    assert cli.run(["demo", "--out", str(tmp_path / "link")]) == cli.EXIT_CANNOT_RUN
    assert "not a folder" in capsys.readouterr().err
