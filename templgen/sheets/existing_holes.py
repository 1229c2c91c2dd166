"""What the notes say of the holes that exist and the paper is laid on: how far each is from its target."""

from __future__ import annotations

from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.sheets.facts import both
from templgen.sheets.notes import Block, Heading, Paragraph

__all__ = ["existing_hole_blocks"]


def existing_hole_blocks(job: Job, assembly: Assembly) -> list[Block]:
    """Return the residual of every hole that exists after the best turn and shift; nothing without any."""
    alignment = assembly.alignment
    if alignment is None:
        return []
    blocks: list[Block] = [
        Heading("Holes that exist"),
        Paragraph("How far each is from its place in the job after the best turn and shift of all."),
    ]
    for each in alignment.holes:
        left_out = "; measured wrong, left out" if each.is_wrong else ""
        told = f"{both(job, each.residual)} off, doubts explain {both(job, each.bound)}{left_out}."
        blocks.append(Paragraph(f"{each.hole.name}: {told}"))
    return blocks
