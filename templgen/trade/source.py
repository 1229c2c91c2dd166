"""Where a number comes from, and how far it may be trusted.

Evidence sets severity: a value that was read in its source may fail a job; one from memory may do so only if
it is remembered with high confidence and arithmetic or a second source agrees; everything else warns.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

__all__ = ["BUILDERS_TABLE", "COMMON_PRACTICE", "OWN_DEFAULT", "Confidence", "Published", "Source"]

Confidence = Literal["high", "medium", "low"]

COMMON_PRACTICE = "common practice"
OWN_DEFAULT = "own default"
BUILDERS_TABLE = "the builder's own table"

_UNPUBLISHED = {
    COMMON_PRACTICE: "common practice, no source",
    OWN_DEFAULT: "our own default, no source",
    BUILDERS_TABLE: "given by the builder",
}


class Source(Struct, frozen=True):
    """The document behind a value, and what is known about it.

    Attributes:
        document: the standard or handbook, or COMMON_PRACTICE, OWN_DEFAULT, BUILDERS_TABLE.
        paragraph: paragraph, table, figure or page of the document ("" where none is known).
        seen: the value was read in a copy of the document (or, with `secondary`, in a text that quotes it).
        confidence: how well a value from memory is remembered; None for a value that was seen or derived.
        note: one sentence a builder should know beside the value.
        derived: the value follows from geometry or arithmetic alone.
        secondary: it was seen quoted in another text, not in the document itself.
        confirmed_by: what else agrees: arithmetic, or a second source. "" where nothing does.
        disputed: sources disagree (see `templgen.trade.contradictions`).
    """

    document: str
    paragraph: str = ""
    seen: bool = False
    confidence: Confidence | None = None
    note: str = ""
    derived: bool = False
    secondary: bool = False
    confirmed_by: str = ""
    disputed: bool = False

    @property
    def standing(self) -> str:
        """In words: "seen in its source", "from memory, confidence high", "derived", and so on."""
        if self.document in _UNPUBLISHED:
            return _UNPUBLISHED[self.document]
        if self.derived:
            text = "derived"
        elif self.seen:
            text = "seen quoted in another text" if self.secondary else "seen in its source"
        else:
            text = f"from memory, confidence {self.confidence or 'low'}"
        if self.confirmed_by and not self.derived:
            text += f", agrees with {self.confirmed_by}"
        return text + ", sources disagree" if self.disputed else text

    @property
    def may_fail(self) -> bool:
        """Whether a rule with this source may be of error severity."""
        if self.disputed or self.document in (COMMON_PRACTICE, OWN_DEFAULT):
            return False
        if self.derived or self.document == BUILDERS_TABLE:
            return True
        if self.seen and not self.secondary:
            return True
        return bool(self.confirmed_by) and (self.seen or self.confidence == "high")

    @property
    def citation(self) -> str:
        """Document and paragraph alone: "AC 43.13-1B, para 4-57"."""
        return f"{self.document}, {self.paragraph}" if self.paragraph else self.document

    def __str__(self) -> str:
        return self.citation if self.document in _UNPUBLISHED else f"{self.citation} ({self.standing})"


class Published(Struct, frozen=True):
    """One published value with its unit and its source."""

    value: float
    unit: str
    source: Source
