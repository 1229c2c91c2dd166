"""Can a ring that is cut through once be wound in through an opening, as a key ring is wound onto a key?

One end is sprung inwards and goes under the skin; then the ring is turned so that all of its band passes one
place of the opening. A stretch of band, the ramp, leads from above the skin to below it; it has to lie in the
opening, and all the rest lies flat above or below. Seen along the band every ramp is a piece of ring of one
length, so the hull of them all, in the frame of its middle, is what must fit. That the ring springs without a
kink is the ramp's length (`ramp_length`); how it feels in the hand is not looked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templgen.geometry.bounds import Bounds
from templgen.geometry.contour import Contour
from templgen.geometry.distance import contour_contour
from templgen.geometry.holding import Held, HoleSpace, hold_turned, tangent_polygon
from templgen.geometry.offset import offset_contour
from templgen.geometry.plate import Bay, Plate, body_of
from templgen.geometry.poses import clearing_of, pose_round
from templgen.geometry.region import Region
from templgen.geometry.solids import Solid
from templgen.geometry.vector import Vec

__all__ = ["Winding", "ramp_length", "wind"]

Floats = NDArray[np.float64]

_STEP = 0.5
_SAMPLING = 0.1
"""What looking only every `_STEP` along the band and 1 mm along its edges can cost, mm."""

_TANGENTS = 72
_ANGLES = tuple(10.0 * number for number in range(36))


@dataclass(frozen=True, slots=True)
class Winding:
    """The answer: `clearance` (mm) of the ramp in the opening, less than 0 where it does not fit.

    The ramp's middle passes `at`, running along `angle` in the skin plane; `figure` is the hull of all ramps
    there. `tightest` says what hinders where it is not the opening.
    """

    passes: bool
    clearance: float
    at: Vec
    angle: float
    figure: tuple[Vec, ...]
    tightest: str


@dataclass(frozen=True, slots=True, eq=False)
class _Band:
    """A ring along its middle line: places and tangents (n, 2) every `_STEP`, and its edges.

    `edges` (m, 2) are points of both edges, `along` (m,) how far along the middle line each of them lies.
    """

    middle: Floats
    tangent: Floats
    edges: Floats
    along: Floats
    length: float

    def local(self, number: int, chosen: NDArray[np.bool_]) -> Floats:
        """Edge points in the frame of one place: x along the band, y to its left."""
        tx, ty = self.tangent[number]
        points: Floats = (self.edges[chosen] - self.middle[number]) @ np.array([[tx, -ty], [ty, tx]])
        return points


def ramp_length(lift: float, thickness: float, strain: float) -> float:
    """Return the shortest ramp (mm) over which a strip is sprung aside without passing a strain.

    A strip held along both ends and moved aside by d over a length l bends by 6 d / l^2 at its ends (beam
    built in at both ends), and strains by half its thickness times that: l = sqrt(3 d t / strain).
    """
    return math.sqrt(3 * lift * thickness / strain)


def wind(ring: Region, thickness: float, opening: HoleSpace, bay: Bay, ramp: float, lift: float) -> Winding:
    """Look for a place in the opening through which a ring, cut through once, can be wound in.

    Args:
        ring: the ring, with one opening in it.
        thickness: of the ring with what stands on it, mm.
        opening: the opening in the skin.
        bay: the room behind.
        ramp: length of the ramp, mm.
        lift: how far the ring's ends are sprung apart, mm.
    """
    band = _band(ring)
    figure = _ramps(band, ramp)
    near = _near_solid(ring, thickness + lift, bay.solids)
    hindered = ""
    places = hold_turned(opening, figure, _ANGLES, 4)
    for held in places if not near else ():
        clearance = held.clearance - _SAMPLING
        if clearance < 0.0:
            break
        hindered = _walls(band, ring, thickness, bay, held)
        if not hindered:
            return _winding(figure, held, clearance, "")
    best = places[0]
    return _winding(figure, best, best.clearance - _SAMPLING, near or hindered)


def _winding(figure: Floats, held: Held, clearance: float, hindered: str) -> Winding:
    f = Vec.polar(1.0, held.angle)
    corners = tuple(held.at + f * float(x) + f.perp() * float(y) for x, y in figure)
    return Winding(clearance >= 0.0 and not hindered, clearance, held.at, held.angle, corners, hindered)


def _band(ring: Region) -> _Band:
    inner = ring.inner[0].as_ccw()
    line = offset_contour(inner, contour_contour(inner, ring.outer).distance / 2)[0]
    middle, tangent = _looks(line, _STEP)
    edges = np.concatenate([_looks(ring.outer, 1.0)[0], _looks(inner, 1.0)[0]])
    nearest = [int(((middle - edge) ** 2).sum(axis=1).argmin()) for edge in edges]
    return _Band(middle, tangent, edges, np.array(nearest) * (line.length / len(middle)), line.length)


def _looks(line: Contour, step: float) -> tuple[Floats, Floats]:
    """Places and tangents (n, 2) along a contour, evenly spaced."""
    count = math.ceil(line.length / step)
    found = [line.point_at(line.length * number / count) for number in range(count)]
    return np.array([(p.x, p.y) for p, _ in found]), np.array([(t.x, t.y) for _, t in found])


def _ramps(band: _Band, ramp: float) -> Floats:
    """A polygon round all pieces of band as long as a ramp, each in the frame of its middle."""
    reach = ramp / 2 + 1.0
    angles = 2 * np.pi * np.arange(_TANGENTS) / _TANGENTS
    normals = np.column_stack([np.cos(angles), np.sin(angles)])
    farthest = np.full(_TANGENTS, -np.inf)
    for number in range(len(band.middle)):
        here = band.length * number / len(band.middle)
        away = np.abs((band.along - here + band.length / 2) % band.length - band.length / 2)
        farthest = np.maximum(farthest, (band.local(number, away <= reach) @ normals.T).max(axis=0))
    return tangent_polygon(normals, farthest)


def _near_solid(ring: Region, below: float, solids: tuple[Solid, ...]) -> str:
    """A solid that reaches into the layer under the skin where the ring may swing."""
    box = ring.bounds
    centre, reach = np.array([box.centre.x, box.centre.y]), 1.5 * math.hypot(box.width, box.height)
    for solid in solids:
        low, high = solid.points[:, :2].min(axis=0), solid.points[:, :2].max(axis=0)
        away = np.maximum(np.maximum(low - centre, centre - high), 0.0)
        if solid.points[:, 2].min() - solid.radius < below and np.hypot(*away) - solid.radius < reach:
            return solid.name
    return ""


def _walls(band: _Band, ring: Region, thickness: float, bay: Bay, held: Held) -> str:
    """Whether the part under the skin touches a wall of the bay on its way; "" where it does not."""
    if bay.area is None:
        return ""
    shown = np.zeros(len(band.edges), dtype=bool)
    shown[::4] = True
    gap, before, moved = math.inf, None, 0.0
    for number in range(0, len(band.middle), 2):
        placed = _placed(band.local(number, shown), held)
        moved = max(moved, 0.0 if before is None else float(np.hypot(*(placed - before).T).max()))
        before = placed
        under = placed[band.along[shown] <= band.length * number / len(band.middle)]
        if len(under):
            gap = min(gap, _inside(under, bay.area))
    # 4 mm from point to point of an edge, and half of what a point moves from look to look
    return (
        ""
        if gap > 2.0 + moved / 2 and _slides_home(ring, thickness, bay, band, held)
        else "the walls of the bay"
    )


def _placed(local: Floats, held: Held) -> Floats:
    c, s = math.cos(math.radians(held.angle)), math.sin(math.radians(held.angle))
    points: Floats = local @ np.array([[c, s], [-s, c]]) + np.array([held.at.x, held.at.y])
    return points


def _inside(points: Floats, area: Bounds) -> float:
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(min(x0 - area.xmin, area.xmax - x1, y0 - area.ymin, area.ymax - y1))


def _slides_home(ring: Region, thickness: float, bay: Bay, band: _Band, held: Held) -> bool:
    """Whether the ring, once inside, can be turned and moved to its place, flat under the skin."""
    body = body_of(Plate(ring.outer, thickness))
    turned = held.angle - math.degrees(math.atan2(band.tangent[0][1], band.tangent[0][0]))
    away = body.centre - Vec(float(band.middle[0][0]), float(band.middle[0][1]))
    start = pose_round(body, 0.0, turned, 0.0, held.at + away.turned(turned), thickness / 2)
    short = -((turned + 180.0) % 360.0 - 180.0)
    for turn in (short, short - math.copysign(360.0, short)):
        home = pose_round(body, 0.0, turned + turn, 0.0, body.centre, thickness / 2)
        if clearing_of(body, start, home, (), bay.area, 0.0).gap > 0.0:
            return True
    return False
