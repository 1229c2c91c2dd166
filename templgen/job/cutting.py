"""How cutouts are cut and holes are dimpled: the builder's own tools, [cutters] and [dimpling]."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal

from pydantic import Field

from templgen.errors import JobError, UnitError
from templgen.job.around import Around, Faults
from templgen.job.fields import HoleText, Node, PositiveLength
from templgen.trade.cutters import CutterTool, read_cutters

__all__ = ["CUTTING_CHECKS", "CutBy", "Cutters", "Dimpling"]

CutBy = Literal["corners", "chain", "none"]
CUT_BY_WORDS = (
    "corners drilled and straight cuts between, a chain of holes, or none; default: what suits the outline"
)


class Cutters(Node):
    """The builder's drills, step drills and hole saws; a kind that is left out is the common set of it."""

    drills: list[HoleText] | None = Field(
        None, description="twist drills to 1/4 in; an empty list: none", examples=[["#40", "#30", "1/8"]]
    )
    step_drills: list[HoleText] | None = Field(
        None, description="every step of the step drills", examples=[["1/2 in", "5/8 in", "3/4 in"]]
    )
    hole_saws: list[HoleText] | None = Field(None, description="hole saws", examples=[["1 in", "1 1/4 in"]])
    allowance: PositiveLength | None = Field(
        None,
        description="what drilled corners leave for the file; a pilot may be as far off; default 0.3 mm",
        examples=["0.5 mm"],
    )


class Dimpling(Node):
    """How holes are dimpled."""

    die_radius: PositiveLength | None = Field(
        None, description="radius of the dimple die's face; default 1/4 in", examples=["3/16 in"]
    )
    ream: bool = Field(
        False,
        description="drill undersize, dimple, ream each sheet singly; default: final size, then dimple",
    )


def _cutters(cutters: Cutters, around: Around) -> Faults:
    given: list[tuple[str, CutterTool, Sequence[str] | None]] = [
        ("drills", "drill", cutters.drills),
        ("step_drills", "step drill", cutters.step_drills),
        ("hole_saws", "hole saw", cutters.hole_saws),
    ]
    for key, tool, sizes in given:
        try:
            read_cutters(tool, sizes or (), around.unit)
        except UnitError as error:
            yield JobError(f"{key}: {error}", at=cutters.where(key))


CUTTING_CHECKS: dict[type[Node], Callable[[Any, Around], Faults]] = {Cutters: _cutters}
"""The check of each kind of table, for `sense`."""
