"""What the program chose for an opening where the job leaves it open, in one paragraph."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from templgen.geometry.distance import contours_apart
from templgen.job.model import Job
from templgen.job.openings import Opening
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.openings.model import OpeningSet
from templgen.layout.work.marks import marks_in_short
from templgen.sheets.facts import drill_words, numbers, one
from templgen.sheets.holes import in_face

__all__ = ["chosen_words"]

_SAME_MM = 0.005


def chosen_words(job: Job, assembly: Assembly, opening: OpeningSet) -> str:
    """Return the values of an opening that the job does not give, in its unit; "" where it gives them all."""
    given = next(each for each in job.opening if each.name == opening.name)
    named = {each.name: each for each in assembly.fasteners}
    screws, rivets = ([named[name] for name in row] for row in (opening.screws, opening.ring_rivets))
    said = [
        *_metal(job, assembly, opening, given),
        *_rows(job, opening, given, screws, rivets),
        *_drills(job, [each for each in assembly.fasteners if each.feature == opening.name]),
        *_waste(assembly, opening),
    ]
    return f"{opening.name}: {'; '.join(said)}." if said else ""


def _metal(job: Job, assembly: Assembly, opening: OpeningSet, given: Opening) -> Iterator[str]:
    """Ring and cover: how thick, how wide."""
    ring, cover = given.ring, given.cover
    if ring.thickness is None:
        yield f"ring {one(job, assembly.faces[opening.ring_face].thickness)} thick"
    if ring.width is None and ring.outline is None:
        yield f"ring {one(job, contours_apart(opening.clear_hole, opening.ring.outer, math.inf))} wide"
    if cover.thickness is None:
        yield f"cover {one(job, assembly.faces[opening.cover_face].thickness)} thick"
    if opening.cover_kind == "lying" and cover.overlap is None and cover.outline is None:
        yield f"cover over the edge by {one(job, contours_apart(opening.skin_hole, opening.cover, math.inf))}"
    if opening.cover_kind == "flush" and cover.ledge is None:
        yield f"ledge {one(job, opening.ledge)} wide"


def _rows(
    job: Job, opening: OpeningSet, given: Opening, screws: Sequence[Fastener], rivets: Sequence[Fastener]
) -> Iterator[str]:
    """Where the rows run, and how far it is from hole to hole, straight."""
    if given.screws.from_opening is None:
        off = contours_apart(opening.clear_hole, opening.screw_line, math.inf)
        yield f"screw row {one(job, off)} outside the opening"
    if given.screws.pitch is None and len(screws) > 1:
        yield f"screws {_apart(job, screws)} from one to the next"
    if given.rivets.from_edge is None:
        edge = contours_apart(opening.rivet_lines[0], opening.ring.outer, math.inf)
        yield f"rivet row {one(job, edge)} from the ring's edge"
    if given.rivets.pitch is None and len(rivets) > 1:
        yield f"ring rivets {_apart(job, rivets)} from one to the next"


def _apart(job: Job, row: Sequence[Fastener]) -> str:
    """The least and the most distance from a hole to the nearer of those beside it: rows end at cuts."""
    steps = [each.at.distance_to(other.at) for each, other in pairwise((row[-1], *row, row[0]))]
    near = [min(before, after) for before, after in pairwise(steps)]
    least, most = min(near), max(near)
    return one(job, most) if most - least < _SAME_MM else f"{one(job, least)} to {one(job, most)}"


def _drills(job: Job, fasteners: Sequence[Fastener]) -> Iterator[str]:
    """The final drills and the pilots that the job does not name, kind by kind, and rivets that it leaves."""
    kinds: dict[str, list[Fastener]] = {}
    for each in fasteners:
        kinds.setdefault(each.spec.name, []).append(each)
    for name, group in kinds.items():
        spec, own = group[0].spec, job.fastener.get(name)
        said = [] if own is not None else [f"{spec.kind} {spec.size} {spec.head}"]
        if own is None or own.hole is None:
            sizes = {face: in_face(each, face).spec for each in group for face in each.stack}
            said.append(
                f"drill {' or '.join(dict.fromkeys(drill_words(job, each) for each in sizes.values()))}"
            )
        if group[0].pilot and (own is None or own.pilot is None):
            said.append(f"pilot {group[0].pilot}")
        if said:
            yield f"{numbers(group)} {', '.join(said)}"


def _waste(assembly: Assembly, opening: OpeningSet) -> Iterator[str]:
    """What drills the holes in the waste."""
    for plan in assembly.cutting:
        tools: dict[str, list[str]] = {}
        for hole in plan.holes if plan.feature == opening.name else ():
            pilot = f", pilot {hole.pilot}" if hole.pilot else ""
            tools.setdefault(f"{hole.words}{pilot}", []).append(hole.name)
        for words, marks in tools.items():
            yield f"{marks_in_short(marks)} {words}"
