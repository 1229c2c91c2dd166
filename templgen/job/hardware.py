"""The builder's own hardware in a file beside the job, for all jobs of one folder."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from templgen.errors import JobError, Location
from templgen.job.airframe import FastenerDef
from templgen.job.fields import Node, empty_dict
from templgen.job.late import late_dict
from templgen.job.wording import shown

if TYPE_CHECKING:
    from templgen.job.openings import NutplateDef

    Nutplates = dict[str, NutplateDef]
else:
    Nutplates = late_dict("templgen.job.openings", "NutplateDef")

__all__ = ["HARDWARE_FILE", "Hardware", "stray_keys"]

HARDWARE_FILE = "hardware.toml"


class Hardware(Node):
    """A hardware table: fasteners and nutplates as in a job, in a unit of its own."""

    unit: Literal["in", "mm"] = Field(description="the unit of every bare number", examples=['"in"'])
    fastener: dict[str, FastenerDef] = Field(
        default_factory=empty_dict, description="kinds of fastener, by name"
    )
    nutplate: Nutplates = Field(default_factory=empty_dict, description="own nutplates, by name")


def stray_keys(
    tables: Mapping[str, Any], find: Callable[[tuple[str | int, ...]], Location]
) -> Iterator[JobError]:
    """The faults of a hardware file at its top: what is no hardware, and a missing unit."""
    for key in tables:
        if key not in ("unit", "fastener", "nutplate"):
            message = f"{HARDWARE_FILE} has no key {shown(key)}"
            yield JobError(message, at=find((key,)), hint="allowed: unit, [fastener.NAME], [nutplate.NAME]")
    if "unit" not in tables:
        hint = 'write unit = "in" or unit = "mm" at its top'
        yield JobError(f"{HARDWARE_FILE} needs the unit of its bare numbers", at=find(()), hint=hint)
