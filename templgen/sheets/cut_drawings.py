"""Drawings of flat parts for cut files: closed outlines and round holes, always as seen from outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.drawing import CircleMark, Drawing, Item, LineMark, Meaning, PageInfo, PathMark
from templgen.geometry import Vec
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding
from templgen.sheets.blanks import (
    Blank,
    blank_of,
    cut_holes,
    guided_holes,
    left_out_words,
    made_parts,
    through_parts,
)
from templgen.sheets.facts import both, numbers
from templgen.sheets.lettering import CALLOUT, pitch_of, words
from templgen.sheets.part_sheet import bend_words, holes_words, origin_of

__all__ = ["cut_drawings", "left_out_of_cuts"]

_BELOW = 8.0


def cut_drawings(job: Job, assembly: Assembly, findings: Sequence[Finding] = ()) -> dict[str, Drawing]:
    """Return one drawing per made part, by the part's name, in the plane of its flat, in millimetres.

    Outlines and cutouts are closed and carry no words; holes are circles of their final size: those that are
    drilled through another part are only shown, and those that a nutplate decides are left out; bend tangents
    are lines of their own kind. Notes stand below the outline. Of the
    findings the accepted ones are noted.
    """
    accepted = [finding for finding in findings if finding.accepted is not None]
    return {part.name: _drawing(job, blank_of(assembly, part), accepted) for part in made_parts(assembly)}


def left_out_of_cuts(assembly: Assembly) -> dict[str, str]:
    """Return which holes of a part its cut file does not have cut, in words, by the part's name."""
    told = {part.name: "; ".join(_not_cut(blank_of(assembly, part))) for part in made_parts(assembly)}
    return {name: words for name, words in told.items() if words}


def _not_cut(blank: Blank) -> Iterator[str]:
    left_out = left_out_words(blank)
    if left_out:
        yield left_out
    for guide, drilled in through_parts(blank).items():
        yield f"{numbers(drilled)} only on the layer do_not_cut: they are drilled through {guide}"


def _drawing(job: Job, blank: Blank, accepted: Sequence[Finding]) -> Drawing:
    name = blank.part.name
    items: list[Item] = [PathMark(contour, Meaning.CUT, name=name) for contour in blank.contours]
    shown = (hole for holes in guided_holes(blank).values() for hole in holes)
    for kind, holes in ((Meaning.HOLE, cut_holes(blank)), (Meaning.NOT_CUT, shown)):
        items += [
            CircleMark(each.at, each.diameter / 2, kind, name=str(each.fastener.number)) for each in holes
        ]
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
        *(f"holes: {line}; circles are the final size" for line in holes_words(job, cut_holes(blank))),
    ]
    for guide, holes in guided_holes(blank).items():
        drilled = numbers([hole.fastener for hole in holes])
        lines += [
            f"on the layer do_not_cut: {drilled}, since they are drilled through {guide}, clamped",
            *(f"drilled: {line}" for line in holes_words(job, holes)),
            f'(with made_from = "through {blank.part.name}" in the job they are cut, and guide the drill)',
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
