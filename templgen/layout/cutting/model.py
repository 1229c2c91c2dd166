"""What a cutting plan is: the holes that are drilled in the waste of a cutout, and the cuts between them."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from templgen.geometry import Line, Vec
from templgen.trade.cutters import Cutter

__all__ = ["CutMethod", "CuttingPlan", "PlanHole"]

CutMethod = Literal["corners", "chain", "none"]


class PlanHole(Struct, frozen=True):
    """One hole in the waste: its mark on the sheet, its centre (mm, skin plane), and what drills it."""

    name: str
    at: Vec
    cutter: Cutter

    @property
    def diameter(self) -> float:
        """Diameter in mm."""
        return self.cutter.diameter_mm

    @property
    def words(self) -> str:
        """What drills it: "step drill 15/16"."""
        return self.cutter.words

    @property
    def pilot(self) -> str:
        """The drill that goes first, "" where none does."""
        return self.cutter.pilot


class CuttingPlan(Struct, frozen=True):
    """How one cutout is opened. Places are in the cutout's plane, mm.

    Attributes:
        cutout: name of the cutout.
        feature: what the builder named.
        plane: plane of the cutout.
        faces: faces that it passes.
        method: drilled corners with straight cuts between, a chain of holes, or neither.
        holes: the holes, in order round the waste; none comes nearer to the finish edge than `allowance`.
        cuts: straight cuts from hole to hole (corners only); the webs of a chain are cut as they stand.
        allowance: metal left at the holes for the file, mm; a pilot may be as far off.
        cut_allowance: metal left along the straight cuts, mm, where the holes let them.
        pitch: chain: from hole to hole along the chain, mm.
        web: chain: the least metal left between two holes, mm.
        notes: sentences for the sheet.
        backed: whether wood goes behind the sheet; not where the inside is closed already.
    """

    cutout: str
    feature: str
    plane: str
    faces: tuple[str, ...]
    method: CutMethod
    holes: tuple[PlanHole, ...] = ()
    cuts: tuple[Line, ...] = ()
    allowance: float = 0.0
    cut_allowance: float = 0.0
    pitch: float | None = None
    web: float | None = None
    notes: tuple[str, ...] = ()
    backed: bool = True
