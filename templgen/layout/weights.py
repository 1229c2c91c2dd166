"""What a job weighs: sheet added, metal taken out of what is there, and the moment about the datum.

Closed formulas, area times thickness times density, holes and cutouts taken off. Fasteners, sealant, paint
and the metal of countersinks are not reckoned; all of it is information.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import pi
from typing import Literal

from msgspec import Struct

from templgen.drawing import Table
from templgen.errors import UnitError
from templgen.job.model import Job
from templgen.layout.assembly import Assembly, Face
from templgen.layout.flat import FlatPattern, flat_pattern
from templgen.layout.hardware_list import METAL
from templgen.layout.openings.model import OpeningSet
from templgen.trade.sheet import find_material
from templgen.units import format_length, format_number, mm_to_inches

__all__ = ["GRAMS_PER_POUND", "Weight", "Weights", "weight_table", "weights"]

GRAMS_PER_POUND = 453.59237
"""The international avoirdupois pound, exact by definition."""
_MM_PER_M = 1000.0
_COLUMNS = ("what", "material", "area", "thickness", "g", "lb", "arm", "moment")


class Weight(Struct, frozen=True):
    """One piece of metal, or the box: grams (below zero for metal taken out, None where not known).

    `area` is in mm2 and `thickness` in mm, None for what is no sheet. `arm` is in mm from the datum, None
    where the job gives none.
    """

    name: str
    kind: Literal["added", "removed", "given"]
    material: str
    grams: float | None
    area: float | None = None
    thickness: float | None = None
    arm: float | None = None

    @property
    def moment(self) -> float | None:
        """Grams times arm in mm, None where either is not known."""
        return None if self.grams is None or self.arm is None else self.grams * self.arm


class Weights(Struct, frozen=True):
    """All weights of a job."""

    rows: tuple[Weight, ...]

    @property
    def change(self) -> float | None:
        """Grams that the aircraft gains, None while one of them is not known."""
        return _sum([row.grams for row in self.rows])

    @property
    def moment(self) -> float | None:
        """Change of moment in g mm, None where an arm or a weight is not known."""
        return _sum([row.moment for row in self.rows])


def _sum(values: list[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known and len(known) == len(values) else None


def weights(job: Job, assembly: Assembly) -> Weights:
    """Return what a job adds and takes out: made parts, boxes on covers, cutouts and holes in what is there.

    An opening's own arm goes before the job's.
    """
    return Weights((*_added(job, assembly), *_given(job, assembly), *_removed(job, assembly)))


def _arm(job: Job, opening: OpeningSet | None) -> float | None:
    return job.arm if opening is None or opening.arm is None else opening.arm


def _opening_of(assembly: Assembly, feature: str) -> OpeningSet | None:
    return next((each for each in assembly.openings if each.name == feature), None)


def _grams(material: str, area: float, thickness: float) -> float | None:
    try:
        return find_material(material).mass_g(area, thickness)
    except UnitError:
        return None


def _added(job: Job, assembly: Assembly) -> Iterator[Weight]:
    owners = {name: each for each in assembly.openings for name in (each.cover_face, *each.ring_faces)}
    for part in assembly.parts.values():
        if not part.made or part.kind not in METAL:
            continue
        if any(assembly.faces[name].outline is None for name in part.faces):
            continue
        pattern, owner = flat_pattern(assembly, part.name), owners.get(part.name)
        area = _area(pattern)
        yield Weight(
            part.name,
            "added",
            pattern.material,
            _grams(pattern.material, area, pattern.thickness),
            area,
            pattern.thickness,
            _arm(job, owner),
        )


def _area(pattern: FlatPattern) -> float:
    """The flat's metal: outline less cutouts and holes, mm2."""
    cut = sum(abs(contour.area) for contour in pattern.cutouts)
    return pattern.outline.area - cut - sum(_round(hole.diameter) for hole in pattern.holes)


def _round(diameter: float) -> float:
    return pi * diameter**2 / 4


def _given(job: Job, assembly: Assembly) -> Iterator[Weight]:
    for each in assembly.openings:
        if each.hangs is not None:
            arm = _arm(job, each)
            yield Weight(each.hangs.name, "given", "as the job gives it", each.hangs.mass_g, arm=arm)


def _removed(job: Job, assembly: Assembly) -> Iterator[Weight]:
    """Metal taken out of skin and structure, one row for each face and what the builder named."""
    for face in assembly.faces.values():
        if assembly.parts[face.part].made and assembly.parts[face.part].kind != "skin":
            continue
        if face.thickness <= 0.0:
            continue
        for feature, area in _taken_out(assembly, face).items():
            yield Weight(
                f"{feature}: out of {face.name}",
                "removed",
                face.material,
                _negative(_grams(face.material, area, face.thickness)),
                area,
                face.thickness,
                _arm(job, _opening_of(assembly, feature)),
            )


def _negative(grams: float | None) -> float | None:
    return None if grams is None else -grams


def _taken_out(assembly: Assembly, face: Face) -> dict[str, float]:
    """Area in mm2 that each feature takes out of a face: its cutouts and its new holes."""
    areas: dict[str, float] = {}
    for cutout in assembly.cutouts_of(face.name):
        areas[cutout.feature] = areas.get(cutout.feature, 0.0) + abs(cutout.contour.area)
    for hole in assembly.holes(face.name):
        if not hole.fastener.exists:
            feature = hole.fastener.feature
            areas[feature] = areas.get(feature, 0.0) + _round(hole.diameter)
    return areas


def weight_table(job: Job, assembly: Assembly) -> Table:
    """Return the weights of a job in g and lb, their sum, and the change of moment where arms are given."""
    found = weights(job, assembly)
    moment = "moment, lb in" if job.unit == "in" else "moment, kg m"
    columns: tuple[str, ...] = (*_COLUMNS[:-1], moment)
    total = ("change of the aircraft", "", "", "", *_mass(found.change), "", _moment(job, found.moment))
    rows: tuple[tuple[str, ...], ...] = (*(_row(job, row) for row in found.rows), total)
    if all(row.arm is None for row in found.rows):
        columns, rows = columns[:-2], tuple(row[:-2] for row in rows)
    datum = f" Arms from the datum: {job.datum}." if job.datum else ""
    notes = [
        "Information: area x thickness x density, holes and cutouts taken off; density from the tables. "
        f"Fasteners, sealant, paint and countersinks are not reckoned.{datum}"
    ]
    if any(row.arm is None for row in found.rows):
        notes.append("Without an arm there is no moment: give arm and datum in the job.")
    elif not job.datum:
        notes.append("The job does not say from which datum its arm counts.")
    return Table("Weights", columns, rows, tuple(notes))


def _row(job: Job, row: Weight) -> tuple[str, ...]:
    return (
        row.name,
        row.material or "not known",
        "" if row.area is None else _square(job, row.area),
        "" if row.thickness is None else format_length(row.thickness, job.unit),
        *_mass(row.grams),
        "" if row.arm is None else format_length(row.arm, job.unit),
        _moment(job, row.moment),
    )


def _square(job: Job, area: float) -> str:
    if job.unit == "mm":
        return f"{format_number(area, 0)} mm²"
    return f"{format_number(mm_to_inches(mm_to_inches(area)), 3)} in²"


def _mass(grams: float | None) -> tuple[str, str]:
    if grams is None:
        return "not known", "not known"
    return format_number(grams, 2), format_number(grams / GRAMS_PER_POUND, 4)


def _moment(job: Job, moment: float | None) -> str:
    if moment is None:
        return ""
    if job.unit == "mm":
        return format_number(moment / 1000.0 / _MM_PER_M, 4)
    return format_number(mm_to_inches(moment) / GRAMS_PER_POUND, 3)
