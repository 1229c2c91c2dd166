"""Least distances of an opening's rows, as layout asks them of the trade's limits.

Where the job gives no number, rows stand at the preferred edge distance (2 D + 1/16 in, 2.5 D + 1/16 in for
flush heads): a drilling error then does not break the rule.
"""

from __future__ import annotations

from templgen.layout.assembly import FastenerSpec
from templgen.trade.limits import limit

__all__ = ["default_pitch", "head_radius", "least_edge", "least_pitch", "preferred_edge", "usual_row_gap"]

DEFAULT_PITCH_D = 6.0
"""Pitch of ring rivets where the job gives none: in the middle of the usual 4 D to 8 D (NAVEDTRA 14018)."""

USUAL_ROW_GAP = 0.75
"""From row to row in pitches (FAA-H-8083-31 ch. 4, from memory)."""


def default_pitch(spec: FastenerSpec) -> float:
    """Return the pitch of ring rivets where the job gives none, mm."""
    return DEFAULT_PITCH_D * spec.diameter


def usual_row_gap(spec: FastenerSpec, pitch: float) -> float:
    """Return the distance of two rivet rows, mm: three quarters of the pitch, never below the least."""
    return max(USUAL_ROW_GAP * pitch, limit("row-to-row").mm(diameter=spec.diameter))


def least_edge(spec: FastenerSpec) -> float:
    """Return the least distance from a hole's centre to a free edge, mm."""
    return limit("edge-flush" if spec.is_flush else "edge-least").mm(diameter=spec.diameter)


def preferred_edge(spec: FastenerSpec) -> float:
    """Return the edge distance that rows are laid out with, mm."""
    name = "edge-preferred-flush" if spec.is_flush else "edge-preferred"
    return limit(name).mm(diameter=spec.diameter)


def least_pitch(one: FastenerSpec, other: FastenerSpec) -> float:
    """Return the least distance of two holes, mm: the larger fastener counts, and a flush head."""
    flush = one.is_flush or other.is_flush
    return limit("pitch-flush" if flush else "pitch-least").mm(diameter=max(one.diameter, other.diameter))


def head_radius(spec: FastenerSpec, side: str) -> float:
    """Return the room that a fastener takes on a side, mm ("outside": the head; "inside": the driven one).

    An unknown head counts as twice the shank, about what a universal head measures. A flush head takes none
    on its own side.
    """
    if side == "outside" and spec.is_flush:
        return 0.0
    diameter = spec.head_diameter if side == "outside" else spec.driven_diameter
    return (2 * spec.diameter if diameter is None else diameter) / 2
