"""What a sheet has to prove: its crosses, its features, and the shortest length that proves the job.

All of it is read off the finished drawings, so that what is judged is what is printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from msgspec import Struct

from templgen.drawing import CircleMark, Drawing, LineMark, Meaning, PathMark
from templgen.geometry import Bounds, Contour, Vec, flatten
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.sheets.compose import Sheet
from templgen.units import inches_to_mm

__all__ = [
    "STEEL_RULE_MM",
    "Feature",
    "crosses_of",
    "features_of",
    "largest_feature",
    "shortest_length",
    "tolerance_of",
]

STEEL_RULE_MM = 0.5
"""How far a length read off a steel rule may be off either way: one division (own default)."""
_PROVED_KINDS = ("template", "part", "fit")
_HOLES = (Meaning.HOLE, Meaning.LOCATING_HOLE)
_SAGITTA = 0.05


class Feature(Struct, frozen=True):
    """Something whose size must come out right.

    Attributes:
        name: what the builder calls it.
        sheet: number of the sheet, from 1.
        points: its outermost points on the page, mm.
        on_its_side: whether the page lies on its side.
    """

    name: str
    sheet: int
    points: tuple[Vec, ...]
    on_its_side: bool

    @property
    def span(self) -> float:
        """The largest distance between two of its points, mm."""
        return max((a.distance_to(b) for a, b in combinations(self.points, 2)), default=0.0)


def tolerance_of(job: Job) -> float:
    """How far any feature of a print may be off, mm: the job's own, else 0.25 mm, 0.010 in (own default)."""
    return job.tolerance or (inches_to_mm(0.010) if job.unit == "in" else 0.25)


def shortest_length(off: float, largest: float, tolerance: float) -> float:
    """The shortest length, mm, that proves a job: reading error x largest feature / tolerance.

    A length L that is read to `off` tells the scale to off / L, so a feature of the size D to off x D / L.

    >>> shortest_length(0.5, 150.0, 0.25)
    300.0
    """
    return off * largest / tolerance


def crosses_of(drawing: Drawing) -> Bounds | None:
    """The rectangle through the centres of the corner crosses; None where a page has none."""
    lines = (
        item.line for item in drawing.items if isinstance(item, LineMark) and item.meaning is Meaning.CROSS
    )
    return Bounds.of([line.midpoint for line in lines])


def largest_feature(features: Sequence[Feature]) -> float:
    """The size of the largest feature, mm; 0 where there is none."""
    return max((feature.span for feature in features), default=0.0)


def features_of(sheets: Sequence[Sheet], assembly: Assembly) -> tuple[Feature, ...]:
    """Return what must come out right: for each sheet all that is cut or drilled, then every hole pattern.

    Sheets of rough lines and of notes prove nothing. A hole pattern counts on the first sheet that shows it.
    """
    found: list[Feature] = []
    patterns: dict[str, Feature] = {}
    for number, sheet in enumerate(sheets, 1):
        if sheet.kind not in _PROVED_KINDS:
            continue
        holes = dict(_holes(sheet.drawing))
        points = [
            *holes.values(),
            *(point for contour in _cuts(sheet.drawing) for point in _outline(contour)),
        ]
        found += _feature(sheet.title, number, points, sheet.drawing)
        found += _feature(f"{sheet.title} and all that is joined to it", number, sheet.whole, sheet.drawing)
        for name, places in _patterns(holes, assembly):
            for feature in _feature(name, number, places, sheet.drawing):
                patterns.setdefault(name, feature)
    return (*found, *patterns.values())


def _feature(name: str, number: int, points: Sequence[Vec], drawing: Drawing) -> Iterator[Feature]:
    """The feature through some points, unless they are less than two."""
    hull = _hull(points)
    if len(hull) > 1:
        yield Feature(name, number, hull, (drawing.width or 0.0) > (drawing.height or 0.0))


def _holes(drawing: Drawing) -> Iterator[tuple[str, Vec]]:
    """Holes that are drilled, by the number beside them; those of the legend stand outside the crosses."""
    area = crosses_of(drawing)
    for item in drawing.items:
        is_hole = isinstance(item, CircleMark) and item.meaning in _HOLES and item.name.isdigit()
        if isinstance(item, CircleMark) and is_hole and area and area.contains(item.centre):
            yield item.name, item.centre


def _cuts(drawing: Drawing) -> Iterator[Contour]:
    """Outlines that are cut to; those of the legend stand outside the crosses."""
    area = crosses_of(drawing)
    for item in drawing.items:
        is_cut = isinstance(item, PathMark) and item.meaning is Meaning.CUT
        if isinstance(item, PathMark) and is_cut and area and area.contains(item.contour.bounds.centre):
            yield item.contour


def _outline(contour: Contour) -> list[Vec]:
    return flatten(contour, _SAGITTA)


def _patterns(holes: dict[str, Vec], assembly: Assembly) -> Iterator[tuple[str, list[Vec]]]:
    """Hole patterns of a sheet with more than one hole, as the job groups them."""
    groups: dict[str, list[Vec]] = {}
    for fastener in assembly.fasteners:
        if not fastener.exists and fastener.name in holes:
            groups.setdefault(fastener.group or fastener.feature, []).append(holes[fastener.name])
    for name, places in groups.items():
        yield f"{name} ({len(places)} holes)", places


def _hull(points: Sequence[Vec]) -> tuple[Vec, ...]:
    """The outermost points, counter-clockwise (monotone chain)."""
    places = sorted({(point.x, point.y) for point in points})
    if len(places) < 3:
        return tuple(Vec(*place) for place in places)
    lower, upper = _chain(places), _chain(places[::-1])
    return tuple(Vec(*place) for place in (*lower[:-1], *upper[:-1]))


def _chain(places: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for x, y in places:
        while len(chain) > 1:
            (ax, ay), (bx, by) = chain[-2:]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0.0:
                break
            chain.pop()
        chain.append((x, y))
    return chain
