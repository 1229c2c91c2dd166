"""Drawings of flat parts for cut files: closed outlines and round holes, always as seen from outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.drawing import CircleMark, Drawing, Item, LineMark, Meaning, PageInfo, PathMark
from templgen.geometry import Vec
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding
from templgen.layout.flat import FlatHole
from templgen.sheets.blanks import (
    Blank,
    blank_of,
    cut_holes,
    cut_size,
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

    Outlines and cutouts are closed and carry no words. Holes are circles of their pilot size, or of the final
    one where they have no pilot; those that are drilled through another part are only shown, in their final
    size, and those that a nutplate decides are left out. Bend tangents are lines of their own kind. Notes
    stand below the outline. Of the findings the accepted ones are noted.
    """
    accepted = [finding for finding in findings if finding.accepted is not None]
    return {part.name: _drawing(job, blank_of(assembly, part), accepted) for part in made_parts(assembly)}


def left_out_of_cuts(assembly: Assembly) -> dict[str, str]:
    """Return which holes of a part its cut file does not have, or not in their final size, by the part's
    name."""
    told = {part.name: "; ".join(_not_cut(blank_of(assembly, part))) for part in made_parts(assembly)}
    return {name: words for name, words in told.items() if words}


def _not_cut(blank: Blank) -> Iterator[str]:
    left_out = left_out_words(blank)
    if left_out:
        yield left_out
    for guide, drilled in through_parts(blank).items():
        yield f"{numbers(drilled)} only on the layer do_not_cut: they are drilled through {guide}"
    piloted = [hole.fastener for hole in cut_holes(blank) if hole.fastener.pilot]
    if piloted:
        yield f"{numbers(piloted)} at pilot size: they are drilled up by hand once the parts are parted"


def _drawing(job: Job, blank: Blank, accepted: Sequence[Finding]) -> Drawing:
    name = blank.part.name
    items: list[Item] = [PathMark(contour, Meaning.CUT, name=name) for contour in blank.contours]
    sized = [(Meaning.HOLE, each, cut_size(job, each)) for each in cut_holes(blank)]
    shown = (hole for holes in guided_holes(blank).values() for hole in holes)
    sized += [(Meaning.NOT_CUT, each, each.diameter) for each in shown]
    for kind, each, size in sized:
        items.append(CircleMark(each.at, size / 2, kind, name=str(each.fastener.number)))
    for bend in blank.pattern.bends:
        items += [LineMark(line, Meaning.BEND) for line in bend.tangents]
    corner = origin_of(blank) - Vec(0.0, _BELOW + CALLOUT)
    for count, line in enumerate(_notes(job, blank, accepted)):
        items.append(words(line, corner.x, corner.y - count * pitch_of(CALLOUT), CALLOUT))
    facts = (("part", name), ("seen from", "outside"), ("hand", job.hand), ("unit", "mm"), ("scale", "1:1"))
    info = PageInfo(f"{job.title}: {name}", job.digest, f"flat part {name}, as seen from outside", facts)
    return Drawing(tuple(items), info)


def _cut_words(job: Job, blank: Blank) -> Iterator[str]:
    """The holes that are cut: how many, which drill makes them, and which size their circles are."""
    by_size: dict[str, list[FlatHole]] = {}
    for hole in cut_holes(blank):
        size = f"the pilot, {both(job, cut_size(job, hole))}; drilled up by hand later"
        by_size.setdefault(size if hole.fastener.pilot else "the final size", []).append(hole)
    for size, holes in by_size.items():
        yield from (f"holes: {line}; circles are {size}" for line in holes_words(job, holes))


def _notes(job: Job, blank: Blank, accepted: Sequence[Finding]) -> list[str]:
    face = blank.face
    lines = [
        f"{blank.part.name}: {face.material}, {both(job, face.thickness)}",
        f"as seen from outside, {job.hand} hand, 1:1, drawn in mm",
        f"job {job.file}, digest {job.digest}",
        *_cut_words(job, blank),
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
