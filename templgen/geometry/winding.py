"""Can a ring that is cut through once be wound in through an opening, as a key ring is wound onto a key?

One end is sprung inwards and goes under the skin; then the ring is turned so that all of its band passes one
place of the opening. A stretch of band, the ramp, leads from above the skin to below it; it has to lie in the
opening, and all the rest lies flat above or below. Seen along the band every ramp is a piece of ring of one
length, so the hull of them all, in the frame of its middle, is what must fit. That the ring springs without a
kink is the ramp's length (`ramp_length`); how it feels in the hand is not looked for.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.contour import Contour
from templgen.geometry.convex import convex_hull, tangent_polygon
from templgen.geometry.distance import contour_contour
from templgen.geometry.holding import Held, HoleSpace, hold, hold_turned
from templgen.geometry.offset import offset_contour
from templgen.geometry.plate import Bay, Plate, body_of
from templgen.geometry.poses import clearing_of, pose_round
from templgen.geometry.region import Region
from templgen.geometry.sampling import evenly_along
from templgen.geometry.solids import Solid
from templgen.geometry.vector import Vec

__all__ = ["Band", "Winding", "band_of", "ramp_length", "wind"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

_STEP = 0.5
_COARSE = 4
_SAMPLING = 0.1
"""What looking only every `_COARSE` steps along the band and every 1 mm along its edges can cost, mm."""

_TANGENTS = 72
_SHIFTED = 0.9
_ANGLES = tuple(10.0 * number for number in range(36))


class Winding(Struct, frozen=True):
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


class Band(Struct, frozen=True, eq=False):
    """A ring along its middle line, from its cut: places and tangents (n, 2) every `_STEP`, and its edges.

    `outline` is its outer edge. `edges` (m, 2) are points of both edges, `along` (m,) how far along the
    middle line each of them lies. `radius` is the least with which circles about the middle line cover the
    band, mm.
    """

    outline: Contour
    middle: Floats
    tangent: Floats
    edges: Floats
    along: Floats
    length: float
    radius: float

    def local(self, number: int, chosen: NDArray[np.bool_]) -> Floats:
        """Edge points in the frame of one place: x along the band, y to its left."""
        tx, ty = self.tangent[number]
        points: Floats = (self.edges[chosen] - self.middle[number]) @ np.array([[tx, -ty], [ty, tx]])
        return points


class _Swing(Struct, frozen=True):
    """The least gap of the part under the skin on its way round, and what is nearest."""

    gap: float
    nearest: str


def ramp_length(lift: float, thickness: float, strain: float) -> float:
    """Return the shortest ramp (mm) over which a strip is sprung aside without passing a strain.

    A strip held along both ends and moved aside by d over a length l bends by 6 d / l^2 at its ends (beam
    built in at both ends), and strains by half its thickness times that: l = sqrt(3 d t / strain).
    """
    return math.sqrt(3 * lift * thickness / strain)


def band_of(ring: Region, cut: Vec) -> Band:
    """Return a ring with one opening in it as a band that begins near its cut."""
    inner = ring.inner[0].as_ccw()
    line = offset_contour(inner, contour_contour(inner, ring.outer).distance / 2)[0]
    middle, tangent = evenly_along(line, _STEP)
    first = int(((middle - np.array([cut.x, cut.y])) ** 2).sum(axis=1).argmin())
    middle, tangent = np.roll(middle, -first, axis=0), np.roll(tangent, -first, axis=0)
    edges = np.concatenate([evenly_along(ring.outer, 1.0)[0], evenly_along(inner, 1.0)[0]])
    every = middle[::_COARSE]
    squares = (edges**2).sum(axis=1)[:, None] + (every**2).sum(axis=1) - 2 * edges @ every.T
    along = squares.argmin(axis=1) * (_COARSE * line.length / len(middle))
    # half a millimetre more: edges are looked at every millimetre
    return Band(
        ring.outer, middle, tangent, edges, along, line.length, math.sqrt(squares.min(axis=1).max()) + 0.5
    )


def wind(band: Band, thickness: float, opening: HoleSpace, bay: Bay, ramp: float, lift: float) -> Winding:
    """Look for a place in the opening through which a ring, cut through once, can be wound in.

    Args:
        band: the ring (see `band_of`).
        thickness: of the ring with what stands on it, mm.
        opening: the opening in the skin.
        bay: the room behind.
        ramp: length of the ramp, mm.
        lift: how far the ring's ends are sprung apart, mm.
    """
    figure = _ramps(band, ramp)
    best = hold_turned(opening, figure, _ANGLES)[0]
    solids = tuple(s for s in bay.solids if s.points[:, 2].min() - s.radius < thickness + lift)
    touched = _Swing(-math.inf, "")
    for held in _places(opening, figure):
        for back in (False, True):
            swing = _swing(band, held, bay, solids, back)
            if swing.gap > 0.0 and not _slides_home(thickness, bay, band, held):
                swing = _Swing(0.0, "the way home")
            if swing.gap > 0.0:
                return _winding(figure, held, held.clearance - _SAMPLING, "")
            touched = max(touched, swing, key=lambda each: each.gap)
    return _winding(figure, best, best.clearance - _SAMPLING, touched.nearest)


def _places(opening: HoleSpace, figure: Floats) -> Iterator[Held]:
    """Places where the ramp fits: amid the opening at every angle, then aside as far as it has room."""
    found = [hold(opening, figure, angle) for angle in _ANGLES[::3]]
    roomy = sorted((held for held in found if held.clearance > _SAMPLING), key=lambda held: -held.clearance)
    yield from roomy
    for held in roomy:
        shift = _SHIFTED * (held.clearance - _SAMPLING)
        for number in range(8):
            at = held.at + Vec.polar(shift, 45.0 * number)
            yield Held(at, held.angle, held.clearance - shift)


def _winding(figure: Floats, held: Held, clearance: float, hindered: str) -> Winding:
    f = Vec.polar(1.0, held.angle)
    corners = tuple(held.at + f * float(x) + f.perp() * float(y) for x, y in figure)
    return Winding(clearance >= 0.0 and not hindered, clearance, held.at, held.angle, corners, hindered)


def _ramps(band: Band, ramp: float) -> Floats:
    """A polygon round all pieces of band as long as a ramp, each in the frame of its middle."""
    # an edge point stands up to half a coarse step, and half a millimetre, from where it is said to be
    reach = ramp / 2 + _COARSE * _STEP / 2 + 0.5
    angles = 2 * np.pi * np.arange(_TANGENTS) / _TANGENTS
    normals = np.column_stack([np.cos(angles), np.sin(angles)])
    farthest = np.full(_TANGENTS, -np.inf)
    for number in range(0, len(band.middle), _COARSE):
        here = band.length * number / len(band.middle)
        away = np.abs((band.along - here + band.length / 2) % band.length - band.length / 2)
        farthest = np.maximum(farthest, (band.local(number, away <= reach) @ normals.T).max(axis=0))
    return tangent_polygon(normals, farthest)


def _swing(band: Band, held: Held, bay: Bay, solids: Sequence[Solid], back: bool) -> _Swing:
    """How the part under the skin swings round as the ring is wound in, from one end or from the other.

    Circles about the middle line stand for the band. A first look at few poses finds what is in the way for
    certain; then every pose is looked at, and what the band moves between two of them is taken off.
    """
    if bay.area is None and not solids:
        return _Swing(math.inf, "")
    coarse = _looked_at(band, held, bay, solids, back, 16, sure=False)
    return coarse if coarse.gap <= 0.0 else _looked_at(band, held, bay, solids, back, 1, sure=True)


def _looked_at(
    band: Band, held: Held, bay: Bay, solids: Sequence[Solid], back: bool, stride: int, sure: bool
) -> _Swing:
    poses, points = np.arange(0, len(band.middle), stride), np.arange(0, len(band.middle), max(stride, 8))
    placed = _placed(band, held, poses, points)
    under = points[None, :] >= poses[:, None] if back else points[None, :] <= poses[:, None]
    gaps, names = [], []
    if bay.area is not None:
        x, y, area = placed[..., 0], placed[..., 1], bay.area
        gaps.append(np.minimum.reduce([x - area.xmin, area.xmax - x, y - area.ymin, area.ymax - y]))
        names.append("the walls of the bay")
    for solid in solids:
        gaps.append(_to_shadow(placed, solid))
        names.append(solid.name)
    nearest = np.array([np.where(under, gap, np.inf).min(axis=1) for gap in gaps]) - band.radius
    if sure:
        moved = np.hypot(*np.moveaxis(np.diff(placed, axis=0, append=placed[:1]), -1, 0)).max(axis=1)
        nearest = np.minimum(nearest, np.roll(nearest, -1, axis=1)) - moved / 2 - max(stride, 8) * _STEP / 2
    thing, _ = np.unravel_index(nearest.argmin(), nearest.shape)
    return _Swing(float(nearest.min()), names[int(thing)])


def _placed(band: Band, held: Held, poses: Ints, points: Ints) -> Floats:
    """Places (p, n, 2) of points of the middle line in poses: the ramp's middle at the place that is held."""
    c, s = math.cos(math.radians(held.angle)), math.sin(math.radians(held.angle))
    tx, ty = band.tangent[poses, 0, None], band.tangent[poses, 1, None]
    away = band.middle[points][None, :, :] - band.middle[poses][:, None, :]
    along, left = away[..., 0] * tx + away[..., 1] * ty, away[..., 1] * tx - away[..., 0] * ty
    return np.stack([held.at.x + along * c - left * s, held.at.y + along * s + left * c], axis=-1)


def _to_shadow(places: Floats, solid: Solid) -> Floats:
    """Distances (p, n) to the shadow of a solid in the skin plane, never more than they are, mm."""
    hull = convex_hull(solid.points[:, :2])
    if len(hull) < 3:
        start, along = hull[0], hull[-1] - hull[0]
        square = float(along @ along)
        t = (
            np.clip((places - start) @ along / square, 0.0, 1.0)
            if square > 0.0
            else np.zeros(places.shape[:2])
        )
        apart: Floats = np.linalg.norm(places - start - t[..., None] * along, axis=-1)
    else:
        steps = np.roll(hull, -1, axis=0) - hull
        normals = np.column_stack([steps[:, 1], -steps[:, 0]]) / np.hypot(steps[:, 0], steps[:, 1])[:, None]
        apart = (places @ normals.T - (normals * hull).sum(axis=1)).max(axis=-1)
    return apart - solid.radius


def _slides_home(thickness: float, bay: Bay, band: Band, held: Held) -> bool:
    """Whether the ring, once inside, can be turned and moved to its place, flat under the skin."""
    body = body_of(Plate(band.outline, thickness))
    turned = held.angle - math.degrees(math.atan2(band.tangent[0][1], band.tangent[0][0]))
    away = body.centre - Vec(float(band.middle[0][0]), float(band.middle[0][1]))
    start = pose_round(body, 0.0, turned, 0.0, held.at + away.turned(turned), thickness / 2)
    short = -((turned + 180.0) % 360.0 - 180.0)
    for turn in (short, short - math.copysign(360.0, short)):
        home = pose_round(body, 0.0, turned + turn, 0.0, body.centre, thickness / 2)
        if clearing_of(body, start, home, bay.standing, bay.area, 0.0).gap > 0.0:
            return True
    return False
