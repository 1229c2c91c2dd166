"""`templgen proof measured` and `templgen build --printer`, from the print to the corrected reprint.

The printer is simulated (see `tests.printer`).
"""

from __future__ import annotations

import math
import random
import tomllib
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import pytest

from templgen import cli
from templgen.build.demo import demo_job
from templgen.geometry import Bounds
from templgen.job.starters import starter
from templgen.proof.readers.pdf import read_pdf
from templgen.sheets.proving import crosses_of
from tests.printer import Printer, lengths
from tests.unit.sheets.support import built

Capture = pytest.CaptureFixture[str]


def typed(found: Sequence[float], read: Callable[[float], str]) -> list[str]:
    """The four lengths as options."""
    names = ("--x", "--y", "--diagonal", "--diagonal")
    return [part for name, value in zip(names, found, strict=True) for part in (name, read(value))]


def to_tenths(value: float) -> str:
    """To the nearest 0.2 mm: off by 0.1 mm at most."""
    return f"{round(value * 5) / 5:.1f}mm"


@cache
def crosses_of_sheet(number: int) -> Bounds:
    """The crosses of a sheet of the job below."""
    box = crosses_of(built(starter("part"))[number - 1].drawing)
    assert box is not None
    return box


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A doubler with its holes round an opening, on upright letter paper."""
    path = tmp_path / "doubler.toml"
    path.write_text(starter("part"))
    return path


def measured(job: Path, *arguments: str) -> int:
    return cli.run(["proof", "measured", str(job), *arguments])


def build(job: Path, out: Path, *arguments: str) -> Path:
    assert cli.run(["build", str(job), "--out", str(out), "--no-previews", *arguments]) == cli.EXIT_DONE
    return out / "sheets.pdf"


def sides(x: float, y: float) -> list[str]:
    """Both sides of the job's first sheet, in inches, times a factor each."""
    box = crosses_of_sheet(1)
    return ["--x", f"{box.width / 25.4 * x:.5f} in", "--y", f"{box.height / 25.4 * y:.5f} in"]


SEEDS = range(3)


@pytest.mark.parametrize("seed", SEEDS)
def test_print_measure_verdict_corrected_reprint_passes(
    job: Path, tmp_path: Path, capsys: Capture, seed: int
) -> None:
    rng = random.Random(seed)
    off = [rng.choice([-1, 1]) * rng.uniform(0.004, 0.008) for _ in range(2)]
    printer = Printer(1.0 + off[0], 1.0 + off[1], rng.uniform(-0.002, 0.002), rng.uniform(-1.0, 1.0))
    records = tmp_path / "printers"
    known = ["--read-to", "0.1mm", "--printer", "garage", "--records", str(records), "--save"]

    first = lengths(build(job, tmp_path / "first"), printer)
    assert measured(job, *typed(first, to_tenths), *known) == cli.EXIT_FINDINGS
    told = capsys.readouterr().out
    assert "OUTSIDE the tolerance" in told
    assert f"kept in {records / 'garage.toml'}: correction 1" in told

    using = ["--printer", "garage", "--records", str(records)]
    second = lengths(build(job, tmp_path / "second", *using), printer)
    assert "CORRECTED FOR PRINTER garage" in capsys.readouterr().out
    assert measured(job, *typed(second, to_tenths), *known, "--corrected", "1") == cli.EXIT_DONE
    told = capsys.readouterr().out
    assert "INSIDE the tolerance" in told
    assert "the print is inside the tolerance, correction 1 stays" in told


def test_without_rounding_the_corrected_print_is_true(tmp_path: Path) -> None:
    """The correction is the inverse of the measured error, on upright pages and on those on their side."""
    printer = Printer(0.9951, 1.0062, 0.0021, 40.0)
    records = ["--printer", "shed", "--records", str(tmp_path)]
    plain = build(demo_job(), tmp_path / "plain")
    exact = typed(lengths(plain, printer), lambda value: f"{value:.6f}mm")
    assert measured(demo_job(), *exact, "--read-to", "0.01mm", *records, "--save") == cli.EXIT_FINDINGS
    corrected = build(demo_job(), tmp_path / "corrected", *records)
    pages = read_pdf(corrected.read_bytes()).pages
    drawn = [n for n, page in enumerate(pages, 1) if "A to B" in page.text]
    assert {pages[n - 1].width > pages[n - 1].height for n in drawn} == {True, False}
    for number in drawn:
        on_paper = lengths(corrected, printer, number)
        words = pages[number - 1].text
        for what, length in zip(("A to B", "A to D", "A to C", "D to B"), on_paper, strict=True):
            printed = float(words.split(f"{what} ")[1].split(" in")[0]) * 25.4
            # The record keeps six places and a diagonal is printed to 0.001 in.
            assert length == pytest.approx(printed, abs=0.013 if "C" in what or "D to" in what else 0.001)


def test_a_record_corrects_paper_and_never_metal(job: Path, tmp_path: Path) -> None:
    records = ["--printer", "shed", "--records", str(tmp_path)]
    assert measured(job, *sides(0.995, 1.0), "--read-to", "0.1mm", *records, "--save") == cli.EXIT_FINDINGS
    build(job, tmp_path / "plain")
    build(job, tmp_path / "corrected", *records)
    for name in ("cut/doubler.dxf", "drill-schedule.csv"):
        assert (tmp_path / "plain" / name).read_bytes() == (tmp_path / "corrected" / name).read_bytes()
    svgs = sorted((tmp_path / "corrected" / "sheets").glob("*.svg"))
    assert svgs
    for path in svgs:
        text = path.read_text()
        assert text.count('id="printer-correction"') == 1, path.name
        assert "CORRECTED FOR PRINTER shed" in text
    pages = read_pdf((tmp_path / "corrected" / "sheets.pdf").read_bytes()).pages
    assert all("CORRECTED FOR PRINTER shed" in page.text for page in pages)


def test_a_printer_that_prints_true_is_kept_and_changes_nothing(
    job: Path, tmp_path: Path, capsys: Capture
) -> None:
    records = ["--printer", "true one", "--records", str(tmp_path / "printers")]
    assert measured(job, *sides(1.0, 1.0), "--read-to", "0.1mm", *records, "--save") == cli.EXIT_DONE
    assert "the print is inside the tolerance, no correction" in capsys.readouterr().out
    build(job, tmp_path / "known", *records)
    assert "the record of printer true one holds no correction" in capsys.readouterr().out
    for path in (tmp_path / "known" / "sheets").glob("*.svg"):
        assert "printer-correction" not in path.read_text()
        assert "true one, not corrected" in path.read_text()


def test_the_same_job_and_record_give_the_same_files(job: Path, tmp_path: Path) -> None:
    records = ["--printer", "shed", "--records", str(tmp_path)]
    plain = lengths(build(job, tmp_path / "plain"), Printer(0.994, 1.003))
    assert measured(job, *typed(plain, to_tenths), *records, "--save") == cli.EXIT_FINDINGS
    for name in ("a", "b"):
        build(job, tmp_path / name, *records)
    files = sorted(path.relative_to(tmp_path / "a") for path in (tmp_path / "a").rglob("*") if path.is_file())
    assert files
    for path in files:
        assert (tmp_path / "a" / path).read_bytes() == (tmp_path / "b" / path).read_bytes(), path


def test_a_true_print_is_inside(job: Path, capsys: Capture) -> None:
    assert measured(job, *sides(1.0, 1.0), "--read-to", "0.1 mm") == cli.EXIT_DONE
    told = capsys.readouterr()
    assert told.err == ""
    assert "INSIDE the tolerance of 0.010 in (0.25 mm)" in told.out
    assert " mm), if the print is square\n" in told.out
    assert "not checked: squareness" in told.out
    for name in ("Template: skin", "Part: doubler", "doubler, hole set 1 (16 holes)"):
        assert name in told.out


def test_a_fitted_page_is_outside_and_explained(job: Path, capsys: Capture) -> None:
    assert measured(job, *sides(0.955, 0.955), "--read-to", "0.2 mm") == cli.EXIT_FINDINGS
    told = capsys.readouterr().out
    assert "OUTSIDE the tolerance" in told
    assert "DO NOT CUT by it" in told
    assert "fit to page" in told
    assert "Do not correct this" in told


def test_a_reading_that_is_too_coarse_can_not_judge(job: Path, capsys: Capture) -> None:
    assert measured(job, *sides(1.0, 1.0), "--read-to", "0.5 mm") == cli.EXIT_CANNOT_JUDGE
    told = capsys.readouterr().out
    assert "CANNOT JUDGE" in told
    assert "do: read the same lengths to" in told
    assert "a steel rule with 0.5 mm or 1/64 in divisions" in told
    assert "or with this rule lengths of" in told


def test_half_a_millimetre_is_the_reading_that_is_taken(job: Path) -> None:
    assert measured(job, *sides(1.0, 1.0)) == cli.EXIT_CANNOT_JUDGE


def test_a_question_is_asked_and_can_be_answered(job: Path, capsys: Capture) -> None:
    side = f"{crosses_of_sheet(1).height} mm"
    assert measured(job, "--x", "100mm/4in", "--y", side) == cli.EXIT_CANNOT_JUDGE
    told = capsys.readouterr().out
    assert "4 in and 100 mm differ" in told
    assert "Nothing was judged" in told
    assert measured(job, "--x", "100mm/4in", "--y", side, "--sure") == cli.EXIT_FINDINGS


def test_readings_that_contradict_one_another_can_not_judge(job: Path, capsys: Capture) -> None:
    box = crosses_of_sheet(1)
    diagonal = f"{math.hypot(box.width, box.height) + 5.0:.2f} mm"
    readings = [*sides(1.0, 1.0), "--diagonal", diagonal, "--diagonal", diagonal]
    assert measured(job, *readings, "--read-to", "0.2 mm") == cli.EXIT_CANNOT_JUDGE
    assert "contradict" in capsys.readouterr().out


def test_another_sheet_of_the_job(job: Path, capsys: Capture) -> None:
    box = crosses_of_sheet(2)
    readings = ["--sheet", "2", "--x", f"{box.width}mm", "--y", f"{box.height}mm", "--read-to", "0.1 mm"]
    assert measured(job, *readings) == cli.EXIT_DONE
    assert "sheet 2, Rough template: skin" in capsys.readouterr().out


def test_a_job_may_give_its_tolerance(job: Path, capsys: Capture) -> None:
    job.write_text(job.read_text().replace('paper = "letter"', 'tolerance = "1.5 mm"\npaper = "letter"', 1))
    assert measured(job, *sides(1.0, 1.0)) == cli.EXIT_DONE
    assert "0.059 in (1.50 mm)" in capsys.readouterr().out


def test_more_than_three_percent_is_not_kept(job: Path, tmp_path: Path, capsys: Capture) -> None:
    known = ["--printer", "garage", "--records", str(tmp_path / "new"), "--save"]
    assert measured(job, *sides(0.95, 0.95), "--read-to", "0.2 mm", *known) == cli.EXIT_FINDINGS
    assert "not kept: a correction of x by +5.3 % is over 3 %" in capsys.readouterr().out
    assert not (tmp_path / "new").exists()


def test_a_second_proof_must_say_whether_the_print_was_corrected(
    job: Path, tmp_path: Path, capsys: Capture
) -> None:
    known = ["--read-to", "0.2 mm", "--printer", "garage", "--records", str(tmp_path)]
    assert measured(job, *sides(0.994, 1.0), *known, "--save") == cli.EXIT_FINDINGS
    before = (tmp_path / "garage.toml").read_bytes()
    capsys.readouterr()
    assert measured(job, *sides(1.0, 1.0), *known, "--save") == cli.EXIT_CANNOT_RUN
    told = capsys.readouterr()
    assert told.out == ""
    assert "does the sheet say CORRECTED FOR PRINTER garage" in told.err
    assert (tmp_path / "garage.toml").read_bytes() == before
    assert measured(job, *sides(1.0, 1.0), *known, "--corrected", "7") == cli.EXIT_CANNOT_RUN
    assert "has no correction 7; it has 0 (none), 1" in capsys.readouterr().err


def test_a_corrected_print_that_is_off_composes(job: Path, tmp_path: Path, capsys: Capture) -> None:
    known = ["--read-to", "0.2 mm", "--printer", "garage", "--records", str(tmp_path), "--save"]
    assert measured(job, *sides(0.994, 1.0), *known) == cli.EXIT_FINDINGS
    assert measured(job, *sides(1.0, 1.006), *known, "--corrected", "1") == cli.EXIT_FINDINGS
    assert "correction 2" in capsys.readouterr().out
    _, second = tomllib.loads((tmp_path / "garage.toml").read_text())["proof"]
    assert (second["sx"], second["sy"]) == pytest.approx((0.994, 1.006), abs=1e-5)


def test_the_record_keeps_what_it_was_told(job: Path, tmp_path: Path) -> None:
    known = ["--printer", "garage", "--records", str(tmp_path), "--save"]
    more = ["--feed", "long", "--date", "9 May", "--read-to", "0.2 mm"]
    assert measured(job, *sides(0.994, 1.0), *known, *more) == cli.EXIT_FINDINGS
    record = tomllib.loads((tmp_path / "garage.toml").read_text())
    assert (record["name"], record["paper"], record["feed"]) == ("garage", "letter", "long side")
    (proof,) = record["proof"]
    assert (proof["date"], proof["job"], proof["verdict"]) == ("9 May", "doubler.toml", "outside")
    assert [reading["what"] for reading in proof["readings"]] == ["A to B", "A to D"]


def test_the_environment_names_the_folder(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TEMPLGEN_PRINTERS", str(tmp_path / "mine"))
    known = ["--printer", "garage", "--save", "--read-to", "0.2 mm"]
    assert measured(job, *sides(0.994, 1.0), *known) == cli.EXIT_FINDINGS
    assert (tmp_path / "mine" / "garage.toml").is_file()


BAD: list[tuple[list[str], str]] = [
    (["--x", "abc", "--y", "5in"], '"abc"'),
    (["--x", "7/8 in", "--y", "5in"], "can be read as"),
    (["--x", "400mm/400mm", "--y", "5in"], "does not lie on sheet 1"),
    (["--x", "171mm", "--y", "5in", "--read-to", "0"], "nobody reads a rule exactly"),
    (["--x", "171mm", "--y", "5in", "--read-to", "much"], '"much"'),
    (["--x", "171mm", "--y", "5in", "--sheet", "4"], "--sheet 4 has no crosses"),
    (["--x", "171mm", "--y", "5in", "--sheet", "0"], "--sheet 0 has no crosses"),
    (["--x", "171mm", "--y", "5in", "--diagonal", "99mm/100mm"], "from cross to cross"),
    (["--x", "171mm", "--y", "5in", *["--diagonal", "8.7in"] * 3], "twice at most"),
    (["--x", "171mm", "--y", "5in", "--save"], "need --printer NAME"),
    (["--x", "171mm", "--y", "5in", "--corrected", "1"], "need --printer NAME"),
    (["--x", "171mm", "--y", "5in", "--printer", "a/b", "--save"], "no name of a printer"),
    (["--x", "171mm", "--y", "5in", "--printer", "none", "--corrected", "1"], "no record of printer none"),
    (["--x", "171mm", "--y", "5in", "--corrected", "-1"], "--corrected"),
    (["--x", "171mm"], "--y"),
]


@pytest.mark.parametrize(("arguments", "why"), BAD, ids=[why for _, why in BAD])
def test_bad_input_gets_one_clear_line(
    job: Path, tmp_path: Path, capsys: Capture, arguments: list[str], why: str
) -> None:
    assert measured(job, *arguments, "--records", str(tmp_path)) == cli.EXIT_CANNOT_RUN
    told = capsys.readouterr()
    assert told.out == ""
    said = [line for line in told.err.splitlines() if not line.startswith(("Usage:", "Try ")) and line]
    assert len(said) == 1
    assert why in said[0]
    assert "Traceback" not in told.err


def test_a_job_that_is_not_there(tmp_path: Path, capsys: Capture) -> None:
    assert measured(tmp_path / "none.toml", *sides(1.0, 1.0)) == cli.EXIT_CANNOT_RUN
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_a_build_for_an_unknown_printer_or_another_paper_writes_nothing(
    job: Path, tmp_path: Path, capsys: Capture
) -> None:
    records = tmp_path / "printers"
    out = ["--out", str(tmp_path / "out"), "--no-previews", "--records", str(records)]
    assert cli.run(["build", str(job), *out, "--printer", "garage"]) == cli.EXIT_CANNOT_RUN
    assert "no record of printer garage" in capsys.readouterr().err
    known = ["--printer", "garage", "--records", str(records), "--save", "--read-to", "0.2 mm"]
    assert measured(job, *sides(0.994, 1.0), *known) == cli.EXIT_FINDINGS
    capsys.readouterr()
    assert cli.run(["build", str(job), *out, "--printer", "garage", "--paper", "a4"]) == cli.EXIT_CANNOT_RUN
    assert "is for letter paper, this is a4" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
