"""Which set-back of a trim would just pass: the number that a builder can type into the job."""

from __future__ import annotations

from templgen.checks.words import at_least, at_most, both
from templgen.layout.assembly import TrimEdge

__all__ = ["set_back_words"]


def set_back_words(trim: TrimEdge | None, short: float) -> str:
    """Say which set-back leaves `short` mm more; "" where no trim made the edge.

    A trim line is moved towards the part by its set-back, so a smaller one leaves more metal.
    """
    if trim is None:
        return ""
    passing = trim.set_back - short
    line = f"{trim.structure}'s {trim.line}"
    if passing >= 0:
        now = both(trim.set_back)
        return f"; a set-back of {at_most(passing)} or less from {line} would just pass (it is {now})"
    return f"; no set-back from {line} passes: it would have to lie {at_least(-passing)} beyond it"
