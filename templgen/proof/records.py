"""Printer records: what was measured on a printer's prints, and the correction that follows from it.

A record holds every proof that was kept, the newest last; the factors are the printer's own, seen on a page
that stands upright. The correction is derived, never stored: its number is the number of the proof that it
follows from.
"""

from __future__ import annotations

import math
import re

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Correction
from templgen.errors import TemplgenError
from templgen.proof.explain import LARGEST_CORRECTION, Feed
from templgen.proof.measured import Verdict
from templgen.proof.stretch import Stretch

__all__ = [
    "FEEDS",
    "PrinterRecord",
    "Proof",
    "RecordError",
    "Taken",
    "kept_proof",
    "require_printer",
    "too_large",
]

FEEDS: tuple[Feed, ...] = ("long side", "short side", "")
_LONGEST_NAME = 24  # the name stands in large letters on every corrected sheet
_ROUNDING = 1e-9
_BAD_IN_NAMES = set('/\\:*?"<>|')
_RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)


class RecordError(TemplgenError):
    """A printer record that is not there, can not be read, or must not be used."""


class Taken(Struct, frozen=True):
    """One reading as it is kept: what was measured, the measured and the nominal length, mm."""

    what: str
    measured: float
    nominal: float


class Proof(Struct, frozen=True):
    """One measured print.

    Attributes:
        number: from 1 on.
        date: as the builder gave it, or empty.
        job: the job's file name.
        digest: the job's digest.
        sheet: the file stem of the sheet.
        corrected: number of the correction on the print, 0 for none.
        off: how far a reading may be off either way, mm.
        readings: what was measured.
        verdict: "inside", "outside" or "cannot judge".
        printer: what the printer does by it, upright; None where the print was found true, so that what was
            known before goes on to hold.
    """

    number: int
    date: str
    job: str
    digest: str
    sheet: str
    corrected: int
    off: float
    readings: tuple[Taken, ...]
    verdict: str
    printer: Stretch | None


class PrinterRecord(Struct, frozen=True):
    """A printer with one paper: name, name of the paper, how it is fed, and its proofs, the newest last."""

    name: str
    paper: str
    feed: Feed
    proofs: tuple[Proof, ...] = ()

    @property
    def in_force(self) -> int:
        """The number of the correction that holds; 0 while none was needed."""
        return max((proof.number for proof in self.proofs if proof.printer is not None), default=0)

    def correction(self, number: int | None = None) -> Correction:
        """Return a correction for an upright page: the one in force, or an earlier one by its number.

        Raises:
            RecordError: there is no correction of this number.
        """
        wanted = self.in_force if number is None else number
        if wanted == 0:
            return Correction(1.0, 1.0, 0.0, self.name)
        for proof in self.proofs:
            if proof.number == wanted and proof.printer is not None:
                return replace(proof.printer.correction(self.name), number=wanted)
        known = ", ".join(["0 (none)", *(str(p.number) for p in self.proofs if p.printer is not None)])
        raise RecordError(f"printer {self.name} has no correction {wanted}; it has {known}")

    def with_proof(self, proof: Proof) -> PrinterRecord:
        """Return the record with one proof more, numbered behind the last."""
        return replace(self, proofs=(*self.proofs, replace(proof, number=len(self.proofs) + 1)))


def kept_proof(
    record: PrinterRecord, verdict: Verdict, *, job: str, digest: str, sheet: str, corrected: int, date: str
) -> Proof:
    """Return a verdict as the proof to keep behind those of a record.

    A print that is inside its tolerance, or may be true within its readings, changes no correction: a second
    one would only print the reading error. Only if it carries another correction than the one in force, or
    none, and the one in force would have shown: then the printer has changed, and what was on the print goes
    on to hold. Else what was measured is composed with the correction on the print.

    Raises:
        RecordError: the correction would be larger than a printer's.
    """
    off = max(each.off for each in verdict.readings)
    printer = None
    if not verdict.may_be_true:
        printer = verdict.solved.best.without(record.correction(corrected))
        large = too_large(printer.correction())
        if large:
            raise RecordError(
                f"{large}: that is a wrong print setting, not a printer; print it again at 100 %"
            )
    elif corrected != record.in_force and not _is_explained(record, verdict, corrected):
        printer = Stretch(1.0, 0.0, 1.0).without(record.correction(corrected))
    taken = tuple(Taken(each.what, each.measured, each.nominal) for each in verdict.readings)
    return Proof(0, date, job, digest, sheet, corrected, off, taken, verdict.outcome.value, printer)


def _is_explained(record: PrinterRecord, verdict: Verdict, corrected: int) -> bool:
    """Whether the printer of the correction in force may have made a print with another correction on it."""
    on_print = record.correction(corrected)
    known = next(proof.printer for proof in record.proofs if proof.number == record.in_force)
    assert known is not None  # noqa: S101  only such a proof is in force
    expected = known.through(on_print)
    names = ("x", "y", "skew") if verdict.solved.square_known else ("x", "y")
    spans = {name: verdict.solved.span(name) for name in names}
    return all(low <= getattr(expected, name) <= high for name, (low, high) in spans.items())


def too_large(correction: Correction) -> str:
    """Why a correction is no printer's but a wrong setting; empty where it may be used."""
    limit = 100.0 * LARGEST_CORRECTION
    for axis, factor in (("x", correction.x), ("y", correction.y)):
        if abs(factor - 1.0) > LARGEST_CORRECTION + _ROUNDING:
            return f"a correction of {axis} by {100.0 * (factor - 1.0):+.1f} % is over {limit:.0f} %"
    if abs(math.tan(math.radians(correction.skew))) > LARGEST_CORRECTION + _ROUNDING:
        return f"a skew of {correction.skew:+.2f} degrees is over {limit:.0f} %"
    return ""


def require_printer(name: str) -> None:
    """Raise RecordError unless a printer may be called so: the name is a file's and stands on every sheet."""
    shown = '"' + "".join(letter if letter.isprintable() else "?" for letter in name) + '"'
    bad = sorted(set(name) & _BAD_IN_NAMES)
    if not name.strip() or name != name.strip() or not name.isprintable() or name.startswith("."):
        raise RecordError(
            f"{shown} is no name of a printer; write up to {_LONGEST_NAME} letters, such as garage"
        )
    if bad or _RESERVED.fullmatch(name):
        hint = f", without {bad[0]}" if bad else ""
        raise RecordError(f"{shown} is no name of a printer: it becomes a file name{hint}")
    if len(name) > _LONGEST_NAME:
        raise RecordError(f"{shown} has {len(name)} letters; a printer's name has at most {_LONGEST_NAME}")
