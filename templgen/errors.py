"""Errors that a person can act on, each with the place it speaks of.

Every fault of the job file carries a `Location`; it is required so that it can not be forgotten.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

__all__ = [
    "ExportError",
    "FolderError",
    "GeometryError",
    "JobError",
    "JobFaults",
    "Location",
    "PaperTooSmallError",
    "ReadBackError",
    "ReadError",
    "ShapeError",
    "TemplgenError",
    "UnitError",
    "near_names",
]

LONGEST_GIVEN = 60
"""Characters of a given name that are looked at: no name is longer, and a slip may be a whole page."""


class Location(Struct, frozen=True, order=True):
    """A place in a text file; line and column count from 1, columns in characters."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class TemplgenError(Exception):
    """Base of everything that templgen raises on purpose; its text is one line for a person."""


class UnitError(TemplgenError, ValueError):
    """A length, angle or drill text that can not be read without guessing."""


class GeometryError(TemplgenError, ValueError):
    """Points and lines that make no figure: zero length, NaN, a radius that does not fit."""


class ShapeError(TemplgenError, ValueError):
    """A shape file or a shape parameter that makes no outline."""


class ExportError(TemplgenError):
    """A drawing that an exporter can not write as it is."""


class ReadBackError(ExportError):
    """A file that was written does not hold its drawing; nothing is released."""


class ReadError(TemplgenError):
    """A drawing file that can not be read: broken, or not of the format it is taken for."""


class FolderError(TemplgenError):
    """A result folder that can not be written, or that holds something templgen did not write."""


class PaperTooSmallError(TemplgenError):
    """The template does not fit the paper at 1:1; the text names the smallest paper that holds it."""


class JobError(TemplgenError, ValueError):
    """One fault of a job file: what was given, what is allowed, the nearest name."""

    def __init__(self, message: str, *, at: Location, hint: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.at = at
        self.hint = hint

    def __str__(self) -> str:
        tail = f" ({self.hint})" if self.hint else ""
        return f"{self.at}: {self.message}{tail}"


class JobFaults(TemplgenError, ValueError):
    """All faults of one job file, sorted by place, one line each."""

    def __init__(self, faults: Iterable[JobError]) -> None:
        self.faults = tuple(sorted(faults, key=lambda fault: (fault.at, fault.message)))
        super().__init__("\n".join(str(fault) for fault in self.faults))


def near_names(given: object, known: Iterable[str], most: int = 1, likeness: float = 0.6) -> list[str]:
    """Return the known names most like a given one, the nearest first, at most `most` of them.

    `likeness` is the least ratio of `difflib.get_close_matches`, 0 to 1.
    """
    import difflib  # only a fault needs it

    return difflib.get_close_matches(str(given)[:LONGEST_GIVEN], list(known), n=most, cutoff=likeness)
