"""How near a written file has to be to its drawing. The one place of these numbers."""

from __future__ import annotations

from types import MappingProxyType

__all__ = ["PEN_WITHIN", "WITHIN"]

WITHIN = MappingProxyType({"svg": 0.001, "pdf": 0.002, "dxf": 0.001})
"""Greatest deviation of any place in mm, by format. SVG is written to 0.0001 mm, DXF in full; in a PDF an arc
is a Bezier curve that leaves it by 5 millionths of the radius."""

PEN_WITHIN = 0.0005
"""Greatest deviation of a line width, or of a dash, in mm."""
