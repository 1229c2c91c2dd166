"""Frames: from the face and the hand that were measured to the skin plane that everything is laid out in.

The skin plane is seen from outside for the hand that is built. A frame measured on the inside face sees left
and right changed; so does one measured on the other hand. Both together cancel. Which face the paper is laid
on changes no metal: it mirrors the view on a sheet only.
"""

from __future__ import annotations

import math
import re

from templgen.errors import JobError
from templgen.geometry import Line, Motion, Vec
from templgen.job.fields import Point
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Plane

__all__ = ["direction_words", "skin_plane", "skin_view", "vec", "web_plane"]

_OPPOSITE = {
    "aft": "forward",
    "back": "front",
    "down": "up",
    "front": "back",
    "forward": "aft",
    "inboard": "outboard",
    "left": "right",
    "outboard": "inboard",
    "port": "starboard",
    "rearward": "forward",
    "right": "left",
    "starboard": "port",
    "top": "bottom",
    "bottom": "top",
    "up": "down",
}
_ONE_HAND_ONLY = frozenset({"left", "right", "port", "starboard"})


def vec(point: Point) -> Vec:
    """Return a point of the job file as a vector, mm."""
    return Vec(point[0], point[1])


def skin_view(job: Job) -> Motion:
    """Return the motion from the measured frame to the skin plane: x -> -x, or nothing."""
    other_face = job.measured_on == "inside"
    other_hand = job.measured_hand is not None and job.measured_hand != job.hand
    return Motion.mirror_x() if other_face != other_hand else Motion.identity()


def skin_plane(job: Job, view: Motion) -> Plane:
    """Return the skin plane; the words for the axes stay with their turned vectors.

    Raises:
        JobError: words such as "left" for a job that was measured on the other hand: there they would be
        wrong.
    """
    if job.measured_hand is not None and job.measured_hand != job.hand:
        _require_words_for_both_hands(job)
    return Plane(
        name=SKIN_PLANE,
        seen_from="outside",
        x_words=job.axes.x,
        y_words=job.axes.y,
        origin_words=job.axes.origin,
        x_axis=view.apply_direction(Vec(1.0, 0.0)),
        y_axis=view.apply_direction(Vec(0.0, 1.0)),
    )


def _require_words_for_both_hands(job: Job) -> None:
    for key, words in (("x", job.axes.x), ("y", job.axes.y)):
        wrong = _ONE_HAND_ONLY.intersection(re.findall(r"[a-z]+", words.lower()))
        if wrong:
            raise JobError(
                f'axis word "{words}" is wrong on the other hand',
                at=job.axes.where(key),
                hint="the job was measured on the other hand; say inboard, outboard, forward, aft, up, down",
            )


def direction_words(plane: Plane, direction: Vec) -> str:
    """Return the axis word nearest to a direction of the skin plane: "aft", "inboard", "against the hinge".

    >>> plane = Plane("skin", "outside", "aft", "outboard", "corner")
    >>> direction_words(plane, Vec(0.0, -1.0)), direction_words(plane, Vec(0.9, 0.1))
    ('inboard', 'aft')
    """
    along_x, along_y = direction.dot(plane.x_axis), direction.dot(plane.y_axis)
    steep = math.fabs(along_y) > math.fabs(along_x)
    words, amount = (plane.y_words, along_y) if steep else (plane.x_words, along_x)
    return words if amount >= 0 else _OPPOSITE.get(words.strip().lower(), f"against {words}")


def web_plane(name: str, line: Line, skin: Plane) -> Plane:
    """Return the plane of a structure's web: x along its line from the first point, y away from the skin.

    Looked at with x to the right and y up it is seen from the left of the line (y points to the inside of the
    aircraft, the skin plane is seen from outside).
    """
    direction = line.direction
    return Plane(
        name=f"{name} web",
        seen_from=direction_words(skin, direction.perp()),
        x_words=direction_words(skin, direction),
        y_words="away from the skin",
        origin_words=f"first point of {name}, at the inner face of the skin",
    )
