"""One view of the stack: a section through all joints, not to scale, and the set as seen from outside."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly
from templgen.sheets.facts import part_words
from templgen.sheets.holes import memory_blocks
from templgen.sheets.lettering import NOTE
from templgen.sheets.notes import Block, Paragraph
from templgen.sheets.packet.joints import Joint, joint_table, joints_of, planes_of
from templgen.sheets.packet.section import COLUMN, LABELS, SectionFigure
from templgen.sheets.table_rows import table_blocks

__all__ = ["stack_blocks"]


def stack_blocks(job: Job, assembly: Assembly, width: float) -> list[Block]:
    """Return the sections of all planes, then the table of their marks, in a column `width` mm wide."""
    joints = joints_of(assembly)
    if not joints:
        return []
    blocks: list[Block] = [
        Paragraph(
            "Faces in order, outside first; hatched is sheet, thick lines are fasteners. Where a bar is "
            "missing the part is not there.",
            NOTE,
        )
    ]
    for plane in planes_of(joints):
        own = [joint for joint in joints if joint.plane == plane]
        blocks += _figures(job, assembly, own, plane, width)
    drilled = [each for joint in joints for each in joint.fasteners]
    return [
        *blocks,
        *table_blocks(joint_table(job, assembly, joints), width),
        *memory_blocks(assembly, drilled),
    ]


def _figures(job: Job, assembly: Assembly, joints: Sequence[Joint], plane: str, width: float) -> list[Block]:
    """As many figures side by side in one as the page is wide, the rest in further ones."""
    count = max(1, int((width - LABELS) / COLUMN))
    where = "the skin" if plane == SKIN_PLANE else plane
    material = {
        face.name: part_words(job, assembly, assembly.parts[face.part]) for face in assembly.faces.values()
    }
    return [
        SectionFigure(assembly, tuple(joints[first : first + count]), f"Section at {where}", material)
        for first in range(0, len(joints), count)
    ]
