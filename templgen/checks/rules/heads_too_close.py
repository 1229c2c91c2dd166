"""The heads of two fasteners touch, or there is no room between them for a tool.

Rule: On each side of the stack the heads, or driven heads, of two neighbours stand at least 1/32 in apart.
    A head that is flush in a sheet under another one is parted by that from a head on top of it.
    Heads that overlap are an error that nobody can accept.
Why: Two heads can not lie in one place; two countersinks that meet leave a knife edge.
Bad: A #8 flush screw (head 0.332 in) 6.5 mm (0.256 in) from a 1/8 universal rivet (head 0.250 in).
Good: The same two 8.2 mm (0.323 in) apart.
Source: Overlap is derived. 1/32 in is a shop margin, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.holes import Flags, Floats
from templgen.checks.neighbours import Pairs
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, counted, hole_name
from templgen.geometry.bulk import distinct
from templgen.layout.assembly import Fastener
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.limits import limit
from templgen.trade.source import Source
from templgen.units import mm_to_inches

MARGIN = limit("head-to-head")
DERIVED = Source("geometry of the heads", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for all neighbours that share a face, on both sides."""
    holes = survey.holes
    sides = (("outer", holes.head_outside), ("inner", holes.head_inside))
    found = [
        finding
        for side, heads in sides
        for finding in (*_unknown(survey, side, heads), *_on_side(survey, side, heads))
    ]
    yield from found or [RULE.not_applicable("no two heads of known size")]


def _unknown(survey: Survey, side: str, heads: Floats) -> Iterator[Finding]:
    holes = survey.holes
    # behind a screw in a nutplate stands the nutplate, which has a rule of its own
    in_plate = (holes.nutplate > 0) & (side == "inner")
    unknown = np.flatnonzero(~holes.plain & ~holes.exists & np.isnan(heads) & ~in_plate)
    if int((~holes.plain).sum()) < 2:
        return
    for number in distinct(holes.spec[unknown]):
        count = int((holes.spec[unknown] == number).sum())
        fastener = holes.fastener(int(unknown[holes.spec[unknown] == number][0]))
        yield RULE.not_checked(
            f"{counted(count, 'hole')} of {fastener.spec.name}: what stands on its {side} side is not known",
            survey.hole(fastener, None),
            cure=f"give {_missing_key(fastener, side)} of {fastener.spec.name}, from the part in hand",
            count=count,
        )


def _missing_key(fastener: Fastener, side: str) -> str:
    """The key of [fastener] that says what stands on a side: the head, or what is behind the sheets."""
    head_here = (fastener.head_side == "outside") == (side == "outer")
    return "head_diameter" if head_here else "behind_diameter"


def _on_side(survey: Survey, side: str, heads: Floats) -> Iterator[Finding]:
    holes, pairs = survey.holes, survey.sharing_pairs
    known = ~np.isnan(heads) & ~holes.plain
    pairs = pairs.where(known[pairs.first] & known[pairs.second])
    pairs = pairs.where(~_parted_by_sheet(survey, side, pairs))
    if not len(pairs):
        count = int(known.sum())
        if count > 1:
            yield RULE.found(
                Verdict.PASS,
                f"{counted(count, 'head')} on the {side} side: no two come near to each other",
                severity=Severity.INFORMATION,
                limit=MARGIN.mm(),
                count=count,
            )
        return
    yield from _judge(survey, side, pairs, heads)


def _parted_by_sheet(survey: Survey, side: str, pairs: Pairs) -> Flags:
    """Whether one of a pair is flush in a sheet over which the stack of the other goes on, to a head that is
    not: metal lies between them."""
    holes, end = survey.holes, 0 if side == "outer" else -1
    flush = holes.flush & (holes.outward == (side == "outer"))
    stacks = survey.stacks_by_number
    covered = [[a[end] in b and b[end] != a[end] for b in stacks] for a in stacks]
    goes_on = np.array(covered, dtype=bool).reshape(len(stacks), len(stacks))
    under: Flags = np.zeros(len(pairs), dtype=bool)
    for one, other in ((pairs.first, pairs.second), (pairs.second, pairs.first)):
        under |= flush[one] & ~flush[other] & goes_on[holes.stack[one], holes.stack[other]]
    return under


def _judge(survey: Survey, side: str, pairs: Pairs, heads: Floats) -> Iterator[Finding]:
    holes = survey.holes
    value = pairs.distance - heads[pairs.first] - heads[pairs.second]

    def say(index: int) -> Told:
        one, other = holes.fastener(int(pairs.first[index])), holes.fastener(int(pairs.second[index]))
        one, other = (other, one) if one.exists else (one, other)
        gap = float(value[index])
        overlap = gap < -ROUNDING_MM
        how = f"overlap by {both(-gap)}" if overlap else f"stand {both(gap)} apart"
        return Told(
            survey.hole(one, survey.shared_face(one, other)),
            f"the heads of {hole_name(one)} and {hole_name(other)} {how} on the {side} side, "
            f"need {both(MARGIN.mm())}",
            f"move them {at_least(MARGIN.mm() - gap)} apart",
            Severity.ERROR if overlap else Severity(MARGIN.severity),
            not overlap,
            DERIVED if overlap else MARGIN.source,
        )

    measured = Measured(
        value, np.full(len(value), MARGIN.mm()), holes.doubt[pairs.first] + holes.doubt[pairs.second]
    )
    what = f"pair of heads on the {side} side"
    yield from told(RULE, measured, say, Subject(), what, what.replace("pair", "pairs"))


RULE = Rule(
    name="heads-too-close",
    title="The heads of two fasteners touch or nearly touch",
    formula="head to head at least 1/32 in; overlap is an error",
    sources=(DERIVED, MARGIN.source),
    severity=Severity.ERROR,
    cure="move the fasteners apart, or use smaller heads",
    example=WorkedExample(
        "#8 flush screw beside a 1/8 universal rivet: (0.332 + 0.250) / 2 + 1/32 in",
        lambda: (0.332 + 0.250) / 2 + mm_to_inches(MARGIN.mm()),
        0.32225,
        "in",
    ),
    func=check,
)
