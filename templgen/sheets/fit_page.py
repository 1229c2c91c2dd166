"""The fit page: the mast's section as paper holes, to slip over the real mast before metal is touched."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Item, Meaning, PathMark
from templgen.errors import GeometryError
from templgen.geometry import Bounds, Contour, Motion, Vec
from templgen.geometry.offset import offset_contour
from templgen.job.model import Job
from templgen.layout.assembly import MastFit, Plane
from templgen.layout.prefixes import FIT
from templgen.sheets.facts import both
from templgen.sheets.lettering import CALLOUT, NOTE
from templgen.sheets.mast_marks import axis_items, axis_labels, axis_lines
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.placement import Label
from templgen.sheets.remarks import Remark, accepted_section
from templgen.sheets.scene import Scene, Section

__all__ = ["FIT_STEP", "FitHole", "fit_holes", "fit_scene"]

FIT_STEP = 0.25
"""How much the tighter and the wider paper hole differ from the asked gap, in mm."""
_BETWEEN = 20.0
_AXIS = 5.0


class FitHole(Struct, frozen=True):
    """One paper hole: its name, its gap per side in mm, its outline with the nose to the left.

    `centre` is the middle of the mast in it.
    """

    name: str
    gap: float
    contour: Contour
    centre: Vec

    def moved(self, by: Vec) -> FitHole:
        """Return the hole at another place of the page."""
        motion = Motion.translation(by)
        return replace(self, contour=self.contour.moved(motion), centre=motion.apply(self.centre))


def fit_holes(mast: MastFit) -> tuple[FitHole, ...]:
    """Return the section at the asked gap, and 0.25 mm either side of it, as seen from outside."""
    lying = _lying(mast)
    holes = []
    for number, step in enumerate((-FIT_STEP, 0.0, FIT_STEP), 1):
        gap = mast.gap + step
        try:
            loops = [loop for loop in offset_contour(mast.section, gap) if loop.is_ccw]
        except GeometryError:
            continue
        if len(loops) == 1:
            holes.append(FitHole(f"{FIT}{number}", gap, loops[0].moved(lying), mast.centre))
    return tuple(holes)


def _lying(mast: MastFit) -> Motion:
    """The turn that brings the nose to the left."""
    return Motion.rotation(180.0 - mast.forward.angle, mast.centre)


def fit_scene(
    job: Job, mast: MastFit, plane: Plane, holes: tuple[FitHole, ...], remarks: Sequence[Remark]
) -> Scene:
    """Return paper holes one under the other, with their labels; `plane` is that of the mast."""
    items: list[Item] = []
    labels: list[Label] = []
    stacked = _stacked(holes)
    boxes = [hole.contour.bounds for hole in stacked]
    for hole in stacked:
        lines = axis_lines(hole.contour, Vec(-1.0, 0.0), hole.centre, _AXIS)
        boxes += [line.bounds for line in lines]
        items += [PathMark(hole.contour, Meaning.CUT, name=f"fit {hole.name}"), *axis_items(lines)]
        labels += [_label(job, mast, hole), *axis_labels(lines, NOTE), _side_label(mast, plane, hole)]
    extent = boxes[0]
    for box in boxes[1:]:
        extent = extent.union(box)
    room = Bounds(extent.xmin, extent.ymin, extent.xmax, extent.ymax + _BETWEEN)
    return Scene(
        tuple(items),
        room,
        tuple(labels),
        waste=tuple(hole.contour for hole in stacked),
        upright=True,
        accepted=accepted_section(job, remarks),
        more=(Section("before metal is touched", tuple(_steps(job, mast)), carried=True),),
    )


def _stacked(holes: tuple[FitHole, ...]) -> list[FitHole]:
    """The holes one under the other."""
    stacked = []
    y = 0.0
    for hole in holes:
        box = hole.contour.bounds
        stacked.append(hole.moved(Vec(-box.xmin, y - box.ymax)))
        y -= box.height + _BETWEEN
    return stacked


def _side_label(mast: MastFit, plane: Plane, hole: FitHole) -> Label:
    """Which side of the mast is which, in the builder's words for the axis that points there."""
    axes = [(_lying(mast).apply_direction(axis), words) for axis, words in _axes(plane)]
    way, words = max(axes, key=lambda each: abs(each[0].y))
    box = hole.contour.bounds
    up = 1.0 if way.y > 0 else -1.0
    edge = [
        segment.point_at(step / 8)
        for segment in hole.contour.segments
        for step in range(9)
        if (segment.point_at(step / 8) - box.centre).y * up > 0.25 * box.height
    ]
    edge.sort(key=lambda point: abs(point.x - box.centre.x))
    return Label(
        tuple(edge[:8]), ((f"this side {words}",),), NOTE, outwards=Vec(0.4, up), near=False, reach=30.0
    )


def _axes(plane: Plane) -> tuple[tuple[Vec, str], tuple[Vec, str]]:
    return (plane.x_axis, plane.x_words), (plane.y_axis, plane.y_words)


def _label(job: Job, mast: MastFit, hole: FitHole) -> Label:
    step = hole.gap - mast.gap
    how = (
        "the gap asked for"
        if abs(step) < 1e-9
        else f"{both(job, abs(step))} {'less' if step < 0 else 'more'}"
    )
    box = hole.contour.bounds
    places = (Vec(box.centre.x, box.ymax + 1.5), Vec(box.xmin + 20.0, box.ymax + 1.5))
    text = (f"{hole.name}: gap {both(job, hole.gap)} per side", how)
    return Label(places, (text,), CALLOUT, outwards=Vec(0.0, 1.0), reach=30.0)


def _steps(job: Job, mast: MastFit) -> list[Block]:
    tight, asked, loose = (f"{FIT}{number}" for number in (1, 2, 3))
    steps = [
        "Print at 100 % and prove the print with a steel rule: rulers and crosses.",
        "Cut the paper holes on the centre of the line. Nose to the left, as seen from outside.",
        f"Slip them over the real mast, down to the skin station. {asked} is the gap asked for, "
        f"{both(job, mast.gap)} per side: it must look even all round.",
        f"{tight} too tight, {loose} too loose, {asked} even: the numbers are right. If {tight} or {loose} "
        f"fits as you want it, or {asked} touches, measure the section again and correct the job file. Cut "
        "no metal yet.",
        f"Pass the widest station of the mast through {asked} too: it must go through without force.",
        "Then a trial cut in scrap or card by the template, and the mast through it.",
    ]
    blocks: list[Block] = [Heading("Before metal is touched")]
    return blocks + [Paragraph(text, lead=f"{number}.") for number, text in enumerate(steps, 1)]
