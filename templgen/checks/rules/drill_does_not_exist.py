"""No drill makes a hole of this size.

Rule: Every hole and every pilot hole has the size of a drill one can buy: number, letter, fraction or
    metric. Above the largest drill a step drill or a hole saw makes it; above 1/4 in they make the rounder
    hole in thin sheet.
Why: A size that no drill makes is drilled with the wrong one, and the fastener is loose or does not go in.
Bad: A hole of 3.33 mm (0.131 in).
Good: #30 (0.1285 in) for a 1/8 rivet.
Source: ASME B94.11M; metric sizes ISO 235. Step drills and hole saws: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both, counted
from templgen.errors import UnitError
from templgen.geometry.bulk import distinct
from templgen.layout.assembly import Fastener, FastenerSpec
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.drills import LARGE_DRILL_MM, Drill, all_drills, drill_label, find_drill
from templgen.units import inches_to_mm, mm_to_inches

SAME_MM = inches_to_mm(0.0005)
"""A hole this near to a drill is that drill's hole: sizes are written to three places."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every kind of new hole."""
    holes = survey.holes
    if holes.exists.all():
        yield RULE.not_applicable("no hole to drill")
    for number in distinct(holes.spec[~holes.exists]):
        indices = np.flatnonzero((holes.spec == number) & ~holes.exists)
        first = holes.fastener(int(indices[0]))
        yield _hole(survey, first, first.spec.hole, len(indices))
        pilot = _pilot(survey, first, len(indices))
        if pilot is not None:
            yield pilot
    yield from _other_holes(survey)


def _other_holes(survey: Survey) -> Iterator[Finding]:
    """Holes that have another size in one of their faces, each size of a kind once."""
    sizes: dict[tuple[str, float], list[Fastener]] = {}
    for fastener in survey.assembly.fasteners:
        for _, size in fastener.other_holes:
            if not fastener.exists:
                sizes.setdefault((fastener.spec.name, size), []).append(fastener)
    for (_, size), found in sizes.items():
        yield _hole(survey, found[0], size, len(found))


def _hole(survey: Survey, fastener: Fastener, size: float, count: int) -> Finding:
    on = survey.hole(fastener, None)
    what = f"{counted(count, 'hole')} {fastener.spec.name}, {both(size)}"
    drill = _nearest(size)
    if size > all_drills()[-1].diameter_mm + SAME_MM:
        return _passes(f"{what}: a step drill or a hole saw, from a pilot hole", on, count)
    if abs(drill.diameter_mm - size) <= SAME_MM:
        large = "; a step drill makes it round in thin sheet" if size > LARGE_DRILL_MM + SAME_MM else ""
        name = _named(fastener.spec, drill)
        return _passes(f"{what}: drill {name}{large}", on, count)
    near = " or ".join(drill_label(each) for each in _around(size))
    return RULE.found(
        Verdict.FAIL,
        f"{what}: no drill makes it",
        on,
        measured=size,
        limit=drill.diameter_mm,
        cure=f"use {near}",
        count=count,
    )


def _passes(message: str, on: Subject, count: int) -> Finding:
    return RULE.found(Verdict.PASS, message, on, severity=Severity.INFORMATION, count=count)


def _pilot(survey: Survey, fastener: Fastener, count: int) -> Finding | None:
    """A pilot hole is only named: its name is a drill's, or a size that a drill makes."""
    pilot = fastener.spec.pilot
    if not pilot or _is_drill(pilot):
        return None
    return RULE.found(
        Verdict.FAIL,
        f"{counted(count, 'hole')} {fastener.spec.name}: no drill is called {pilot} (pilot hole)",
        survey.hole(fastener, None),
        cure="name a drill, such as #40",
        count=count,
    )


def _is_drill(name: str) -> bool:
    try:
        find_drill(name)
    except UnitError:
        return False
    return True


def _named(spec: FastenerSpec, drill: Drill) -> str:
    """The job's own name of a drill, where it means the same size: #30 and not 3.25 mm."""
    if _is_drill(spec.drill) and abs(find_drill(spec.drill).diameter_mm - drill.diameter_mm) <= SAME_MM:
        return spec.drill
    return drill.name


def _nearest(diameter: float) -> Drill:
    return min(all_drills(), key=lambda drill: abs(drill.diameter_mm - diameter))


def _around(diameter: float) -> list[Drill]:
    """The next smaller and the next larger drill."""
    smaller = [drill for drill in all_drills() if drill.diameter_mm < diameter]
    larger = [drill for drill in all_drills() if drill.diameter_mm > diameter]
    return [*smaller[-1:], *larger[:1]]


RULE = Rule(
    name="drill-does-not-exist",
    title="No drill makes a hole of this size",
    formula="hole = a drill of ASME B94.11M or ISO 235, to 0.0005 in",
    sources=(find_drill("1/8").source, find_drill("#30").source),
    severity=Severity.ERROR,
    cure="use the next drill",
    example=WorkedExample("drill #30", lambda: mm_to_inches(find_drill("#30").diameter_mm), 0.1285, "in"),
    func=check,
)
