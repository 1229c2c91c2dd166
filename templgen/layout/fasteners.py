"""Fasteners: what the job says about a kind, completed from the trade's tables with their sources.

Solid rivets and screws have tables. A blind rivet has the builder's numbers only, never a solid rivet's head,
driven head or strength. What is known nowhere stays None.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, TypeVar

from msgspec import Struct

from templgen.errors import JobError, Location, UnitError
from templgen.job.model import FastenerDef, Job
from templgen.job.sizes import no_table_row
from templgen.layout.assembly import FastenerSpec
from templgen.layout.faults import SkippedError
from templgen.shapes.names import unknown
from templgen.trade.cutters import usual_pilot
from templgen.trade.drills import HoleSize, parse_hole_size
from templgen.trade.plausible import own_diameter
from templgen.trade.rivets import BlindRivet, driven_head, find_solid_rivet, rivet_head, rivet_shear
from templgen.trade.screws import clearance_hole, find_screw
from templgen.units import Unit, format_length

__all__ = ["FastenerSpecs"]

_SAME_MM = 1e-6
_HEADS = {
    "solid rivet": ("universal", "flush"),
    "blind rivet": ("protruding", "flush"),
    "screw": ("protruding", "flush"),
}
Value = TypeVar("Value")


class _Known(Struct):
    """What tables say about one size; the job's own numbers go before them."""

    diameter: float
    hole: str | None = None
    head_diameter: float | None = None
    head_height: float | None = None
    sharp_diameter: float | None = None
    driven_diameter: float | None = None
    driven_height: float | None = None
    shear_lbf: float | None = None
    sources: tuple[str, ...] = ()


class FastenerSpecs:
    """Looks up the specs of a job, each once.

    Args:
        job: for its [fastener] table and its unit.
    """

    def __init__(self, job: Job) -> None:
        self._job = job
        self._specs: dict[str, FastenerSpec] = {}
        self._holes: dict[float, FastenerSpec] = {}
        self._failed: set[str] = set()

    def named(self, name: str, at: Location) -> FastenerSpec:
        """Return the spec of a [fastener] name.

        Raises:
            JobError: no such name, no table row, a hole or head that can not be.
        """
        if name in self._failed:
            raise SkippedError(name)
        if name not in self._job.fastener:
            raise JobError(f'no fastener is called "{name}"', at=at, hint=unknown(name, self._job.fastener))
        if name not in self._specs:
            try:
                self._specs[name] = self._spec(name, self._job.fastener[name])
            except JobError:
                self._failed.add(name)
                raise
        return self._specs[name]

    def made(self, name: str, given: FastenerDef) -> FastenerSpec:
        """Return the spec of a fastener that the job leaves to the program; JobError as for `named`."""
        if name not in self._specs:
            self._specs[name] = self._spec(name, given)
        return self._specs[name]

    def plain_hole(self, diameter: float) -> FastenerSpec:
        """Return the spec of a round hole without a fastener, mm."""
        if diameter not in self._holes:
            size = parse_hole_size(f"{diameter:.10f} mm", "mm")
            name = size.drill.name if size.drill is not None else ""
            text = format_length(diameter, self._job.unit)
            self._holes[diameter] = FastenerSpec(
                f"hole {name or text}", "hole", text, diameter, diameter, name, usual_pilot(diameter), "none"
            )
        return self._holes[diameter]

    def spec_of(self, fastener: str | None, diameter: float | None, at: Location) -> FastenerSpec:
        """Return the spec of a hole that has either a fastener or a diameter; JobError for both or none."""
        if (fastener is None) == (diameter is None):
            given = "both" if fastener is not None else "neither"
            raise JobError(f"a hole has a fastener or a diameter; {given} is given", at=at)
        return self.named(fastener, at) if fastener is not None else self.plain_hole(diameter or 0.0)

    def _spec(self, name: str, given: FastenerDef) -> FastenerSpec:
        if given.head not in _HEADS[given.kind]:
            allowed = ", ".join(f'"{head}"' for head in _HEADS[given.kind])
            raise JobError(
                f"a {given.kind} has no {given.head} head", at=given.where("head"), hint=f"allowed: {allowed}"
            )
        known = self._known(given)
        hole = self._hole(given, "hole", given.hole or known.hole)
        wanted = given.pilot or usual_pilot(hole.diameter_mm)
        pilot = self._hole(given, "pilot", wanted) if wanted else None
        _require_fit(given, known.diameter, hole, pilot, self._job.unit)
        spec = FastenerSpec(
            name,
            given.kind,
            given.size,
            known.diameter,
            hole.diameter_mm,
            hole.drill.name if hole.drill is not None else hole.text,
            "" if pilot is None else (pilot.drill.name if pilot.drill is not None else pilot.text),
            given.head,
            seat=given.seat or "",
            head_diameter=_first(given.head_diameter, known.head_diameter),
            head_height=_first(given.head_height, known.head_height),
            sharp_diameter=known.sharp_diameter,
            driven_diameter=_first(given.behind_diameter, known.driven_diameter),
            driven_height=_first(given.behind_height, known.driven_height),
            grip_min=given.grip_min,
            grip_max=given.grip_max,
            unset_length=given.unset_length,
            shear_lbf=_first(given.shear_lbf, known.shear_lbf),
            sources=known.sources,
        )
        _require_blind_rivet(given, spec)
        return spec

    def _known(self, given: FastenerDef) -> _Known:
        if given.kind == "solid rivet":
            return _from_table(given, _solid, self._own_size)
        if given.kind == "screw":
            return _from_table(given, _screw, self._own_size)
        return _Known(self._own_size(given), sources=("given by the builder",))

    def _own_size(self, given: FastenerDef) -> float:
        unit = self._job.unit
        return _located(given, "size", lambda: own_diameter(given.kind, given.size, unit))

    def _hole(self, given: FastenerDef, key: str, text: str | None) -> HoleSize:
        if text is None:
            raise JobError(
                f"a {given.kind} {given.size} has no hole in the tables",
                at=given.where(),
                hint='give hole, such as "#30" or "3.3 mm"',
            )
        return _located(given, key, lambda: parse_hole_size(text, self._job.unit))


def _first(given: float | None, known: float | None) -> float | None:
    return known if given is None else given


def _located(given: FastenerDef, key: str, read: Callable[[], Value]) -> Value:
    try:
        return read()
    except UnitError as error:
        raise JobError(str(error), at=given.where(key)) from None


def _from_table(
    given: FastenerDef, table: Callable[[FastenerDef], _Known], own_size: Callable[[FastenerDef], float]
) -> _Known:
    """Return the table's row; where there is none, the builder's numbers must do, and all of them."""
    try:
        return table(given)
    except UnitError as error:
        fault = no_table_row(given, error)
        if fault is not None:
            raise fault from None
    return _Known(own_size(given), sources=("given by the builder",))


def _solid(given: FastenerDef) -> _Known:
    rivet = find_solid_rivet(given.size)
    driven, shear = driven_head(rivet.diameter_mm), rivet_shear(given.size)
    known = _Known(
        rivet.diameter_mm,
        hole=None if rivet.hole.drill is None else rivet.hole.drill.name,
        driven_diameter=driven.diameter_mm,
        driven_height=driven.height_mm,
        shear_lbf=None if shear is None else shear.value,
    )
    sources = [] if given.hole is not None else [f"hole: {rivet.hole.source}"]
    sources.append(f"driven head: {driven.source}")
    if given.head_diameter is None:
        head = rivet_head(rivet, "flush" if given.head == "flush" else "universal")
        known.head_diameter, known.head_height = head.diameter_mm, head.height_mm
        sources.append(f"head: {head.source}")
    known.sources = tuple(sources)
    return known


def _screw(given: FastenerDef) -> _Known:
    screw, hole = find_screw(given.size), clearance_hole(given.size)
    known = _Known(screw.major_mm, hole=hole.drill.name)
    sources = [] if given.hole is not None else [f"hole: {hole.source}"]
    if given.head == "flush":
        known.head_diameter, known.head_height = screw.head_max_mm, screw.head_height_mm
        known.sharp_diameter = screw.sharp_mm
        sources += [f"head: {screw.source}", f"sharp diameter: {screw.sharp_source}"]
    known.sources = tuple(sources)
    return known


def _require_fit(
    given: FastenerDef, diameter: float, hole: HoleSize, pilot: HoleSize | None, unit: Unit
) -> None:
    """Refuse a hole that its fastener, or its own pilot, does not go through."""
    places = 4 if unit == "in" else 3
    if hole.diameter_mm < diameter - _SAME_MM:
        raise JobError(
            f"a {given.size} {given.kind}, {format_length(diameter, unit, places)}, does not go into a hole "
            f"{hole.text}, {format_length(hole.diameter_mm, unit, places)}",
            at=given.where("hole"),
        )
    if pilot is not None and pilot.diameter_mm > hole.diameter_mm + _SAME_MM:
        raise JobError(
            f"pilot {pilot.text}, {format_length(pilot.diameter_mm, unit, places)}, is larger than the hole "
            f"{hole.text}, {format_length(hole.diameter_mm, unit, places)}",
            at=given.where("pilot"),
        )


def _require_blind_rivet(given: FastenerDef, spec: FastenerSpec) -> None:
    """Let the trade floor judge a blind rivet whose row is complete; gaps are left to the checks."""
    row = (spec.grip_min, spec.grip_max, spec.head_diameter, spec.head_height, spec.unset_length)
    if given.kind != "blind rivet" or any(value is None for value in row):
        return
    grip_min, grip_max, head_diameter, head_height, unset = (value or 0.0 for value in row)
    style: Literal["protruding", "flush"] = "flush" if spec.is_flush else "protruding"
    _located(
        given,
        "grip_max",
        lambda: BlindRivet(
            spec.diameter,
            spec.hole,
            grip_min,
            grip_max,
            head_diameter,
            head_height,
            style,
            unset,
            spec.shear_lbf,
        ),
    )
