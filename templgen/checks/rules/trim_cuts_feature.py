"""A trim cuts a hole or a cutout, or leaves too little metal beside it.

Rule: What is trimmed keeps its holes and cutouts. Paper has no edge distance: every hole centre and every
    cutout stays on it. Metal keeps whole holes (2 D from a fastener's centre to the new edge, see also
    hole-too-near-edge) and 1.5 diameters or 3/8 in of metal beside openings. A trim that cuts is an error
    that nobody can accept; the set-back that would just pass is named. A trim line that does not reach
    its part is told: the builder counts on an edge that is not there.
Why: The part is cut to the line on the sheet, and the hole is gone with the strip that falls off.
Bad: A plate trimmed 3 mm through its rivet row because the mast stands too near to the rib.
Good: The mast moved, or the trim line set back less.
Source: Derived. Edge distance: AC 43.13-1B para 4-57. Metal beside openings: our own default.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from templgen.checks.edges import cutout_doubt, outline_doubt
from templgen.checks.extent import lowest_over
from templgen.checks.holes import Floats, Ints
from templgen.checks.inside import points_in_region
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.setback import set_back_words
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted, hole_name
from templgen.geometry import Region, region_contains
from templgen.layout.assembly import Cutout, Face, TrimEdge
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.limits import least_web, limit
from templgen.trade.source import Source

EDGE = limit("edge-least")
WEB = limit("web-enough")
FROM_PAPER = "paper"
DERIVED = Source("geometry of the trim", derived=True)


class _Beside(Struct, frozen=True):
    """One feature beside a trim line: how far its edge (or centre) stays inside it, and what it needs, mm."""

    name: str
    on: Subject
    left: float
    need: float
    edge: float
    doubt: float
    severity: Severity
    source: Source

    @property
    def short(self) -> float:
        return self.need - self.left


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every trim line and face: the feature that comes off worst decides."""
    if not survey.assembly.trims:
        yield RULE.not_applicable("nothing is trimmed")
    for trim in survey.assembly.trims:
        face = survey.assembly.faces[trim.face]
        if not trim.reaches:
            yield _unreached(survey, trim, face)
            continue
        beside = [*_holes(survey, trim, face), *_cutouts(survey, trim, face)]
        if not beside:
            yield RULE.not_applicable(f"{face.name} has neither hole nor cutout", survey.whole(face))
            continue
        yield _judge(trim, face, beside)


def _line(trim: TrimEdge) -> str:
    return f"the trim along {trim.structure}'s {trim.line} (set-back {both(trim.set_back)})"


def _unreached(survey: Survey, trim: TrimEdge, face: Face) -> Finding:
    """Say that the line runs beside the part, and how far beside it."""
    short = "" if face.outline is None else f" by {both(lowest_over(face.outline.outer, trim.half_plane))}"
    return RULE.found(
        Verdict.TOLD,
        f"{_line(trim)} does not reach {face.name}: it misses it{short}, and nothing is cut there",
        Subject(trim.where, "", face.name, face.plane),
        severity=Severity.INFORMATION,
        cure="leave the trim out, or look at its set-back and at the place of the feature",
        source=str(DERIVED),
    )


def _judge(trim: TrimEdge, face: Face, beside: list[_Beside]) -> Finding:
    worst = max(beside, key=lambda each: (each.short, each.doubt))
    cut = [each for each in beside if each.left < each.edge - ROUNDING_MM]
    line = _line(trim)
    if cut:
        gone = max(cut, key=lambda each: each.edge - each.left)
        message = f"{line} cuts {gone.name} of {face.name}: {both(gone.edge - gone.left)} too far in"
        on, severity, source = gone.on, Severity.ERROR, DERIVED
    else:
        message = (
            f"{line} leaves {both(worst.left)} beside {worst.name} of {face.name}, needs {both(worst.need)}"
        )
        on, severity, source = worst.on, worst.severity, worst.source
    short = sum(each.short > ROUNDING_MM for each in beside)
    message += f"; {counted(short, 'place')} of {len(beside)} short" if short > 1 else ""
    cure = f"leave {at_least(worst.short)} more{set_back_words(trim, worst.short)}"
    said = Told(on, message, cure, severity, not cut, source)
    return told_one(RULE, worst.left, worst.need, worst.doubt, said)


def _holes(survey: Survey, trim: TrimEdge, face: Face) -> Iterator[_Beside]:
    """The hole that comes nearest to the line: of the paper its centre counts, of metal its edge distance."""
    paper = survey.part_of(face).kind == "paper"
    holes = survey.holes.where(_marked_on(survey, face)) if paper else survey.holes_in(face)
    if not len(holes):
        return
    normal, point = trim.half_plane.direction.perp(), trim.half_plane.point
    heights = holes.xy @ np.array([normal.x, normal.y]) - point.dot(normal)
    webs = np.array([least_web(float(size)) for size in holes.hole]) + holes.hole / 2
    need = np.where(holes.plain, webs, EDGE.value * holes.diameter)
    if trim.edge == "formed":
        # a bent edge is no free edge: hole-too-near-bend judges the rest
        need = holes.hole / 2
    edge = holes.hole / 2
    if paper:
        need, edge = np.zeros(len(holes)), np.zeros(len(holes))
    for index in _worst_of(heights, need, edge):
        fastener = holes.fastener(index)
        plain = bool(holes.plain[index])
        severity = Severity.ERROR if paper else Severity((WEB if plain else EDGE).severity)
        source = DERIVED if paper else (WEB if plain else EDGE).source
        doubt = 0.0 if paper else float(holes.doubt[index]) + outline_doubt(survey.assembly, face)
        left = float(heights[index])
        on = survey.hole(fastener, face)
        yield _Beside(
            hole_name(fastener), on, left, float(need[index]), float(edge[index]), doubt, severity, source
        )


def _before(survey: Survey, paper: Face) -> list[Region]:
    """The paper as it was before it was trimmed, in pieces."""
    cut = [piece for trim in survey.assembly.trims if trim.face == paper.name for piece in trim.cut_away]
    return cut if paper.outline is None else [paper.outline, *cut]


def _marked_on(survey: Survey, paper: Face) -> Ints:
    """The new holes of the paper's plane that are marked from it: those that lay on it."""
    new = np.flatnonzero(survey.new_in(paper.plane))
    points = survey.holes.xy[new]
    on = np.zeros(len(new), dtype=bool)
    for piece in _before(survey, paper):
        on |= points_in_region(points, piece)
    marked = [survey.holes.fastener(int(index)).made_from == FROM_PAPER for index in new]
    chosen: Ints = new[on & np.array(marked, dtype=bool)]
    return chosen


def _drawn_on(survey: Survey, cutout: Cutout, paper: Face) -> bool:
    """Whether a cutout is traced from a paper: it lay on it, wholly or in part."""
    vertices = cutout.contour.vertices
    pieces = _before(survey, paper)
    return bool(cutout.faces) and any(region_contains(piece, point) for piece in pieces for point in vertices)


def _worst_of(heights: Floats, need: Floats, edge: Floats) -> list[int]:
    """All holes that come off short, or the one that comes nearest to it."""
    short = np.flatnonzero((heights < need - ROUNDING_MM) | (heights < edge - ROUNDING_MM))
    return [int(index) for index in short] or [int(np.argmin(heights - need))]


def _cutouts(survey: Survey, trim: TrimEdge, face: Face) -> Iterator[_Beside]:
    """Cutouts of the face; of the paper all of its plane, for each is traced from it."""
    paper = survey.part_of(face).kind == "paper"
    for cutout in survey.assembly.cutouts:
        if cutout.plane != face.plane or not (
            face.name in cutout.faces or (paper and _drawn_on(survey, cutout, face))
        ):
            continue
        left = lowest_over(cutout.contour, trim.half_plane)
        doubt = 0.0 if paper else cutout_doubt(cutout) + outline_doubt(survey.assembly, face)
        need = 0.0 if paper else WEB.mm()
        severity, source = (Severity.ERROR, DERIVED) if paper else (Severity(WEB.severity), WEB.source)
        yield _Beside(cutout.name, survey.cutout(cutout, face), left, need, 0.0, doubt, severity, source)


RULE = Rule(
    name="trim-cuts-feature",
    title="A trim cuts a hole or a cutout, or leaves too little metal",
    formula="new edge to hole centre at least 2 D, to openings least web; paper: centre at least 0",
    sources=(DERIVED, EDGE.source, WEB.source),
    severity=Severity.ERROR,
    cure="set the trim line back less, or move the feature",
    example=WorkedExample(
        "set-back 2.0 mm leaves 5.0 of 6.35 mm: the set-back that just passes",
        lambda: 2.0 - (6.35 - 5.0),
        0.65,
        "mm",
    ),
    func=check,
)
