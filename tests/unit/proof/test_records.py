"""Printer records: kept, written, read back, refused, and composed."""

from __future__ import annotations

import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from templgen.drawing import Correction
from templgen.geometry import Vec
from templgen.proof.measured import Outcome, Verdict, judge
from templgen.proof.record_file import (
    ENVIRONMENT,
    known_record,
    read_record,
    record_text,
    records_folder,
    write_record,
)
from templgen.proof.records import (
    PrinterRecord,
    Proof,
    RecordError,
    Taken,
    kept_proof,
    require_printer,
    too_large,
)
from templgen.proof.stretch import Reading, Stretch, solve
from templgen.sheets.proving import Feature

EMPTY = PrinterRecord("garage", "letter", "long side")
PLATE = Feature("plate", 1, (Vec(20, 20), Vec(150, 110)), False)
ALONG = {
    "A to B": Vec(140.0, 0.0),
    "A to D": Vec(0.0, 170.0),
    "A to C": Vec(140.0, 170.0),
    "D to B": Vec(140.0, -170.0),
}


def verdict(print_: Stretch, off: float = 0.1) -> Verdict:
    readings = [Reading(what, v, print_.length(v), off) for what, v in ALONG.items()]
    return judge(solve(readings), readings, (PLATE,), 0.25)


def kept(record: PrinterRecord, print_: Stretch, corrected: int = 0, off: float = 0.1) -> PrinterRecord:
    proof = kept_proof(
        record, verdict(print_, off), job="j.toml", digest="0123", sheet="01-t", corrected=corrected, date=""
    )
    return record.with_proof(proof)


def seen_through(printer: Stretch, correction: Correction) -> Stretch:
    """The stretch of a print: C^T (M^T M) C, written out apart from the product."""
    a, _, c, d = correction.matrix
    xx, xy, yy = printer.xx, printer.xy, printer.yy
    return Stretch(a * a * xx, a * (c * xx + d * xy), c * c * xx + 2 * c * d * xy + d * d * yy)


PRINTER = Stretch.of(0.994, 1.003, 0.12)


def test_a_new_record_has_no_correction() -> None:
    assert EMPTY.in_force == 0
    assert EMPTY.correction() == Correction(1.0, 1.0, 0.0, "garage")
    assert EMPTY.correction().is_none


def test_the_first_proof_corrects_the_printer() -> None:
    record = kept(EMPTY, PRINTER)
    assert record.in_force == 1
    found = record.correction()
    assert (found.printer, found.number) == ("garage", 1)
    printed = seen_through(PRINTER, found)
    assert (printed.xx, printed.xy, printed.yy) == pytest.approx((1.0, 0.0, 1.0), abs=1e-9)


def test_a_true_print_keeps_the_correction_that_is_there() -> None:
    """A second correction would only print the reading error."""
    first = kept(EMPTY, PRINTER)
    again = kept(first, Stretch.of(1.0004, 0.9997), corrected=1)
    assert again.in_force == 1
    assert again.correction() == first.correction()
    assert [proof.number for proof in again.proofs] == [1, 2]
    assert again.proofs[1].printer is None


@pytest.mark.parametrize("off", [0.1, 0.3])
def test_a_print_that_is_true_without_the_correction_in_force_puts_it_out_of_force(off: float) -> None:
    """The printer, or a setting, has changed: by the old correction the next print would be off by 0.6 %."""
    first = kept(EMPTY, PRINTER)
    again = kept(first, Stretch.of(1.0001, 1.0), corrected=0, off=off)
    assert again.in_force == 2
    assert again.correction().is_none


def test_a_print_that_the_correction_in_force_explains_changes_nothing() -> None:
    """Inside without it, since the printer is off by little: it still makes the print better."""
    little = Stretch.of(0.9991, 1.0004)
    first = kept(EMPTY, PRINTER)
    record = first.with_proof(replace(first.proofs[0], printer=little))
    assert verdict(little, off=0.05).outcome is Outcome.INSIDE
    again = kept(record, little, corrected=0, off=0.05)
    assert again.in_force == 2
    assert again.correction() == record.correction()


def test_a_print_that_an_older_correction_makes_true_brings_it_back() -> None:
    first = kept(EMPTY, PRINTER)
    second = kept(first, seen_through(Stretch.of(0.99, 1.0), first.correction(1)), corrected=1)
    third = kept(second, Stretch.of(1.0, 1.0), corrected=1)
    assert third.in_force == 3
    old, new = first.correction(1), third.correction()
    assert (new.x, new.y, new.skew) == pytest.approx((old.x, old.y, old.skew), abs=1e-9)


def test_a_second_correction_is_composed_with_the_first() -> None:
    """The printer has changed: measured on a corrected print, corrected again, it prints true."""
    first = kept(EMPTY, PRINTER)
    changed = Stretch.of(0.991, 1.006, 0.05)
    second = kept(first, seen_through(changed, first.correction()), corrected=1)
    assert second.in_force == 2
    printed = seen_through(changed, second.correction())
    assert (printed.xx, printed.xy, printed.yy) == pytest.approx((1.0, 0.0, 1.0), abs=1e-9)


def test_a_print_inside_the_tolerance_is_not_corrected_again() -> None:
    """Off by more than was read, by less than matters."""
    print_ = Stretch.of(1.0009, 1.0)
    assert verdict(print_, off=0.05).outcome is Outcome.INSIDE
    assert kept(EMPTY, print_, off=0.05).in_force == 0


def test_a_coarse_reading_that_allows_a_true_print_corrects_nothing() -> None:
    print_ = Stretch.of(1.002, 1.001)
    assert verdict(print_, off=0.5).outcome is Outcome.CANNOT_JUDGE
    assert kept(EMPTY, print_, off=0.5).in_force == 0


def test_an_older_correction_on_the_print_is_the_one_that_is_composed() -> None:
    record = kept(EMPTY, PRINTER)
    record = kept(record, seen_through(Stretch.of(0.99, 1.0), record.correction(1)), corrected=1)
    changed = Stretch.of(0.997, 1.004)
    record = kept(record, seen_through(changed, record.correction(1)), corrected=1)
    printed = seen_through(changed, record.correction(3))
    assert (printed.xx, printed.yy) == pytest.approx((1.0, 1.0), abs=1e-9)


def test_an_unknown_correction_is_refused() -> None:
    with pytest.raises(RecordError, match=r"no correction 2; it has 0 \(none\), 1"):
        kept(EMPTY, PRINTER).correction(2)


@pytest.mark.parametrize("print_", [Stretch.of(0.96, 0.96), Stretch.of(1.0, 1.04), Stretch.of(1.0, 1.0, 2.0)])
def test_more_than_a_printer_is_refused(print_: Stretch) -> None:
    with pytest.raises(RecordError, match="wrong print setting"):
        kept(EMPTY, print_)


def test_corrections_do_not_creep_past_the_limit() -> None:
    record = kept(EMPTY, Stretch.of(0.98, 0.98))
    with pytest.raises(RecordError, match="wrong print setting"):
        kept(record, Stretch.of(0.98, 0.98), corrected=1)


@pytest.mark.parametrize(
    ("correction", "large"),
    [
        (Correction(1.03, 0.97), False),
        (Correction(1.0301, 1.0), True),
        (Correction(1.0, 0.9699), True),
        (Correction(1.0, 1.0, 1.71), False),
        (Correction(1.0, 1.0, -1.73), True),
    ],
)
def test_three_percent_is_the_limit(correction: Correction, large: bool) -> None:
    assert bool(too_large(correction)) is large


def test_the_file_is_plain_toml_and_reads_back(tmp_path: Path) -> None:
    record = kept(kept(EMPTY, PRINTER), Stretch.of(1.0, 1.0), corrected=1)
    path = write_record(tmp_path / "new" / "folder", record)
    assert path == tmp_path / "new" / "folder" / "garage.toml"
    assert [each.name for each in path.parent.iterdir()] == ["garage.toml"]
    table = tomllib.loads(path.read_text())
    assert (table["name"], table["paper"], table["feed"]) == ("garage", "letter", "long side")
    first, second = table["proof"]
    assert (first["sx"], first["sy"], first["skew"]) == (0.994, 1.003, 0.12)
    assert first["readings"][0] == {"what": "A to B", "measured": 139.16, "nominal": 140.0}
    assert "sx" not in second
    again = read_record(path.parent, "garage")
    assert again is not None
    assert record_text(again) == record_text(record)
    found, wanted = again.correction(), record.correction()
    assert (found.x, found.y, found.skew) == pytest.approx((wanted.x, wanted.y, wanted.skew), abs=2e-6)


def test_words_of_a_builder_survive_the_file(tmp_path: Path) -> None:
    words = 'a "quoted" \\ name, 21° é \x7f \t'
    proof = Proof(1, words, words, "", words, 0, 0.2, (Taken(words, 1.0, 1.0),), "inside", None)
    write_record(tmp_path, replace(EMPTY, proofs=(proof,)))
    assert read_record(tmp_path, "garage") == replace(EMPTY, proofs=(proof,))


def test_the_same_record_has_the_same_bytes(tmp_path: Path) -> None:
    record = kept(EMPTY, PRINTER)
    texts = {write_record(tmp_path / name, record).read_bytes() for name in ("a", "b", "a")}
    assert len(texts) == 1


def test_no_record_is_none_and_the_nearest_is_told(tmp_path: Path) -> None:
    assert read_record(tmp_path, "garage") is None
    with pytest.raises(RecordError, match="no record of printer garag in"):
        known_record(tmp_path, "garag")
    write_record(tmp_path, EMPTY)
    with pytest.raises(RecordError, match=r"did you mean garage\?"):
        known_record(tmp_path, "garag")
    with pytest.raises(RecordError, match="there are: garage"):
        known_record(tmp_path, "zzz")


GOOD = record_text(kept(EMPTY, PRINTER))


@pytest.mark.parametrize(
    ("old", "new", "place", "why"),
    [
        ('paper = "letter"', 'paper = "leter"', ":6:1:", 'no paper "leter"'),
        ('feed = "long side"', 'feed = "sideways"', ":7:1:", 'feed "sideways"'),
        ('feed = "long side"', 'fed = "long side"', ":7:1:", "did you mean feed?"),
        ('name = "garage"', 'name = "shed"', "", 'the record of "shed"'),
        ('name = "garage"\n', "", ":1:1:", "name is missing"),
        ("number = 1", "number = 2", ":10:1:", "this is proof 1"),
        ("number = 1", "number = -1", ":10:1:", "a whole number"),
        ("corrected = 0", "corrected = true", ":15:1:", "a whole number"),
        ("read_to = 0.1", "read_to = 0", ":16:1:", "above 0"),
        ("sx = 0.994000", "sx = nan", ":24:1:", "a number is needed"),
        ("sx = 0.994000", 'sx = "0.994"', ":24:1:", "a number is needed"),
        ("sx = 0.994000", "sx = 0.95", ":24:1:", "over 3 %"),
        ("sy = 1.003000\n", "", "", "sy is missing"),
        ("measured = 139.16", "measured = -1", "", "above 0"),
        ("readings = [", "readings = 1 #", ":18:3:", "invalid"),
        ('name = "garage"', "name = garage", ":5:8:", "invalid value"),
        ("verdict = ", "verdit = ", ":23:1:", "did you mean verdict?"),
    ],
)
def test_a_broken_record_is_refused_in_one_line(
    tmp_path: Path, old: str, new: str, place: str, why: str
) -> None:
    assert old in GOOD
    path = tmp_path / "garage.toml"
    path.write_text(GOOD.replace(old, new))
    with pytest.raises(RecordError) as caught:
        read_record(tmp_path, "garage")
    text = str(caught.value)
    assert text.startswith(f"{path}{place}")
    assert why.casefold() in text.casefold()
    assert "\n" not in text


@given(st.data())
def test_a_damaged_record_is_read_or_refused_and_never_more(data: st.DataObject) -> None:
    """Bytes of a good record put out, put in and changed anywhere."""
    text = bytearray(GOOD.encode())
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(text) - 1))
        piece = data.draw(
            st.sampled_from([b"", b"x", b"=", b'"', b"[", b"]", b"-", b"9", b"\n", b"\xff", b"{"])
        )
        text[place : place + data.draw(st.integers(0, 6))] = piece
    with TemporaryDirectory() as folder:
        (Path(folder) / "garage.toml").write_bytes(bytes(text))
        complaint, record = "", None
        try:
            record = read_record(Path(folder), "garage")
        except RecordError as error:
            complaint = str(error)
        assert bool(complaint) is (record is None)
        assert "\n" not in complaint
        assert record is None or not too_large(record.correction())


def test_what_is_no_text_or_no_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "garage.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(RecordError, match="not UTF-8"):
        read_record(tmp_path, "garage")
    (tmp_path / "shed.toml").mkdir()
    with pytest.raises(RecordError, match=r"shed\.toml"):
        read_record(tmp_path, "shed")


def test_a_folder_that_can_not_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="can not write"):
        write_record(tmp_path / "file", EMPTY)


@pytest.mark.parametrize(
    "name", ["", " ", " a", "a/b", "a\\b", "..", ".hidden", "con", "LPT1", "nul.x", "a" * 25, "a\nb", 'a"b']
)
def test_names_that_are_no_file_or_do_not_fit_a_sheet(name: str) -> None:
    with pytest.raises(RecordError) as caught:
        require_printer(name)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", ["garage", "Shed 2", "Büro-Laser", "a" * 24])
def test_names_that_may_be_used(name: str) -> None:
    require_printer(name)


def test_where_the_records_are(tmp_path: Path) -> None:
    given = tmp_path / "given"
    assert records_folder(given, {ENVIRONMENT: "elsewhere"}) == given
    assert records_folder(None, {ENVIRONMENT: "elsewhere"}) == Path("elsewhere")
    assert records_folder(None, {}) == Path.home() / ".templgen" / "printers"
    assert records_folder(None, {ENVIRONMENT: " "}) == Path.home() / ".templgen" / "printers"
