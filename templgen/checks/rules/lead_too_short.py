"""A lead is too short to undo its plug with the box outside.

Rule: The free length of a lead, from its last support to the plug, reaches the plug while the whole box
    stands outside the opening at the stated hand distance. The way is the shortest one: through ring and
    skin, taut round their edges.
Why: A plug that can not be reached is pulled by its wires, or the box is never taken out.
Bad: A lead of 200 mm (7.9 in) where the taut way is 240 mm (9.4 in).
Good: The same lead of 280 mm (11 in), its slack tied where it touches nothing.
Source: Derived from the places of support, opening and plug; AC 43.13-1B para 11-118 asks for slack on top of
    it.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.openings import DERIVED, of_opening, skin_thickness
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry import Vec
from templgen.geometry.holding import HoleSpace
from templgen.geometry.taut import Gate, Point3, TautLine, taut_line
from templgen.layout.finding import Finding, Severity
from templgen.layout.openings.model import HangingBox, Lead, OpeningSet, Plug
from templgen.trade.tables import sources_of

SLACK = sources_of("wires_and_tubes")["slack"]


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every lead to a box on a cover."""
    boxes = [(each, each.hangs) for each in survey.assembly.openings if each.hangs and each.hangs.leads]
    if not boxes:
        yield RULE.not_applicable("no lead to a box on a cover")
    for opening, box in boxes:
        gates = gates_of(survey, opening)
        yield from (_of_lead(survey, opening, box, lead, gates) for lead in box.leads)


def _of_lead(
    survey: Survey, opening: OpeningSet, box: HangingBox, lead: Lead, gates: tuple[Gate, ...]
) -> Finding:
    plug = next(each for each in box.plugs if each.name == lead.plug)
    ends = plug_outside(box, plug, skin_thickness(survey))
    lines = [taut_line((lead.support.at, lead.support.z), end, gates) for end in ends]
    longest = max(lines, key=lambda line: line.length)
    convex = all(HoleSpace.of(gate.opening).is_convex for gate in gates)
    proven = convex or lead.free_length < _straight(longest)
    message = (
        f"{lead.name} to {plug.name}: {both(lead.free_length)} free, needs {both(longest.length)} with "
        f"{box.name} held {both(box.hand_distance)} outside {opening.name}"
    )
    short = longest.length - lead.free_length
    told = Told(
        of_opening(opening, place=longest.corners[1][0]),
        message,
        f"make it {at_least(max(short, 0.0))} longer and leave slack, or set its last support nearer",
        Severity.ERROR if proven else Severity.WARNING,
        source=DERIVED,
    )
    return told_one(RULE, lead.free_length, longest.length, 0.0, told)


def gates_of(survey: Survey, opening: OpeningSet) -> tuple[Gate, ...]:
    """Return the edges that a lead passes from inside: ring, then skin; z inwards from the skin's inner
    face."""
    ring, clear = survey.assembly.faces[opening.ring_face].thickness, opening.clear_hole.as_ccw()
    inner = [Gate(clear, ring)] + ([Gate(clear, 0.0)] if opening.cover_kind == "flush" else [])
    return (*inner, Gate(opening.skin_hole.as_ccw(), -skin_thickness(survey)))


def plug_outside(box: HangingBox, plug: Plug, skin: float) -> tuple[Point3, ...]:
    """Return where a plug leaves the box and where it ends, with the box lifted out to the hand distance.

    All of the box and of what stands on its top is then at least that far outside the skin's outer face.
    """
    top = max((each.stands_out for each in box.plugs if each.side == "top"), default=0.0)
    lift = box.cover_z + box.height + top + skin + box.hand_distance
    z = box.cover_z + plug.z - lift
    end = z + plug.stands_out if plug.side == "top" else z
    return (plug.at, z), (plug.at + plug.direction * plug.stands_out, end)


def _straight(line: TautLine) -> float:
    (start, z), (end, other) = line.corners[0], line.corners[-1]
    return Vec(start.distance_to(end), z - other).length


RULE = Rule(
    name="lead-too-short",
    title="A lead does not reach its plug with the box outside",
    formula="free length at least the taut way from the last support, round the edges, to the plug",
    sources=(DERIVED, SLACK),
    severity=Severity.ERROR,
    cure="make the lead longer, or set its last support nearer",
    example=WorkedExample(
        "support 30 mm behind, plug 60 mm outside, each 80 mm beside one edge: two hypotenuses",
        lambda: Vec(80.0, 30.0).length + Vec(80.0, 60.0).length,
        185.440,
        "mm",
    ),
    func=check,
)
