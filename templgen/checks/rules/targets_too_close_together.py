"""The rivets by which a template is laid stand so close together that it turns about them.

Rule: A paper laid outside is placed by rivets that exist. What its farthest hole or cutout corner may be off
    by, when each rivet is off by its own doubt, is at most three times that doubt.
Why: Two rivets side by side fix the place of the paper and hardly its turn: a tenth at the rivets is a
    millimetre at the nose.
Bad: A template 300 mm long laid on two rivets 25 mm apart.
Good: The same template laid on the first and the last rivet that it reaches.
Source: Derived: leverage of a rigid sheet; the limit is our own default.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both
from templgen.geometry import Bounds, Vec
from templgen.geometry.alignment import placement_doubts
from templgen.layout.alignment import LARGEST_LEVER, LEAST_HOLES
from templgen.layout.assembly import Face
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import OWN_DEFAULT, Source
from templgen.units import format_number

DERIVED = Source("geometry of rigid motions", derived=True)
UNIT = "times a rivet's doubt"


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every paper that is laid on rivets that exist."""
    found = [each for paper in survey.papers if (each := _judge(survey, paper)) is not None]
    yield from found or [RULE.not_applicable("no paper is laid on rivets that exist")]


def _judge(survey: Survey, paper: Face) -> Finding | None:
    named = survey.assembly.targets.get(paper.name, ())
    targets = [each for each in survey.assembly.fasteners if each.exists and each.name in named]
    corners = _corners(survey, paper)
    if len(targets) < LEAST_HOLES or not corners or survey.assembly.alignment is not None:
        return None
    lever = _lever([each.at for each in targets], corners)
    passes = lever <= LARGEST_LEVER + ROUNDING_MM
    names = ", ".join(each.name for each in targets)
    apart = max(a.at.distance_to(b.at) for a in targets for b in targets)
    return RULE.found(
        Verdict.PASS if passes else Verdict.FAIL,
        f"{paper.name} is laid on {names}, {both(apart)} apart: its farthest corner "
        f"may be off {format_number(lever, 2)} x what a rivet is, at most "
        f"{format_number(LARGEST_LEVER, 1, trim=True)} x",
        Subject(paper.at, "", paper.name, paper.plane),
        measured=lever,
        limit=LARGEST_LEVER,
        unit=UNIT,
        cure="" if passes else "measure holes that exist and stand farther apart",
    )


def _corners(survey: Survey, paper: Face) -> tuple[Vec, ...]:
    """The corners of the box round all that is marked from a paper."""
    points = [each.at for each in survey.assembly.fasteners if not each.exists and each.plane == paper.plane]
    points += [
        corner
        for each in survey.assembly.cutouts
        if each.plane == paper.plane
        for corner in each.contour.bounds.corners
    ]
    if paper.outline is not None:
        box = paper.outline.bounds
        points = [point for point in points if box.contains(point)]
    around = Bounds.of(points) if points else None
    return () if around is None else tuple(around.corners)


def _lever(places: list[Vec], corners: tuple[Vec, ...]) -> float:
    """How many times its targets' own doubt the worst corner may be off, all targets alike."""
    targets, at = (np.array([(point.x, point.y) for point in each]) for each in (places, corners))
    return float(placement_doubts(targets, np.ones(len(targets)), at).max())


RULE = Rule(
    name="targets-too-close-together",
    title="The rivets that place a template stand too close together for its size",
    formula=f"farthest corner off at most {format_number(LARGEST_LEVER, 1, trim=True)} x a rivet's doubt",
    sources=(DERIVED, Source(OWN_DEFAULT)),
    severity=Severity.WARNING,
    cure="measure holes that exist and stand farther apart",
    example=WorkedExample(
        "two rivets 100 mm apart, a corner on their line 150 mm from their middle: 150 / 50",
        lambda: _lever([Vec(-50.0, 0.0), Vec(50.0, 0.0)], (Vec(150.0, 0.0),)),
        3.0,
        UNIT,
    ),
    func=check,
)
