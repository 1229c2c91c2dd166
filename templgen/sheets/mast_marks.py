"""Marks that say how a mast lies: its axis at nose and tail, its middle, its section for reference."""

from __future__ import annotations

from collections.abc import Iterable

from templgen.drawing import Item, LineMark, Meaning, PathMark
from templgen.geometry import Contour, Line, Vec
from templgen.layout.assembly import MastFit
from templgen.sheets.lettering import CALLOUT, NOTE
from templgen.sheets.marks import centre_mark
from templgen.sheets.placement import Label

__all__ = ["axis_items", "axis_labels", "axis_lines", "reference_items", "reference_labels"]

_OFF = 1.0
"""The axis starts this far from the outline, mm: it must not be taken for a part of it."""
_BEYOND = 9.0
_INSIDE = 5.0
_ARM = 3.0


def axis_lines(contour: Contour, ahead: Vec, centre: Vec, beyond: float = _BEYOND) -> tuple[Line, Line]:
    """Return the axis of a mast outside an outline round its section: before the nose, behind the tail."""
    reach = [(vertex - centre).dot(ahead) for vertex in _points(contour)]
    nose, tail = centre + ahead * (max(reach) + _OFF), centre + ahead * (min(reach) - _OFF)
    return Line(nose, nose + ahead * beyond), Line(tail, tail - ahead * beyond)


def _points(contour: Contour) -> list[Vec]:
    return [segment.point_at(step / 8) for segment in contour.segments for step in range(9)]


def axis_items(lines: Iterable[Line]) -> list[Item]:
    """Return the axis as it is drawn."""
    return [LineMark(line, Meaning.CENTRE) for line in lines]


def axis_labels(lines: tuple[Line, Line], height: float = CALLOUT, within: bool = False) -> list[Label]:
    """Return the words nose and tail at the axis."""
    return [
        Label(
            (line.end, line.midpoint),
            ((word,),),
            height,
            outwards=line.direction,
            reach=25.0,
            within=within,
        )
        for line, word in zip(lines, ("nose", "tail"), strict=True)
    ]


def reference_items(mast: MastFit, has_cutout: bool) -> list[Item]:
    """Return the section of a mast on the sheet of the plate that carries it, with middle and axis.

    Where the plate has the cutout itself, nothing is drawn in it.
    """
    items = axis_items(_reference_lines(mast))
    if not has_cutout:
        items.append(PathMark(mast.section, Meaning.HIDDEN, name=f"{mast.name} section"))
        items += centre_mark(mast.centre, 0.0, _ARM, name="mast centre")
    return items


def reference_labels(mast: MastFit, has_cutout: bool, has_bore: bool) -> list[Label]:
    """Return the words at what `reference_items` draws; a bore that is cut round the middle needs none."""
    labels = axis_labels(_reference_lines(mast), NOTE, within=True)
    if has_cutout:
        return labels
    length = mast.section.length
    targets = tuple(mast.section.point_at(length * step / 12)[0] for step in range(12))
    words = (f"{mast.name}: section, to place it by; not cut", f"{mast.name}: not cut", mast.name)
    if not has_bore:
        labels.append(
            Label((mast.centre,), (("middle of the mast",), ("middle",)), NOTE, arms=_ARM, within=True)
        )
    return [
        *labels,
        Label(targets, tuple((each,) for each in words), NOTE, near=False, within=True),
    ]


def _reference_lines(mast: MastFit) -> tuple[Line, Line]:
    """Clear of the cutout round the section too."""
    nose, tail = axis_lines(mast.section, mast.forward, mast.centre, _INSIDE)
    ahead = mast.forward * mast.gap
    return Line(nose.start + ahead, nose.end + ahead), Line(tail.start - ahead, tail.end - ahead)
