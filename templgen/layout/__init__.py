"""The model under everything: a job laid out as faces, fasteners and cutouts."""

from __future__ import annotations

from templgen.layout.flat import FlatBend, FlatHole, FlatPattern, flat_pattern
from templgen.layout.lay_out import lay_out

__all__ = ["FlatBend", "FlatHole", "FlatPattern", "flat_pattern", "lay_out"]
