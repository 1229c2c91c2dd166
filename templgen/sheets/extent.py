"""What of the skin plane a template shows: its extent, the structure behind it, the rivets that place it."""

from __future__ import annotations

from templgen.drawing import Meaning
from templgen.geometry import Bounds, Line, Vec
from templgen.layout.alignment import LEAST_HOLES, AlignedHole
from templgen.layout.assembly import SKIN_PLANE, Assembly, Fastener, StructureLine
from templgen.sheets.edges import edges_of
from templgen.sheets.groups import Group
from templgen.sheets.measure_marks import MeasureLines
from templgen.sheets.scene import Run

__all__ = [
    "aligned_targets",
    "in_skin",
    "measure_lines",
    "paper_structures",
    "placing_structures",
    "structure_runs",
    "template_extent",
]

_TARGETS = 2
_BESIDE = 25.0
_NEAR_ENOUGH = 50.0
_SAME_LINE = 0.01


def template_extent(assembly: Assembly, group: Group) -> Bounds:
    """Return what must come onto the page: the group, its waste, two rivets at each trimmed edge; where
    nothing of that places it, the lines by which it is measured."""
    lines = measure_lines(assembly, group)
    box = _extent(assembly, group)
    return box if lines is None else box.union(lines.bounds)


def measure_lines(assembly: Assembly, group: Group) -> MeasureLines | None:
    """Return the lines by which a template is laid; None where a trimmed edge or two targets place it."""
    box = group.bounds
    if box is None or group.trims:
        return None
    extent = _extent(assembly, group)
    aligned = [each for each in aligned_targets(assembly) if extent.contains(each.place)]
    if len(aligned) >= LEAST_HOLES or placing_structures(assembly, extent):
        return None
    return MeasureLines(box, short=group.tight)


def _extent(assembly: Assembly, group: Group) -> Bounds:
    box = group.bounds
    assert box is not None  # noqa: S101  a group has marks
    for edge in edges_of(group.trims, box):
        box = box.union(edge.line.bounds)
        for region in edge.metal.cut_away if edge.metal else ():
            box = box.union(region.bounds)
    if not group.by_measure:
        for each in aligned_targets(assembly):
            box = box.union(_spot(each.place))
    for name in dict.fromkeys(trim.structure for trim in group.trims) or _placing(assembly, group, box):
        for point in _nearest_rivets(assembly, name, box):
            box = box.union(_spot(point))
        box = _with_lines(box, assembly.structures[name])
    for target in _named_targets(assembly, group):
        box = box.union(_spot(target.at))
    return box


def _named_targets(assembly: Assembly, group: Group) -> list[Fastener]:
    """The rivets by which a paper laid outside is placed, by name: whoever reads a name must find it."""
    names = set(assembly.targets.get(group.paper.name, ())) if group.paper else set()
    return [each for each in assembly.fasteners if each.exists and in_skin(each) and each.name in names]


def placing_structures(assembly: Assembly, extent: Bounds) -> list[str]:
    """Return the structures of which at least two existing rivets are inside the extent of a template."""
    seen = [f.feature for f in assembly.fasteners if f.exists and in_skin(f) and extent.contains(f.at)]
    return [name for name in assembly.structures if seen.count(name) >= _TARGETS]


def _placing(assembly: Assembly, group: Group, box: Bounds) -> list[str]:
    """The structure whose rivets are near enough to place a template that no trim ties to any."""
    if group.by_measure:
        return []
    near = []
    for name in assembly.structures:
        rivets = _nearest_rivets(assembly, name, box)
        if len(rivets) >= _TARGETS:
            near.append((max(_gap(at, box) for at in rivets), name))
    return [name for gap, name in sorted(near)[:1] if gap <= _NEAR_ENOUGH]


def _with_lines(box: Bounds, structure: StructureLine) -> Bounds:
    """A box grown so that all lines of a structure that runs beside it can be seen."""
    for line in structure.lines.values():
        foot = line.point_at(min(max(line.parameter_of(box.centre), 0.0), 1.0))
        spot = Bounds(foot.x, foot.y, foot.x, foot.y)
        if spot.distance_to(box) < _BESIDE:
            box = box.union(spot.grown(1.0))
    return box


def _nearest_rivets(assembly: Assembly, structure: str, box: Bounds) -> list[Vec]:
    """Existing rivets of a structure that stand beside the box, at least the nearest two."""
    rivets = [f.at for f in assembly.fasteners if f.exists and f.feature == structure and in_skin(f)]
    rivets.sort(key=lambda at: _gap(at, box))
    if len(rivets) < _TARGETS:
        return rivets
    return [at for at in rivets if _gap(at, box) <= _gap(rivets[1], box) + 1e-6]


def _spot(at: Vec) -> Bounds:
    """The box that a target needs."""
    return Bounds(at.x, at.y, at.x, at.y).grown(4.0)


def _gap(at: Vec, box: Bounds) -> float:
    return Bounds(at.x, at.y, at.x, at.y).distance_to(box)


def in_skin(fastener: Fastener) -> bool:
    """Return whether a fastener goes through the skin's plane."""
    return fastener.plane == SKIN_PLANE


def structure_runs(assembly: Assembly) -> tuple[Run, ...]:
    """Return all lines of all structure; lines that fall together are drawn once, with both names."""
    return tuple(run for structure in assembly.structures.values() for run in _runs_of(structure))


def _runs_of(structure: StructureLine) -> list[Run]:
    merged: list[tuple[Line, list[str]]] = []
    for name, line in structure.lines.items():
        same = next((names for other, names in merged if _coincide(line, other)), None)
        if same is None:
            merged.append((line, [name]))
        else:
            same.append(name)
    return [
        Run(line, Meaning.STRUCTURE, (f"{structure.name}: {', '.join(names)}",)) for line, names in merged
    ]


def _coincide(a: Line, b: Line) -> bool:
    return a.start.distance_to(b.start) < _SAME_LINE and a.end.distance_to(b.end) < _SAME_LINE


def aligned_targets(assembly: Assembly) -> tuple[AlignedHole, ...]:
    """Return the measured holes on which the sheet is laid; none where they are too few or do not fit."""
    return () if assembly.alignment is None else assembly.alignment.targets


def paper_structures(group: Group) -> list[str]:
    """Return the structures along which the paper of a template has an edge."""
    if group.paper is None:
        return []
    edges = [trim for trim in group.trims if trim.face == group.paper.name and trim.reaches]
    return list(dict.fromkeys(trim.structure for trim in edges))
