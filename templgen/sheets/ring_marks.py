"""What the sheet of a ring shows of a flush opening: the edge of the skin hole, to lay the ring by."""

from __future__ import annotations

from collections.abc import Iterator

from templgen.drawing import Item, Meaning, PathMark
from templgen.geometry import Contour, Segment, Side, Vec, intersections, locate
from templgen.geometry.segment import split
from templgen.geometry.tolerance import JOIN
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.openings.model import OpeningSet
from templgen.sheets.blanks import Blank
from templgen.sheets.facts import both
from templgen.sheets.lettering import NOTE
from templgen.sheets.placement import Label

__all__ = ["ledge_items", "ledge_labels", "ledge_steps", "opening_laid_by"]


def opening_laid_by(assembly: Assembly, blank: Blank) -> OpeningSet | None:
    """Return the opening whose ring, or piece of a ring, shows inside the skin hole; None for other parts."""
    return next(
        (each for each in assembly.openings if each.ledge > 0.0 and blank.face.name in each.ring_faces), None
    )


def ledge_items(blank: Blank, opening: OpeningSet | None) -> list[Item]:
    """Return the edge of the skin hole where it lies on the ring's metal."""
    if opening is None:
        return []
    return [PathMark(line, Meaning.HIDDEN, name="skin hole") for line in _on_metal(blank, opening.skin_hole)]


def ledge_labels(blank: Blank, opening: OpeningSet | None) -> list[Label]:
    """Return the words at the lines of `ledge_items`, once."""
    if opening is None:
        return []
    lines = _on_metal(blank, opening.skin_hole)
    if not lines:
        return []
    longest = max(lines, key=lambda line: line.length)
    targets = tuple(longest.point_at(longest.length * (step + 0.5) / 12)[0] for step in range(12))
    words = (
        ("edge of the skin hole, to lay it by; not cut",),
        ("skin hole: not cut",),
        ("skin hole:", "not cut"),
    )
    return [Label(targets, words, NOTE, near=False, within=True)]


def ledge_steps(job: Job, opening: OpeningSet | None) -> Iterator[str]:
    """Yield how the line of `ledge_items` gets on the metal, and what it is for."""
    if opening is not None:
        yield (
            f"The dashed line on the metal is the edge of the skin hole, {both(job, opening.ledge)} from the "
            "ring's inner edge: draw it on the outside face of the metal with a fine marker. Behind the skin "
            "the ring is held so that this line lies at the edge of the hole on all sides."
        )


def _on_metal(blank: Blank, contour: Contour) -> list[Contour]:
    """The pieces of a contour that lie on a blank, those that follow each other as one line."""
    chains: list[list[Segment]] = []
    pieces = [piece for segment in contour.segments for piece in _pieces(blank, segment)]
    for piece in pieces:
        if chains and chains[-1][-1].end.distance_to(piece.start) <= JOIN:
            chains[-1].append(piece)
        else:
            chains.append([piece])
    if len(chains) > 1 and chains[-1][-1].end.distance_to(chains[0][0].start) <= JOIN:
        chains[0] = chains.pop() + chains[0]
    whole = len(chains) == 1 and chains[0][-1].end.distance_to(chains[0][0].start) <= JOIN
    return [Contour(tuple(chain), closed=whole) for chain in chains]


def _pieces(blank: Blank, segment: Segment) -> list[Segment]:
    meetings = (
        place for line in blank.contours for edge in line.segments for place in intersections(segment, edge)
    )
    parts = split(segment, [segment.parameter_of(place) for place in meetings])
    return [part for part in parts if _is_metal(blank, part.midpoint)]


def _is_metal(blank: Blank, place: Vec) -> bool:
    outer = blank.pattern.outline.outer
    if locate(place, outer) is not Side.INSIDE:
        return False
    return all(locate(place, line) is Side.OUTSIDE for line in blank.contours if line is not outer)
