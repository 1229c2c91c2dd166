"""Holes that exist, as a case of a rule has them: targets, measured places and distances, fitted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from templgen.errors import Location
from templgen.geometry import Vec
from templgen.layout.alignment import Alignment, DistanceBetween, MeasuredHole, align

__all__ = ["aligned"]


def aligned(case: Mapping[str, Any]) -> Alignment | None:
    """The fit of a case's `existing` and `distances`; corners and candidates are points in mm."""
    if "existing" not in case:
        return None
    holes = [
        MeasuredHole(
            table["name"],
            Vec(*map(float, table["target"])),
            Vec(*map(float, table["at"])) if "at" in table else None,
            table.get("doubt", 0.3),
            table.get("target_doubt", 0.0),
            where=Location("case.toml", 2, 1),
        )
        for table in case["existing"]
    ]
    distances = [
        DistanceBetween(table["from"], table["to"], table["is"], table.get("doubt", 0.3))
        for table in case.get("distances", ())
    ]
    corners = [Vec(*map(float, point)) for point in case.get("corners", ())]
    candidates = {name: Vec(*map(float, point)) for name, point in case.get("candidates", {}).items()}
    return align(holes, distances, corners, candidates)
