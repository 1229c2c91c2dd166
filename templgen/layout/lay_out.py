"""From the job to the assembly: the only place that decides where metal and holes are."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, Protocol, TypeVar

from msgspec.structs import replace

from templgen.errors import Location
from templgen.job.model import Job
from templgen.job.names import BASE_PLATE, SKIN, opening_parts
from templgen.layout.assembly import SKIN_PLANE, Assembly
from templgen.layout.axes import MeasuredFrame
from templgen.layout.brackets import add_bracket, add_bracket_holes
from templgen.layout.cutting.plans import cutting_plans
from templgen.layout.draft import Draft
from templgen.layout.fasteners import FastenerSpecs
from templgen.layout.faults import Faults
from templgen.layout.frames import skin_plane, skin_view
from templgen.layout.holes import add_existing_rivets, add_single_hole
from templgen.layout.masts import add_base_plate, add_mast_cutout, add_mast_holes
from templgen.layout.openings.steps import closings, tasks
from templgen.layout.paper import add_papers
from templgen.layout.parts import add_cutout, add_flat_part, add_part_holes, add_pattern
from templgen.layout.shape_use import Shapes
from templgen.layout.skin import add_skin, bound_skin
from templgen.layout.stacks import order_faces
from templgen.layout.structures import add_structure
from templgen.layout.trims import add_trims
from templgen.shapes import ShapeLibrary

if TYPE_CHECKING:
    from templgen.layout.alignment import Alignment

# What only openings and existing holes need is imported where a job has them: loading it takes longer than
# laying out a mast.

__all__ = ["lay_out"]


class _Named(Protocol):
    name: str

    def where(self, key: str | None = None) -> Location: ...


Item = TypeVar("Item", bound=_Named)


def lay_out(job: Job, library: ShapeLibrary) -> Assembly:
    """Lay out a job.

    Args:
        job: what the builder wrote, lengths in mm.
        library: the shapes it may use.

    Returns:
        Planes, parts with their faces, fasteners with their stacks, cutouts, trims; mm in the frame of each
        plane.

    Raises:
        JobFaults: all faults of sense of the job, each with its place in the file.
    """
    faults, view = Faults(), skin_view(job)
    draft = Draft(job, view, Shapes(library, job.unit), FastenerSpecs(job), faults)
    plane = None
    with faults.guard(job.axes.where(), "axes"):
        plane = skin_plane(job, view)
    if plane is None:
        faults.raise_if_any()
    else:
        draft.planes[SKIN_PLANE] = plane
    _add_bodies(draft)
    order_faces(draft)
    _add_holes(draft)
    _add_cutouts(draft)
    add_papers(draft)
    add_trims(draft)
    with faults.guard(job.skin.where(), SKIN):
        bound_skin(draft)
    faults.raise_if_any()
    alignment = _alignment(draft)
    assembly = _assembly(draft)
    return replace(assembly, cutting=cutting_plans(job, assembly), alignment=alignment)


def _each(draft: Draft, items: Iterable[Item], add: Callable[[Draft, Item], None]) -> None:
    """Add every item that was not refused before; a new refusal is remembered by its name."""
    for item in items:
        if item.name in draft.failed:
            continue
        if not draft.faults.attempt(item.where(), item.name, partial(add, draft, item)):
            draft.failed.add(item.name)


def _add_bodies(draft: Draft) -> None:
    job = draft.job
    add_skin(draft)
    _each(draft, job.structure, add_structure)
    _each(draft, job.mast, add_base_plate)
    draft.failed.update(f"{BASE_PLATE} of {name}" for name in [*draft.failed])
    if len(job.mast) == 1 and job.mast[0].name in draft.failed:
        draft.failed.add(BASE_PLATE)
    _each(draft, job.part, add_flat_part)
    if job.opening:
        from templgen.layout.openings.add import add_opening

        _each(draft, job.opening, add_opening)
    draft.failed.update(part for name in [*draft.failed] for part in _parts_of_opening(job, name))
    _each(draft, job.bracket, add_bracket)


def _add_holes(draft: Draft) -> None:
    """Number the holes in the order of the features: masts, holes, patterns, parts, brackets, openings."""
    job = draft.job
    _each(draft, job.mast, add_mast_holes)
    _each(draft, job.hole, add_single_hole)
    _each(draft, job.pattern, add_pattern)
    _each(draft, job.part, add_part_holes)
    _each(draft, job.bracket, add_bracket_holes)
    if job.opening:
        from templgen.layout.openings.add import add_opening_holes

        _each(draft, job.opening, add_opening_holes)
    add_existing_rivets(draft)


def _add_cutouts(draft: Draft) -> None:
    _each(draft, draft.job.mast, add_mast_cutout)
    _each(draft, draft.job.cutout, add_cutout)
    if draft.job.opening:
        from templgen.layout.openings.add import add_opening_cutouts

        _each(draft, draft.job.opening, add_opening_cutouts)


def _parts_of_opening(job: Job, name: str) -> tuple[str, ...]:
    """The parts of an opening that was refused; none for another feature."""
    return next((opening_parts(name, each.ring.made) for each in job.opening if each.name == name), ())


def _alignment(draft: Draft) -> Alignment | None:
    """How the paper lies on holes that exist, when all that it may lie on stands."""
    if not draft.job.existing:
        return None
    from templgen.layout.align import alignment_of

    alignment = None
    with draft.faults.guard(draft.job.where("existing"), "existing"):
        alignment = alignment_of(draft)
    draft.faults.raise_if_any()
    return alignment


def _measured_frame(job: Job) -> MeasuredFrame:
    hand = job.measured_hand or job.hand
    where = job.axes.where("x")
    return MeasuredFrame(job.axes.x, job.axes.y, job.measured_on, job.skin.surface, hand, where)


def _assembly(draft: Draft) -> Assembly:
    job = draft.job
    return Assembly(
        planes=draft.planes,
        parts=draft.parts,
        faces=draft.faces,
        fasteners=tuple(draft.fasteners),
        cutouts=tuple(draft.cutouts),
        bends=tuple(draft.bends),
        structures=draft.structures,
        trims=tuple(draft.trims),
        masts=tuple(draft.masts),
        view=draft.view,
        hand=job.hand,
        room_behind=job.skin.room_behind,
        room_behind_web={
            bracket.name: bracket.room_behind_web
            for bracket in job.bracket
            if bracket.room_behind_web is not None
        },
        smallest_file=job.smallest_file,
        drilled_to=job.drilled_to.given,
        notes=tuple(draft.notes),
        laid_on=job.laid_on,
        measured=_measured_frame(job),
        targets=draft.targets,
        dimple_die_radius=None if job.dimpling is None else job.dimpling.die_radius,
        openings=tuple(draft.openings),
        closings=closings(job),
        tasks=tasks(job),
        unit=job.unit,
    )
