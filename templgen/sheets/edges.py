"""Trimmed and butting edges on a sheet: the edge with its ticks, what was trimmed away, what to do there."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from templgen.drawing import Item, LineMark, Meaning, PathMark
from templgen.geometry import Bounds, Line
from templgen.job.model import Job
from templgen.layout.assembly import TrimEdge
from templgen.sheets.facts import both, listed
from templgen.sheets.lettering import NOTE, wrapped
from templgen.sheets.marks import butt_ticks, hatch_lines
from templgen.sheets.placement import Label
from templgen.sheets.view import clipped

__all__ = ["Edge", "can_butt", "cut_or_not", "edge_items", "edge_labels", "edge_words", "edges_of"]

_SAME = 0.05
_BEYOND = 5.0
_STEPS = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)
_DO_NOT_CUT = "Do not cut the paper here"
_STEPS_UP = ("web face", "heel", "free flange edge", "skin edge")
"""Lines at which something stands up from the skin, or it ends: an edge can be pushed against them."""
_FARTHEST = 15.0
"""How far from what a template shows the paper's edge may run, mm: the paper's margin and a little more."""


class Edge(Struct, frozen=True):
    """One straight edge, with all that was trimmed along it."""

    line: Line
    trims: tuple[TrimEdge, ...]

    @property
    def first(self) -> TrimEdge:
        """The metal's trim, the paper's where no metal is trimmed."""
        return self.trims[0]

    @property
    def metal(self) -> TrimEdge | None:
        """The trim of metal along this edge, if any."""
        return next((trim for trim in self.trims if not _is_paper(trim)), None)

    @property
    def paper(self) -> TrimEdge | None:
        """The trim of paper along this edge, if any."""
        return next((trim for trim in self.trims if _is_paper(trim)), None)


def can_butt(job: Job) -> bool:
    """Whether the paper can touch structure: only where it is laid on the inside, where the structure is."""
    return job.laid_on == "inside"


def edge_items(trims: Sequence[TrimEdge], box: Bounds) -> list[Item]:
    """Return new edges with ticks on the side of the structure, and what was cut away, dotted and hatched.

    The edge of a paper is shown as far as `box` goes (beside it, where it runs in the paper's margin); its
    waste is paper only and is not shown.
    """
    items: list[Item] = []
    edges = edges_of(trims, box)
    for edge in edges:
        items += _away(edge)
    # Where the paper has an edge of its own, that is the one to be cut: the metal's outline shows the other.
    of_paper = {edge.first.structure for edge in edges if edge.metal is None}
    for edge in edges:
        if edge.paper is None and edge.first.structure in of_paper:
            continue
        items.append(LineMark(edge.line, Meaning.BUTT))
        side = -1 if edge.first.half_plane.direction.dot(edge.line.direction) > 0 else 1
        items += butt_ticks(edge.line.start, edge.line.end, side=side)
    return items


def _away(edge: Edge) -> list[Item]:
    """The outline of the waste, and hatching where it is wide enough to show any."""
    items: list[Item] = []
    for region in edge.metal.cut_away if edge.metal else ():
        items += [PathMark(contour, Meaning.TRIMMED, name="trimmed away") for contour in region.contours]
        items += hatch_lines(region)
    return items


def edges_of(trims: Sequence[TrimEdge], box: Bounds) -> list[Edge]:
    """Return the edges that some trims made; edges that lie on each other are one edge."""
    found: list[Edge] = []
    # Metal first: its edges have true ends, the paper goes on beyond them.
    for trim in sorted(trims, key=_is_paper):
        for line in trim.new_edge:
            same = next((edge for edge in found if _lie_together(edge.line, line)), None)
            shown = _shown(line, box) if _is_paper(trim) else line
            if same is not None:
                found[found.index(same)] = Edge(same.line, (*same.trims, trim))
            elif shown is not None:
                found.append(Edge(shown, (trim,)))
    return found


def _shown(line: Line, box: Bounds) -> Line | None:
    """The part of a paper's edge beside what is shown: a paper that is to butt must show where."""
    shown = clipped(line, box.grown(_BEYOND))
    if shown is not None:
        return shown
    beside, over = clipped(line, box.grown(_FARTHEST)), _FARTHEST - _BEYOND
    if beside is None or beside.length <= 4 * over:
        return beside
    return beside.between(over / beside.length, 1.0 - over / beside.length)


def _is_paper(trim: TrimEdge) -> bool:
    return trim.face == "paper" or trim.face.startswith("paper of ")


def _lie_together(a: Line, b: Line) -> bool:
    across = b.direction.perp()
    near = all(abs((point - b.start).dot(across)) < _SAME for point in (a.start, a.end))
    return near and -1e-3 < b.parameter_of(a.midpoint) < 1.001


def edge_words(job: Job, edge: Edge) -> str:
    """Return what to do at an edge, and how much was trimmed away there."""
    trim = edge.first
    structure, at = trim.structure, _at(job, trim)
    away = ""
    if edge.metal is not None and edge.metal.depth > 0.0:
        away = f" Trimmed away: {both(job, edge.metal.depth)}."
    if edge.paper is None:
        if trim.edge != "butting":
            return f"Trimmed along {structure}, {trim.edge} edge, {at}.{away}"
        if trim.set_back:
            off = f"{both(job, trim.set_back)} off {structure}'s {trim.line}"
            return f"Edge of the {trim.face}: it stays {off}.{away}"
        return f"This edge butts against {structure}: {_stop(trim)}.{away}"
    if can_butt(job):
        return f"{_cut_words(edge.paper)}.{away}"
    what = f"Edge of the {trim.face} inside" if edge.metal else "Trim line"
    return f"{what}, at {structure}: {at}.{away} {_DO_NOT_CUT}: {_lay(job)}."


def cut_or_not(job: Job, structure: str) -> str:
    """Return the one thing that must be known at a paper's edge: whether it is cut there."""
    if can_butt(job):
        return f"Cut the paper at {structure}, on the thick ticked edge"
    return f"{_DO_NOT_CUT.removesuffix(' here')} at {structure}: {_lay(job)}"


def _at(job: Job, trim: TrimEdge) -> str:
    if not trim.set_back:
        return f"on the {trim.line}"
    return f"set back {both(job, trim.set_back)} from the {trim.line}"


def _lay(job: Job) -> str:
    return "lay the sheet on the ringed holes" if job.existing else "lay the rivet row on the rivets"


def _cut_words(trim: TrimEdge) -> str:
    """What a paper that is cut stops at; a line without a step stops nothing."""
    if trim.line not in _STEPS_UP:
        return f"Cut the paper here: lay its edge on {trim.structure}'s {trim.line}, nothing stops it there"
    return f"Cut the paper here: it butts against {trim.structure}, {_stop(trim)}"


def _stop(trim: TrimEdge) -> str:
    if trim.line in ("web face", "heel"):
        return "stop at the web, do not push under the radius"
    return f"stop at the {trim.line}"


def edge_labels(job: Job, trims: Sequence[TrimEdge], box: Bounds) -> list[Label]:
    """Return labels at trimmed edges: what to do there, and how much was trimmed away."""
    labels = []
    for edge in edges_of(trims, box):
        places = tuple(edge.line.point_at(step) for step in _STEPS)
        variants = wrapped(edge_words(job, edge), 78.0, 56.0, 42.0, 30.0) + _short(job, edge)
        outwards = -(edge.first.half_plane.direction.perp())
        must = "" if edge.paper is None else f"{cut_or_not(job, edge.first.structure)}."
        labels.append(Label(places, variants, NOTE, outwards=outwards, near=False, must=must))
    return [*labels, *_unreached_labels(job, trims, box)]


def _short(job: Job, edge: Edge) -> tuple[tuple[str, ...], ...]:
    """What must be told at a paper's edge where the whole has no room; the part's sheet has the rest."""
    if edge.paper is None:
        return ()
    if can_butt(job):
        return (*wrapped(_cut_words(edge.paper) + ".", 56.0, 42.0, 30.0), ("Cut the paper here",))
    return (*wrapped(f"{_DO_NOT_CUT}: {_lay(job)}.", 56.0, 42.0, 30.0), (_DO_NOT_CUT,))


def _unreached_labels(job: Job, trims: Sequence[TrimEdge], box: Bounds) -> list[Label]:
    """Labels where a trim line does not reach what it is to cut: nobody shall look for an edge there."""
    missed: dict[tuple[str, str], list[TrimEdge]] = {}
    for trim in trims:
        if not trim.reaches:
            missed.setdefault((trim.structure, trim.line), []).append(trim)
    labels = []
    for (structure, line), found in missed.items():
        back = max(trim.set_back for trim in found)
        at = f"{structure} ({line}{f', set back {both(job, back)}' if back else ''})"
        text = f"No trim here: the line at {at} does not reach the {listed([trim.face for trim in found])}."
        plane = found[0].half_plane
        start, end = sorted(box.corners, key=plane.height_of)[:2]
        places = tuple(Line(start, end).point_at(step) for step in _STEPS)
        variants = wrapped(text, 78.0, 56.0, 42.0, 30.0)
        labels.append(Label(places, variants, NOTE, outwards=-plane.direction.perp(), near=False))
    return labels
