"""Ways of a plate from outside an opening to its place behind it, the simplest first.

Each begins with the plate outside, in the attitude in which it passes the opening, and goes straight in.
Inside, the plate is turned flat about its centre, moved and turned over its place, and raised against the
skin. What differs is where it is turned: where it came in, over its place, or aside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct

from templgen.geometry.poses import Body, Pose, pose_round
from templgen.geometry.vector import Vec

__all__ = ["Passage", "ways_in"]

_NEAR_SKIN = 2.0
_ASIDE = 0.35
"""How far aside a plate is turned, as a part of how far it reaches from its centre."""


class Passage(Struct, frozen=True):
    """How a plate passes an opening: attitude, where its origin crosses the inner face, how high it stands,
    mm."""

    turn: float
    heading: float
    tilt: float
    at: Vec
    height: float
    skin: float


def ways_in(body: Body, passage: Passage, depth: float, crowded: bool) -> Iterator[tuple[Pose, ...]]:
    """Yield ways as key poses; where nothing stands in the room one is enough.

    Args:
        body: the plate with all on it.
        passage: how it goes through.
        depth: of the room, mm.
        crowded: whether there are walls or things in the room.
    """
    guide = _Guide(body, passage, depth)
    ends = _ends(passage.heading, passage.turn)
    if not crowded:
        yield guide.in_place(ends[0], depth / 2)
        return
    hugging = passage.height / 2 + min(_NEAR_SKIN, (depth - passage.height) / 2)
    for end in ends:
        yield guide.in_place(end, depth / 2)
        yield guide.over_place(end, depth / 2)
        yield guide.at_once(end, depth / 2)
        yield guide.in_place(end, hugging)
    for end in ends:
        for number in range(8):
            aside = Vec.polar(_ASIDE * body.reach, 45.0 * number)
            yield guide.aside(end, depth / 2, aside)


class _Guide(Struct, frozen=True):
    body: Body
    passage: Passage
    depth: float

    def in_place(self, end: float, middle: float) -> tuple[Pose, ...]:
        """Turned flat where it came in, then moved and turned over its place."""
        outside, inside = self._through(middle)
        at = inside.place(self.body.centre, self.body.thickness / 2)[0]
        return outside, inside, self._flat(at, self.passage.heading, middle), *self._home(end, middle)

    def over_place(self, end: float, middle: float) -> tuple[Pose, ...]:
        """Moved over its place on edge, turned flat there, then turned."""
        outside, inside = self._through(middle)
        centre = self.body.centre
        on_edge = self._pose(centre, self.passage.heading, self.passage.tilt, middle)
        return (
            outside,
            inside,
            on_edge,
            self._flat(centre, self.passage.heading, middle),
            *self._home(end, middle),
        )

    def at_once(self, end: float, middle: float) -> tuple[Pose, ...]:
        """Turned flat, moved and turned over its place all at once."""
        return *self._through(middle), *self._home(end, middle)

    def aside(self, end: float, middle: float, aside: Vec) -> tuple[Pose, ...]:
        """Moved aside on edge, turned flat and turned there, then moved over its place."""
        outside, inside = self._through(middle)
        there = self.body.centre + aside
        on_edge = self._pose(there, self.passage.heading, self.passage.tilt, middle)
        flat, turned = self._flat(there, self.passage.heading, middle), self._flat(there, end, middle)
        return outside, inside, on_edge, flat, turned, *self._home(end, middle)

    def _through(self, middle: float) -> tuple[Pose, Pose]:
        """Outside the skin, and inside with the centre at a depth: straight along the plate's own plane."""
        passage, half = self.passage, self.body.thickness / 2
        tilt = math.radians(passage.tilt)
        slope = Vec.polar(max(math.cos(tilt), 0.0) / math.sin(tilt), passage.heading)
        rest = Pose(passage.turn, passage.heading, passage.tilt, passage.at, 0.0).place(
            self.body.centre, half
        )[1]
        depths = (-passage.skin - rest - passage.height / 2 - 1.0, middle - rest)
        out, inside = (
            Pose(passage.turn, passage.heading, passage.tilt, passage.at + slope * z, z) for z in depths
        )
        return out, inside

    def _pose(self, centre: Vec, heading: float, tilt: float, depth: float) -> Pose:
        return pose_round(self.body, self.passage.turn, heading, tilt, centre, depth)

    def _flat(self, centre: Vec, heading: float, depth: float) -> Pose:
        return self._pose(centre, heading, 0.0, depth)

    def _home(self, end: float, middle: float) -> tuple[Pose, Pose]:
        """Over its place at a depth, and in it."""
        return self._flat(self.body.centre, end, middle), Pose(
            self.passage.turn, end, 0.0, Vec(0.0, 0.0), 0.0
        )


def _ends(heading: float, turn: float) -> tuple[float, float]:
    """The headings at which the plate lies as it should, turned the short way and the long way round."""
    short = (turn - heading + 180.0) % 360.0 - 180.0
    return heading + short, heading + short + (360.0 if short <= 0.0 else -360.0)
