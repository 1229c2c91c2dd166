"""What the names of things on the sheets begin with: one kind, one prefix, so that no name means two things.

Holes that are drilled have plain numbers, corner crosses the letters A to D.
"""

from __future__ import annotations

__all__ = ["FASTENER", "FIT", "JOIN", "RIVET", "WASTE"]

FASTENER = "F"
"""A kind of fastener through one stack: a column of the section."""
FIT = "P"
"""A paper hole to slip over the real mast."""
JOIN = "J"
"""A target where two tiles meet."""
RIVET = "R"
"""A rivet that exists."""
WASTE = "C"
"""A hole in the waste of a cutout."""
