"""The steps of the work as blocks: number, title, access, how, what is drilled, boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.job.model import Job
from templgen.layout.work.marks import marks_in_short
from templgen.layout.work.model import Drilling, Step
from templgen.sheets.facts import both, listed
from templgen.sheets.lettering import TITLE
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.packet.blocks import Blank, SignLine, StepHead, StepText, Tick

__all__ = ["sign_off_blocks", "step_blocks"]

_SIGNED = (
    "Print proved true with a steel rule, both ways: x ............ y ............",
    "Looked behind the skin: no wires, lines, fuel or control cables where it is drilled.",
    "Trial cut in scrap or card tried on the real part.",
    "All holes and edges deburred, no scratch left in skin that stays.",
    "Rivets looked at: heads down, driven heads even, no gap between the sheets.",
    "Swarf out of the bay, tools counted, nothing left behind.",
    "Looked at by a second pair of eyes before it was closed.",
    "Licensed inspector, where local rules want one.",
    "Weight, balance and logbook written.",
)


def step_blocks(job: Job, steps: Sequence[Step]) -> list[Block]:
    """Return all steps in order; each stays on one page with its boxes."""
    blocks: list[Block] = [
        Heading("Steps", TITLE, space=0.0),
        Paragraph("In this order. The words at the right say what has to be open. Tick what is done."),
    ]
    for step in steps:
        blocks += _step(job, step)
    return blocks


def _step(job: Job, step: Step) -> list[Block]:
    blocks: list[Block] = [StepHead(str(step.number), step.title, step.access)]
    if step.detail:
        blocks.append(StepText(step.detail))
    where = listed(list(step.parts))
    drilled = {hole for drilling in step.drills for hole in drilling.holes}
    rest = [hole for hole in step.holes if hole not in drilled]
    if where:
        blocks.append(StepText(f"{where}.", "Parts:"))
    if rest:
        blocks.append(StepText(f"{marks_in_short(rest)}.", "Holes:"))
    blocks += [StepText(_drill_words(job, each), "Drill:") for each in step.drills]
    last = len(step.ticks) - 1
    return [*blocks, *(Tick(text, keeps_with_next=at < last) for at, text in enumerate(step.ticks))]


def _drill_words(job: Job, drilling: Drilling) -> str:
    remark = f"; {drilling.remark}" if drilling.remark else ""
    name = f"{drilling.drill}, " if drilling.drill else ""
    size = both(job, drilling.diameter)
    return f"{marks_in_short(drilling.holes)} with {name}{size}, in {listed(list(drilling.parts))}{remark}."


def sign_off_blocks() -> list[Block]:
    """Return the lines to sign on, and room for what was done otherwise."""
    return [
        Heading("Sign-off", TITLE, space=0.0),
        Paragraph("Signed by whoever did it or saw it. It replaces no entry that the rules want."),
        *(SignLine(text) for text in _SIGNED),
        Heading("Done otherwise than this packet says, and why", space=6.0),
        *(Blank() for _ in range(4)),
    ]
