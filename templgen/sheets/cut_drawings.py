"""Drawings of flat parts for cut files: closed outlines and round holes, always as seen from outside."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.drawing import CircleMark, Drawing, Item, LineMark, Meaning, PageInfo, PathMark
from templgen.geometry import Vec
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding
from templgen.sheets.blanks import Blank, blank_of, cut_holes, left_out_words, made_parts, through_parts
from templgen.sheets.facts import both, numbers
from templgen.sheets.lettering import CALLOUT, pitch_of, words
from templgen.sheets.part_sheet import bend_words, holes_words, origin_of

__all__ = ["cut_drawings", "left_out_of_cuts"]

_BELOW = 8.0


def cut_drawings(job: Job, assembly: Assembly, findings: Sequence[Finding] = ()) -> dict[str, Drawing]:
    """Return one drawing per made part, by the part's name, in the plane of its flat, in millimetres.

    Outlines and cutouts are closed and carry no words; holes are circles of their final size, without those
    that a nutplate decides; bend tangents are lines of their own kind. Notes stand below the outline. Of the
    findings the accepted ones are noted.
    """
    accepted = [finding for finding in findings if finding.accepted is not None]
    return {part.name: _drawing(job, blank_of(assembly, part), accepted) for part in made_parts(assembly)}


def left_out_of_cuts(assembly: Assembly) -> dict[str, str]:
    """Return which holes the cut file of a part leaves out, in words, by the part's name."""
    told = {part.name: left_out_words(blank_of(assembly, part)) for part in made_parts(assembly)}
    return {name: words for name, words in told.items() if words}


def _drawing(job: Job, blank: Blank, accepted: Sequence[Finding]) -> Drawing:
    name = blank.part.name
    items: list[Item] = [PathMark(contour, Meaning.CUT, name=name) for contour in blank.contours]
    for hole in cut_holes(blank):
        items.append(CircleMark(hole.at, hole.diameter / 2, Meaning.HOLE, name=str(hole.fastener.number)))
    for bend in blank.pattern.bends:
        items += [LineMark(line, Meaning.BEND) for line in bend.tangents]
    corner = origin_of(blank) - Vec(0.0, _BELOW + CALLOUT)
    for count, line in enumerate(_notes(job, blank, accepted)):
        items.append(words(line, corner.x, corner.y - count * pitch_of(CALLOUT), CALLOUT))
    facts = (("part", name), ("seen from", "outside"), ("hand", job.hand), ("unit", "mm"), ("scale", "1:1"))
    info = PageInfo(f"{job.title}: {name}", job.digest, f"flat part {name}, as seen from outside", facts)
    return Drawing(tuple(items), info)


def _notes(job: Job, blank: Blank, accepted: Sequence[Finding]) -> list[str]:
    face = blank.face
    lines = [
        f"{blank.part.name}: {face.material}, {both(job, face.thickness)}",
        f"as seen from outside, {job.hand} hand, 1:1, drawn in mm",
        f"job {job.file}, digest {job.digest}",
        *(f"holes: {line}; circles are the final size" for line in holes_words(job, blank)),
    ]
    for guide, drilled in through_parts(blank).items():
        lines += [
            f"{numbers(drilled)}: the order of work drills them through {guide}, clamped; cut them only",
            f'if the job says made_from = "through {blank.part.name}": then they guide the drill',
        ]
    left_out = left_out_words(blank)
    lines += [left_out] if left_out else []
    lines += dict.fromkeys(bend_words(job, bend) for bend in blank.pattern.bends)
    for finding in accepted:
        who = finding.accepted
        if who is not None:
            lines.append(f"accepted: {finding.message} By {who.who}, {who.when}: {who.reason}")
    lines.append("a drawing aid, not approved data")
    return lines
