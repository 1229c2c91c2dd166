"""`templgen proof scan`: what is printed, what is written, and the exit codes."""

from __future__ import annotations

from pathlib import Path

import cv2
import pypdfium2
import pytest
from PIL import Image

from templgen.build.demo import demo_job
from templgen.cli import run
from templgen.drawing import Correction
from tests.unit.proof.pictures import (
    Camera,
    Damage,
    Print,
    Scanner,
    Taken,
    photographed,
    raster,
    scanned,
    sheets,
)

SCANNER = Scanner(dpi=200, x=1.004, y=0.996)
CARD = (105.0, 55.0, 2.0)
JOB = str(demo_job())
HALF = "Part: hatch ring 2"


def _file(folder: Path, name: str, taken: Taken, dpi: int | None = 200) -> str:
    path = folder / name
    options = {"dpi": (dpi, dpi)} if dpi else {}
    Image.fromarray(taken.picture.grey).save(path, **options)
    return str(path)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Scans of a true and of a wrong print, with and without a card, and a photo."""
    folder = tmp_path_factory.mktemp("scans")
    page = raster(200)
    true, wrong = Print(1.0004, 0.9997), Print(1.004, 1.004)
    _file(folder, "card.png", scanned(page, true, SCANNER, Damage(), card=CARD))
    _file(folder, "true.png", scanned(page, true, SCANNER, Damage(), seed=1))
    _file(folder, "wrong.png", scanned(page, wrong, SCANNER, Damage(), seed=2))
    photo = photographed(page, true, Camera(width=2600, height=1950, tells=False), Damage())
    _file(folder, "photo.jpg", photo, None)
    return folder


def _run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = run(["proof", "scan", *arguments])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_the_word_of_the_file_is_not_enough(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(capsys, str(folder / "true.png"))
    assert code == 4
    assert "scan of sheet 1" in out
    assert "the scanner is a suspect too" in out
    assert "judged without the job" in out


def test_a_card_makes_a_record_and_the_record_judges(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    records = ("--scanners", str(folder / "records"))
    card = ("--card", "85.60x53.98mm", "--save-scanner", "glass", "--date", "2031-05-09")
    code, out, _ = _run(capsys, str(folder / "card.png"), *card, *records)
    assert code in (0, 4)
    assert "card, long side" in out
    assert "--scanner glass" in out
    assert (folder / "records" / "glass.toml").is_file()
    code, out, _ = _run(capsys, str(folder / "wrong.png"), "--scanner", "glass", *records, "--job", JOB)
    assert code == 1
    assert "OUTSIDE" in out
    assert "DO NOT CUT" in out
    assert "Template: mast" in out


def test_a_card_in_the_first_scan_holds_for_the_second(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = (str(folder / "card.png"), str(folder / "wrong.png"))
    code, out, _ = _run(capsys, *files, "--card", "85.60x53.98mm")
    assert code == 1
    assert "in the first scan" in out


def test_residuals_are_drawn_and_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chart = folder / "new" / "chart.png"
    code, out, _ = _run(capsys, str(folder / "true.png"), "--chart", str(chart), "--residuals")
    assert code == 4
    assert f"residuals drawn in {chart}" in out
    assert cv2.imread(str(chart)) is not None
    assert "off x" in out


def test_a_photo_tells_its_shape(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(capsys, str(folder / "photo.jpg"))
    assert code == 4
    assert "photo of sheet 1" in out
    assert "x : y" in out
    assert "a photo has no scale of its own" in out


def test_the_wrong_sheet_is_noticed(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed = tmp_path / "mast.toml"
    changed.write_text(demo_job().read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    code, _, err = _run(capsys, str(folder / "true.png"), "--job", str(changed))
    assert code == 2
    assert "wrong sheet" in err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("none.png",), "none.png"),
        ((JOB,), "no image that can be read"),
        (("{true}", "--rule", "150mm"), "allowed: LENGTH:X,Y:X,Y"),
        (("{true}", "--card", "large"), "allowed: id-1"),
        (("{true}", "--card", "id-1"), "no card of 85.60 x 53.98 mm found"),
        (("{true}", "--scanner", "none", "--scanners", "."), "no record of scanner none"),
        (("{true}", "--save-scanner", "glass"), "not kept as scanner glass"),
        ((), "FILE"),
    ],
)
def test_what_can_not_run_is_one_line_and_exit_code_2(
    folder: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], words: str
) -> None:
    filled = [each.replace("{true}", str(folder / "true.png")) for each in arguments]
    code, _, err = _run(capsys, *filled)
    assert code == 2
    assert words in err
    assert "Traceback" not in err


def test_a_sheet_on_paper_with_another_margin_is_refused_with_the_true_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheets = ["--out", str(tmp_path / "out"), "--no-previews", "--paper", "letter, margin 11 mm"]
    assert run(["build", JOB, *sheets]) == 0
    document = pypdfium2.PdfDocument(tmp_path / "out" / "sheets.pdf")
    document[0].render(scale=200 / 72).to_pil().save(tmp_path / "page.png", dpi=(200, 200))
    document.close()
    capsys.readouterr()
    code, _, err = _run(capsys, str(tmp_path / "page.png"), "--job", JOB)
    assert code == 2
    assert "was built for other paper (a roll, another margin), or by another version" in err
    code, out, _ = _run(capsys, str(tmp_path / "page.png"))
    assert code == 4
    assert "judged without the job" in out


def test_a_corrected_sheet_is_found_in_its_job_though_its_page_is_turned(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The words of the correction take room: half a ring lies otherwise with them than without."""
    number = next(at for at, each in enumerate(sheets(job="opening"), 1) if each.title == HALF)
    corrected = raster(200, number, Correction(0.998, 1.002, 0.0, "garage", 1), "opening")
    plain = raster(200, number, job="opening")
    assert (corrected.width > corrected.height) != (plain.width > plain.height)
    scan = _file(tmp_path, "corrected.png", scanned(corrected, Print(), SCANNER, Damage()))
    code, out, _ = _run(capsys, scan, "--job", str(demo_job("opening")))
    assert code == 4
    assert f"{HALF} (Letter, {'on its side' if corrected.width > corrected.height else 'upright'})" in out
