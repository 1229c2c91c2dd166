"""Random figures for property tests; every figure drawn is valid, so no test has to throw any away."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from templgen.geometry import Contour, HalfPlane, Motion, Region, Segment, Side, Vec, locate, point_contour

__all__ = [
    "convex_contours",
    "half_planes",
    "lengths",
    "motions",
    "points",
    "regions",
    "segments",
    "simple_contours",
]

SLOT = Contour.from_bulges([Vec(-10, -3), Vec(10, -3), Vec(10, 3), Vec(-10, 3)], [0, 1, 0, 1], closed=True)
LENS = Contour.from_bulges([Vec(-10, 0), Vec(10, 0)], [0.4, 0.4], closed=True)
DUMBBELL = Contour.polygon(
    [
        *(Vec(-15, -5), Vec(-5, -5), Vec(-5, -1), Vec(5, -1), Vec(5, -5), Vec(15, -5)),
        *(Vec(15, 5), Vec(5, 5), Vec(5, 1), Vec(-5, 1), Vec(-5, 5), Vec(-15, 5)),
    ]
)
HOOK = Contour.polygon(
    [
        *(Vec(-15, -10), Vec(15, -10), Vec(15, 10), Vec(1, 10), Vec(1, 9), Vec(14, 9)),
        *(Vec(14, -9), Vec(-14, -9), Vec(-14, 9), Vec(-1, 9), Vec(-1, 10), Vec(-15, 10)),
    ]
)
SAW = Contour.from_bulges(
    [Vec.polar(30 if k % 2 else 28, 15 * k) for k in range(24)],
    [0.3 if k % 2 else -0.3 for k in range(24)],
    closed=True,
)
ZOO = (
    SLOT,
    LENS,
    DUMBBELL,
    HOOK,
    SAW,
    Contour.circle(Vec(2, -1), 12),
    Contour.rectangle(30, 20),
    Contour.rectangle(30, 20, corner_radius=4),
    Contour.rectangle(30, 20, corner_radius=10),
)


def lengths(least: float, largest: float) -> st.SearchStrategy[float]:
    """Lengths in mm on a grid of a thousandth."""
    return st.integers(round(least * 1000), round(largest * 1000)).map(lambda number: number / 1000)


def points(reach: float = 60.0) -> st.SearchStrategy[Vec]:
    """Points with both coordinates within ``reach`` mm."""
    return st.builds(Vec, lengths(-reach, reach), lengths(-reach, reach))


@st.composite
def motions(draw: st.DrawFn) -> Motion:
    """Any turn and shift, half of them mirrored."""
    motion = Motion.rotation(draw(st.floats(-180, 180)), draw(points()))
    motion = motion.then(Motion.translation(draw(points())))
    return Motion.mirror_x().then(motion) if draw(st.booleans()) else motion


@st.composite
def half_planes(draw: st.DrawFn) -> HalfPlane:
    """Lines near the origin at any angle, often along an axis."""
    angle = draw(st.sampled_from([0.0, 45.0, 90.0, 180.0, 270.0]) | st.floats(0, 360))
    return HalfPlane(draw(points(25)), Vec.polar(1, angle))


@st.composite
def stars(draw: st.DrawFn) -> Contour:
    """Outlines round the origin with corners in and out, joined by lines and arcs."""
    count = draw(st.integers(4, 9))  # from 4 on no gap reaches half a turn
    corners = [
        Vec.polar(draw(lengths(6, 40)), (k + draw(lengths(0.1, 0.9))) * 360 / count) for k in range(count)
    ]
    bulges = [draw(st.just(0.0) | lengths(-0.9, 0.9).filter(bool)) for _ in range(count)]
    curved = Contour.from_bulges(corners, bulges, closed=True)
    return curved if curved.is_simple else Contour.polygon(corners)


def simple_contours() -> st.SearchStrategy[Contour]:
    """Closed counter-clockwise outlines that do not touch themselves, 1 to 80 mm across."""
    return stars().map(Contour.as_ccw) | st.sampled_from(ZOO)


@st.composite
def convex_contours(draw: st.DrawFn) -> Contour:
    """Convex closed outlines of lines and arcs with corners on a circle."""
    count, radius = draw(st.integers(3, 8)), draw(lengths(5, 40))
    angles = [(k + draw(lengths(0.1, 0.9))) * 360 / count for k in range(count)]
    gaps = [(b - a) % 360 for a, b in zip(angles, angles[1:] + angles[:1], strict=True)]
    bulges = [draw(st.sampled_from([0.0, 0.3, 0.8])) * math.tan(math.radians(gap) / 4) for gap in gaps]
    return Contour.from_bulges([Vec.polar(radius, angle) for angle in angles], bulges, closed=True)


@st.composite
def regions(draw: st.DrawFn) -> Region:
    """Regions with up to two round openings that keep clear of the edge and of each other."""
    outer = draw(simple_contours())
    openings: list[Contour] = []
    for centre in draw(st.lists(points(25), max_size=2)):
        clear = min(point_contour(centre, contour).distance for contour in (outer, *openings))
        circle = Contour.circle(centre, max(draw(lengths(0.1, 0.9)) * clear, 1e-3))
        if clear > 0.1 and _is_free(centre, outer, openings):
            openings.append(circle)
    return Region(outer, tuple(openings))


def _is_free(centre: Vec, outer: Contour, openings: list[Contour]) -> bool:
    if locate(centre, outer) is not Side.INSIDE:
        return False
    return all(locate(centre, opening) is Side.OUTSIDE for opening in openings)


def segments() -> st.SearchStrategy[Segment]:
    """Single lines and arcs."""
    return simple_contours().flatmap(lambda contour: st.sampled_from(contour.segments))
