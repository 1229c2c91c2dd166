"""Every tolerance of the geometry floor, in mm unless the name says otherwise.

A sheet is cut to a tenth of a millimetre and a file is written to 0.0001 mm; the smallest tolerance
here only separates rounding noise of double numbers (about 1e-12 mm on a metre) from real lengths.
"""

from __future__ import annotations

__all__ = [
    "ANGLE_NOISE",
    "CONTACT",
    "CURVE_FIT",
    "GREATEST_BULGE",
    "JOIN",
    "LEAST_BULGE",
    "NODE",
    "OFFSET_SLACK",
    "SHORTEST",
    "SLIVER",
    "SMOOTH_TURN_DEG",
]

JOIN = 1e-9
"""Two consecutive segments meet when their ends are this near."""

SHORTEST = 1e-9
"""A shorter segment has no direction worth the name and is refused."""

CONTACT = 1e-8
"""Two curves this near touch; a point this near to a line lies on it."""

NODE = 1e-7
"""Ends of cut pieces this near become one node; above the error of a computed meeting point."""

SLIVER = 1e-6
"""A loop whose area is below this times its length is rounding noise and no metal."""

OFFSET_SLACK = 1e-6
"""A piece of an offset may lie this much too near to the original because of rounding at tangencies."""

CURVE_FIT = 0.005
"""Default for the largest deviation of fitted arcs from the true curve."""

ANGLE_NOISE = 1e-9
"""Two unit directions differ when the cross product is larger than this (no unit)."""

SMOOTH_TURN_DEG = 1e-4
"""Segments that turn less at their joint run into each other without a corner (degrees)."""

LEAST_BULGE = 1e-12
"""A flatter arc is a line (no unit)."""

GREATEST_BULGE = 1e5
"""A rounder arc is a full circle, which one arc can not say (no unit)."""
