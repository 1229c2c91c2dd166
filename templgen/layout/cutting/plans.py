"""Which plan opens which cutout, by the job's own tools, and what the sheet says of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

from msgspec import Struct
from msgspec.structs import replace

from templgen.errors import JobError, Location
from templgen.job.cutting import CutBy
from templgen.job.model import Job
from templgen.layout.assembly import Assembly, Cutout
from templgen.layout.cutting.chain import Chain, chain_plan
from templgen.layout.cutting.corners import corner_plan
from templgen.layout.cutting.model import CutMethod, CuttingPlan, PlanHole
from templgen.layout.faults import Faults
from templgen.layout.prefixes import WASTE
from templgen.trade.cutters import Cutter, builders_cutters, common_cutters, file_allowance
from templgen.trade.limits import limit
from templgen.units import MM_PER_INCH, Unit, format_length

__all__ = ["cutters_of", "cutting_plans", "rough_allowance"]

_ROUGH: dict[Unit, float] = {"in": MM_PER_INCH / 16, "mm": 1.5}
"""What is left for the file along a rough cut (common practice, no source)."""
_CHAIN_MARGIN = limit("rough-cut-allowance")


def rough_allowance(unit: Unit) -> float:
    """Return how far a rough cut lies inside the waste, mm; a round number in the job's unit."""
    return _ROUGH[unit]


def cutters_of(job: Job) -> tuple[Cutter, ...]:
    """Return the tools that a job may count on: the builder's own, else the common set."""
    own = job.cutters
    if own is None:
        return common_cutters(job.unit)
    return builders_cutters(own.drills, own.step_drills, own.hole_saws, job.unit)


def cutting_plans(job: Job, assembly: Assembly) -> tuple[CuttingPlan, ...]:
    """Return a plan for every cutout, in the order of the assembly; marks are numbered through the job.

    Raises:
        JobFaults: a `cut_by` that the outline does not take, at its key.
    """
    faults, plans, count = Faults(), [], 0
    backed = not any(closing.done and closing.takes == "inside" for closing in job.closing)
    tools = _Tools(cutters_of(job), _allowance(job), rough_allowance(job.unit), job.unit, backed)
    asked = _asked(job)
    for cutout in assembly.cutouts:
        wish = asked.get(cutout.feature, _Wish(None, cutout.where))
        with faults.guard(wish.at, cutout.feature):
            plan = _plan(cutout, wish, tools)
            holes = tuple(replace(hole, name=f"{WASTE}{count + n}") for n, hole in enumerate(plan.holes, 1))
            plans.append(replace(plan, holes=holes, backed=backed))
            count += len(holes)
    faults.raise_if_any()
    return tuple(plans)


class _Wish(Struct, frozen=True):
    """What the job says of a cutout, and where."""

    cut_by: CutBy | None
    at: Location


class _Tools(Struct, frozen=True):
    cutters: tuple[Cutter, ...]
    allowance: float
    rough: float
    unit: Unit
    backed: bool

    def show(self, length: float) -> str:
        return format_length(length, self.unit)


class _Cuttable(Protocol):
    @property
    def name(self) -> str: ...

    @property
    def cut_by(self) -> CutBy | None: ...

    def where(self, key: str | None = None) -> Location: ...


def _asked(job: Job) -> dict[str, _Wish]:
    features: Sequence[_Cuttable] = (*job.mast, *job.opening, *job.cutout)
    return {feature.name: _Wish(feature.cut_by, feature.where("cut_by")) for feature in features}


def _allowance(job: Job) -> float:
    given = None if job.cutters is None else job.cutters.allowance
    return file_allowance() if given is None else given


def _plan(cutout: Cutout, wish: _Wish, tools: _Tools) -> CuttingPlan:
    """Return what was asked; where nothing was, the corner plan if the outline takes it, else the chain."""
    if wish.cut_by != "none":
        corners = None if wish.cut_by == "chain" else _corners(cutout, tools)
        if corners is not None:
            return corners
        if wish.cut_by == "corners":
            raise _refused(cutout, wish, tools)
        chain = _chain(cutout, tools)
        if chain is not None:
            return chain
        if wish.cut_by == "chain":
            hint = 'leave cut_by away, or cut_by = "none"'
            message = f"{cutout.name}: the waste is too narrow for a chain of holes"
            raise JobError(message, at=wish.at, hint=hint)
    why = "as the job says" if wish.cut_by == "none" else "the waste is too narrow"
    return _made(cutout, "none", notes=(f"{cutout.name}: no drilling plan, {why}; file to the line",))


def _refused(cutout: Cutout, wish: _Wish, tools: _Tools) -> JobError:
    largest = max((cutter.diameter_mm for cutter in tools.cutters), default=0.0)
    message = (
        f"{cutout.name} can not be opened by drilled corners and straight cuts: its edge bends where no bit "
        f"fits (the largest is {tools.show(largest)}), or a cut would come too near to an edge"
    )
    return JobError(message, at=wish.at, hint='cut_by = "chain", or larger cutters in [cutters]')


def _made(cutout: Cutout, method: CutMethod, **more: object) -> CuttingPlan:
    plan = CuttingPlan(cutout.name, cutout.feature, cutout.plane, cutout.faces, method)
    return replace(plan, **more)


def _corners(cutout: Cutout, tools: _Tools) -> CuttingPlan | None:
    allowance = tools.allowance + cutout.deviation
    found = corner_plan(cutout.contour, tools.cutters, allowance, max(tools.rough, allowance))
    if found is None:
        return None
    holes, cuts = found
    return _made(
        cutout,
        "corners",
        holes=holes,
        cuts=cuts,
        allowance=allowance,
        cut_allowance=max(tools.rough, allowance),
        notes=tuple(_corner_notes(cutout, holes, bool(cuts), tools)),
    )


def _corner_notes(cutout: Cutout, holes: Sequence[PlanHole], has_cuts: bool, tools: _Tools) -> Iterator[str]:
    left = tools.show(tools.allowance)
    yield f"{cutout.name}: the holes leave {left} at least for the file; a pilot may be off by as much"
    if has_cuts:
        yield f"{cutout.name}: cut straight from hole to hole on the dashed lines, then file to the line"
    if any(hole.cutter.is_backed_up for hole in holes):
        closed = "no wood goes behind a closed skin, try it in scrap"
        wood = "clamp wood behind the sheet" if tools.backed else closed
        yield f"{cutout.name}: {wood}; step drills and hole saws follow their pilot hole"


def _chain(cutout: Cutout, tools: _Tools) -> CuttingPlan | None:
    allowance = max(tools.allowance, _CHAIN_MARGIN.mm()) + cutout.deviation
    found = chain_plan(cutout.contour, tools.cutters, allowance)
    if found is None:
        return None
    return _made(
        cutout,
        "chain",
        holes=found.holes,
        allowance=allowance,
        cut_allowance=allowance,
        pitch=found.pitch,
        web=found.web,
        notes=tuple(_chain_notes(cutout, found, allowance, tools)),
    )


def _chain_notes(cutout: Cutout, chain: Chain, allowance: float, tools: _Tools) -> Iterator[str]:
    drill = chain.holes[0].words
    yield (
        f"{cutout.name}: chain of {len(chain.holes)} holes, {drill}, {tools.show(chain.pitch)} apart along "
        f"the edge; webs of {tools.show(chain.web)} at least are cut through from hole to hole"
    )
    yield f"{cutout.name}: the holes leave {tools.show(allowance)} at least for the file"
    if chain.left_out:
        yield f"{cutout.name}: where the waste is narrow one row of holes serves both edges"
    if chain.loops > 1:
        yield (
            f"{cutout.name}: the waste is too narrow for a row of holes between the {chain.loops} rings; "
            "saw or file through there"
        )
