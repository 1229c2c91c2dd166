"""Two rows of fasteners run too near to each other.

Rule: From row to row, square to the rows, at least 2.5 D. A row is three holes or more in line that follow
    each other: those on two sides of an opening make none. Rows of one set are compared, and rows of
    different sets that run beside each other, rivets that exist included.
Why: Staggered rivets can keep their pitch and still leave too little metal between the rows.
Bad: Two staggered rows of 1/8 rivets 6.5 mm (0.256 in) apart.
Good: The same rows 8 mm (0.313 in) apart; usual is three quarters of the pitch.
Source: TM 10-5410-229-13P p. 5-4.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from templgen.checks.rows import Row, along_with, rows_of, runs_of, sets_of
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, counted, hole_name, multiple
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.units import inches_to_mm, mm_to_inches

LIMIT = limit("row-to-row")
PARALLEL = 0.02
"""Rows that run apart by less than this (sine of the angle, about one degree) are parallel."""

MOST_ROWS = 600
"""Rows of different sets are compared up to this many."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for all pairs of rows that run beside each other."""
    # lug rivets follow their screws and make no rows of their own
    in_rows = ~survey.holes.plain & ~survey.holes.lug
    parts = list(sets_of(survey.holes, in_rows))
    sets = [rows_of(survey.holes, part) for part in parts]
    pairs = _pairs(survey, sets)
    if any(_shaky(one, other) for one, other in pairs):
        # holes far from each other can lie in line by chance
        sets = [
            [run for row in rows for run in runs_of(survey.holes, row, part)]
            for rows, part in zip(sets, parts, strict=True)
        ]
        pairs = _pairs(survey, sets)
    number = sum(map(len, sets))
    if number > MOST_ROWS and len(sets) > 1:
        yield RULE.not_checked(
            f"{counted(number, 'row')} in {len(sets)} sets: rows of different sets are compared up to "
            f"{MOST_ROWS} rows only",
            cure="check the distance between neighbouring sets by hand",
        )
    if not pairs:
        yield RULE.not_applicable("no two rows of three fasteners or more run beside each other")
        return
    yield from _judge(survey, pairs)


def _pairs(survey: Survey, sets: list[list[Row]]) -> list[tuple[Row, Row]]:
    """Rows that run beside each other: neighbours of one set; of different sets all, up to `MOST_ROWS`."""
    pairs = [pair for part in sets for pair in _neighbours(part)]
    if sum(map(len, sets)) <= MOST_ROWS:
        pairs += [
            pair
            for number, part in enumerate(sets)
            for later in sets[number + 1 :]
            for one in part
            for other in later
            if (pair := _beside(survey, one, other)) is not None
        ]
    return pairs


def _shaky(one: Row, other: Row) -> bool:
    """Whether two rows do not stand far enough apart for certain."""
    least = LIMIT.value * max(one.diameter, other.diameter)
    return abs(one.offset - other.offset) - one.doubt - other.doubt < least - ROUNDING_MM


def _judge(survey: Survey, pairs: list[tuple[Row, Row]]) -> Iterator[Finding]:
    holes = survey.holes
    value = np.array([abs(one.offset - other.offset) for one, other in pairs])
    least = np.array([LIMIT.value * max(one.diameter, other.diameter) for one, other in pairs])
    doubt = np.array([one.doubt + other.doubt for one, other in pairs])

    def say(index: int) -> Told:
        one, other = pairs[index]
        a = holes.fastener(int(one.indices[len(one.indices) // 2]))
        b = holes.fastener(int(other.indices[len(other.indices) // 2]))
        a, b = (b, a) if a.exists else (a, b)
        return Told(
            survey.hole(a, survey.shared_face(a, b)),
            f"the rows of {hole_name(a)} and {hole_name(b)}: {both(value[index])} apart, needs "
            f"{both(least[index])} = {multiple(least[index], max(one.diameter, other.diameter))}",
            f"move the rows {at_least(least[index] - value[index])} apart",
        )

    yield from told(RULE, Measured(value, least, doubt), say, Subject(), "pair of rows", "pairs of rows")


def _neighbours(rows: list[Row]) -> Iterator[tuple[Row, Row]]:
    """Rows of one set come sorted by their place; for each the next ones that run beside it."""
    for number, one in enumerate(rows):
        offset = math.inf
        for other in rows[number + 1 :]:
            if other.offset > offset:
                break
            if one.overlaps(other):
                offset = other.offset
                yield one, other


def _beside(survey: Survey, one: Row, other: Row) -> tuple[Row, Row] | None:
    """Two rows of different sets as they run beside each other, None where they do not; the longer one tells
    the direction."""
    sine = one.direction[0] * other.direction[1] - one.direction[1] * other.direction[0]
    if abs(sine) > PARALLEL:
        return None
    if sine and one.high - one.low < other.high - other.low:
        one = along_with(survey.holes, one, other)
    elif sine:
        other = along_with(survey.holes, other, one)
    apart = one.overlaps(other) and not _in_line(one, other)
    return (one, other) if apart and _share_metal(survey, one, other) else None


def _share_metal(survey: Survey, one: Row, other: Row) -> bool:
    a, b = survey.holes.fastener(int(one.indices[0])), survey.holes.fastener(int(other.indices[0]))
    return not (a.exists and b.exists) and a.plane == b.plane and bool(set(a.stack) & set(b.stack))


def _in_line(one: Row, other: Row) -> bool:
    """Two sets that share one line are one row, not two."""
    return abs(one.offset - other.offset) <= max(one.diameter, other.diameter) / 2


RULE = Rule(
    name="rows-too-close",
    title="Two rows of fasteners run too near to each other",
    formula=LIMIT.formula_text,
    sources=(LIMIT.source,),
    severity=Severity(LIMIT.severity),
    cure="move the rows apart",
    example=WorkedExample(
        "1/8 in rivets: 2.5 x 0.125 in",
        lambda: mm_to_inches(LIMIT.mm(diameter=inches_to_mm(0.125))),
        0.3125,
        "in",
    ),
    func=check,
)
