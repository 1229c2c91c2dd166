"""Which features share a template: one group per mast, and one for what belongs to no mast."""

from __future__ import annotations

from msgspec import Struct

from templgen.geometry import Bounds
from templgen.layout.assembly import SKIN_PLANE, Assembly, Cutout, Face, Fastener, MastFit, TrimEdge
from templgen.layout.work.sources import Sources
from templgen.sheets.holes import in_face

__all__ = ["Group", "groups_of"]

_NEAR = 12.0


class Group(Struct, frozen=True):
    """What one template shows of the skin plane: its cutouts, its holes, and the made parts behind them.

    `by_measure` leaves out the rivets that could place it, for a page that has no room for them; `tight`
    makes the lines short by which it is measured then.
    """

    name: str
    mast: MastFit | None
    paper: Face | None
    cutouts: tuple[Cutout, ...]
    fasteners: tuple[Fastener, ...]
    plates: tuple[Face, ...]
    trims: tuple[TrimEdge, ...]
    by_measure: bool = False
    tight: bool = False

    @property
    def bounds(self) -> Bounds | None:
        """The box round everything that must be on the template, in the skin plane."""
        return _bounds(self.cutouts, self.fasteners, self.plates)


def groups_of(assembly: Assembly) -> tuple[Group, ...]:
    """Return the templates of an assembly, masts first; features that lie on a mast's template join it."""
    features, sources = _features(assembly), Sources(assembly)
    masts = {mast.name: mast for mast in assembly.masts}
    paired: dict[str, set[str]] = {name: {name} for name in masts}
    loose: list[str] = []
    for feature in features:
        if feature not in masts:
            _join(assembly, sources, feature, paired, loose)
    groups = [_group(assembly, sources, name, names, masts[name]) for name, names in paired.items()]
    if loose:
        groups.append(_group(assembly, sources, "skin", set(loose), None))
    return tuple(group for group in groups if group.cutouts or group.fasteners)


def split(assembly: Assembly, group: Group) -> tuple[Group, ...]:
    """Return one group per feature, for a group without a mast that is too large for a page."""
    names = dict.fromkeys([*(c.feature for c in group.cutouts), *(f.feature for f in group.fasteners)])
    sources = Sources(assembly)
    return tuple(_group(assembly, sources, name, {name}, None) for name in names)


def _features(assembly: Assembly) -> list[str]:
    """Names of all features that cut or drill the skin, in the order of the job."""
    cut = [cutout.feature for cutout in assembly.cutouts if "skin" in cutout.faces]
    drilled = [f.feature for f in assembly.fasteners if not f.exists and _in_skin(f)]
    return list(dict.fromkeys([*cut, *drilled]))


def _in_skin(fastener: Fastener) -> bool:
    return fastener.plane == SKIN_PLANE and "skin" in fastener.stack


def _join(
    assembly: Assembly, sources: Sources, feature: str, paired: dict[str, set[str]], loose: list[str]
) -> None:
    """Put a feature onto the template of the mast on whose area it lies wholly, else leave it loose."""
    own = _bounds(*_marks(assembly, sources, {feature}), ())
    for name, names in paired.items():
        cutouts, fasteners = _marks(assembly, sources, {name})
        area = _bounds(cutouts, fasteners, _plates(assembly, fasteners, cutouts))
        if own is not None and area is not None and _holds(area.grown(_NEAR), own):
            names.add(feature)
            return
    loose.append(feature)


def _holds(outer: Bounds, inner: Bounds) -> bool:
    return all(outer.contains(corner) for corner in inner.corners)


def _marks(
    assembly: Assembly, sources: Sources, names: set[str]
) -> tuple[tuple[Cutout, ...], tuple[Fastener, ...]]:
    cutouts = tuple(c for c in assembly.cutouts if c.feature in names and "skin" in c.faces)
    drilled = (f for f in assembly.fasteners if f.feature in names and not f.exists and _in_skin(f))
    return cutouts, tuple(in_face(sources.shown(f, "skin"), "skin") for f in drilled)


def _plates(
    assembly: Assembly, fasteners: tuple[Fastener, ...], cutouts: tuple[Cutout, ...]
) -> tuple[Face, ...]:
    """Faces of made parts in the skin plane that share a hole or a cutout with the group."""
    named = {name for f in fasteners for name in f.stack} | {name for c in cutouts for name in c.faces}
    return tuple(
        face
        for face in assembly.faces.values()
        if face.name in named
        and face.plane == SKIN_PLANE
        and face.outline is not None
        and assembly.parts[face.part].made
        and assembly.parts[face.part].kind not in ("paper", "skin")
    )


def _group(assembly: Assembly, sources: Sources, name: str, names: set[str], mast: MastFit | None) -> Group:
    cutouts, fasteners = _marks(assembly, sources, names)
    plates = _plates(assembly, fasteners, cutouts)
    paper = None
    if mast is not None:
        paper = assembly.faces.get(f"paper of {mast.name}") or assembly.faces.get("paper")
    shown = {face.name for face in plates} | ({paper.name} if paper else set())
    trims = tuple(trim for trim in assembly.trims if trim.face in shown)
    return Group(name, mast, paper, cutouts, fasteners, plates, trims)


def _bounds(
    cutouts: tuple[Cutout, ...], fasteners: tuple[Fastener, ...], plates: tuple[Face, ...]
) -> Bounds | None:
    boxes = [cutout.contour.bounds for cutout in cutouts]
    for f in fasteners:
        r = f.spec.hole / 2 + 3.5
        boxes.append(Bounds(f.at.x - r, f.at.y - r, f.at.x + r, f.at.y + r))
    boxes += [face.outline.bounds for face in plates if face.outline is not None]
    box: Bounds | None = None
    for each in boxes:
        box = each if box is None else box.union(each)
    return box
