"""What was decided in a job, in words: by the builder, or by the program where the job left it open."""

from __future__ import annotations

from collections.abc import Iterator

from templgen.geometry import Contour
from templgen.job.model import Job
from templgen.layout.assembly import Assembly, MastFit
from templgen.layout.openings.model import OpeningSet
from templgen.sheets.edges import can_butt, cut_or_not
from templgen.sheets.facts import listed, one
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.packet.chosen import chosen_words

__all__ = ["decision_blocks"]

_MADE = {
    "locating": "locating holes",
    "rivet": "rivets",
    "screw": "screws",
    "hole": "plain holes",
    "cut": "cuts",
}


def decision_blocks(job: Job, assembly: Assembly) -> list[Block]:
    """Return the decisions of a job: side and measuring, what is made, what was chosen for the builder."""
    blocks: list[Block] = [Heading("Decisions", 3.5, space=2.0)]
    blocks += [Paragraph(text, lead=lead) for lead, text in _whole_job(job)]
    blocks += [Paragraph(_mast_words(job, assembly, mast), lead=f"{mast.name}:") for mast in assembly.masts]
    blocks += [
        Paragraph(_opening_words(job, assembly, each), lead=f"{each.name}:") for each in assembly.openings
    ]
    blocks += [Paragraph(text, lead=f"{name}:") for name, text in _others(job, assembly)]
    chosen = [text for text in (chosen_words(job, assembly, each) for each in assembly.openings) if text]
    if chosen or assembly.notes:
        blocks.append(Heading("Chosen for you, or to be checked"))
        blocks += [Paragraph(f"{text[:1].upper()}{text[1:]}", lead="-") for text in chosen]
        blocks += [Paragraph(f"{note[:1].upper()}{note[1:]}.", lead="-") for note in assembly.notes]
    return blocks


def _whole_job(job: Job) -> Iterator[tuple[str, str]]:
    measured = "" if job.measured_hand in (None, job.hand) else f" of the {job.measured_hand} side"
    how = "traced round" if job.use == "trace" else "stuck on"
    yield (
        "Side:",
        f"built for the {job.hand} hand; measured on the {job.measured_on}{measured}; paper laid on the "
        f"{job.laid_on} and {how}.",
    )
    yield (
        "Places:",
        f"from {job.axes.origin}; x {job.axes.x}, y {job.axes.y}; measured to {one(job, job.measured_to)}.",
    )
    said = [f"{_MADE[kind]} {one(job, value)}" for kind, value in job.drilled_to.given.items()]
    yield "Made to:", f"{', '.join(said)}, either way." if said else "nothing said."


def _size(job: Job, contour: Contour) -> str:
    box = contour.bounds
    return f"{one(job, box.width)} x {one(job, box.height)}"


def _sheet(job: Job, assembly: Assembly, face: str) -> str:
    found = assembly.faces[face]
    return f"{found.material} {one(job, found.thickness)}"


def _mast_words(job: Job, assembly: Assembly, mast: MastFit) -> str:
    cutout = next((each for each in assembly.cutouts if each.name == mast.cutout), None)
    size = f" {_size(job, cutout.contour)}" if cutout is not None else ""
    plate = f", its plate {mast.side} the skin ({_sheet(job, assembly, mast.flange_face)})"
    return f"cutout{size}, {one(job, mast.gap)} round the mast{plate}."


def _opening_words(job: Job, assembly: Assembly, opening: OpeningSet) -> str:
    cover = "lies on the skin" if opening.cover_kind == "lying" else f"flush, gap {one(job, opening.gap)}"
    made = {"whole": "in one piece", "split": "cut through once", "halves": "in two halves"}[
        opening.ring_made
    ]
    riveted = "on the bench" if opening.nutplates_riveted == "bench" else "in place"
    first = next((each for each in assembly.fasteners if each.name in opening.screws[:1]), None)
    size = f" {first.spec.size}" if first is not None else ""
    sentences = [
        f"clear opening {_size(job, opening.clear_hole)}",
        f"cover {_sheet(job, assembly, opening.cover_face)}, {cover}, {len(opening.screws)} screws{size}",
        f"ring {_sheet(job, assembly, opening.ring_face)}, {made}, {len(opening.ring_rivets)} rivets",
        f"nutplates riveted {riveted}",
        "opened at every flight" if opening.opened == "every flight" else "opened rarely",
    ]
    if opening.hangs is not None:
        sentences.append(f"{opening.hangs.name} hangs on the cover")
    return "; ".join(sentences) + "."


def _others(job: Job, assembly: Assembly) -> Iterator[tuple[str, str]]:
    """Brackets, plain parts, cutouts and trims."""
    for part in assembly.parts.values():
        if part.made and part.kind == "bracket":
            yield part.name, f"bracket of {_sheet(job, assembly, part.faces[0])}, bent."
    named = {each.name for each in assembly.openings} | {each.name for each in assembly.masts}
    for cutout in assembly.cutouts:
        if cutout.feature not in named:
            yield cutout.name, f"cutout {_size(job, cutout.contour)} through {listed(list(cutout.faces))}."
    yield from _trims(job, assembly)


def _trims(job: Job, assembly: Assembly) -> Iterator[tuple[str, str]]:
    """What is cut at which line; a paper that can not butt is not cut, and says so as its sheet does."""
    edges: dict[tuple[str, str, float], list[str]] = {}
    uncut: dict[str, None] = {}
    for trim in assembly.trims:
        if assembly.parts[assembly.faces[trim.face].part].kind == "paper" and not can_butt(job):
            uncut[trim.structure] = None
        else:
            edges.setdefault((trim.structure, trim.line, trim.set_back), []).append(trim.face)
    for (structure, line, back), faces in edges.items():
        away = f", set back {one(job, back)}" if back else ""
        yield "Trim", f"{listed(list(dict.fromkeys(faces)))} at the {line} of {structure}{away}."
    for structure in uncut:
        yield "Trim", f"{cut_or_not(job, structure)}."
