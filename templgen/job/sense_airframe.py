"""Sense of fasteners and of structure: which keys go together, and what each kind needs."""

from __future__ import annotations

from templgen.errors import JobError, UnitError
from templgen.job.airframe import FastenerDef, Structure, StructureRivets
from templgen.job.around import Around, Faults, mention, needs
from templgen.job.complaints import nearest_drills
from templgen.job.sizes import size_faults
from templgen.job.wording import shown
from templgen.trade.drills import parse_hole_size
from templgen.units import Unit, format_length

__all__ = ["fastener_faults", "rivets_faults", "structure_faults"]

WEBBED = ("rib", "spar", "stringer")

_SECTION = {
    "line_is": "what the two points were measured on",
    "thickness": "the web's inner face and the bend follow from it",
    "flange_width": "from the heel to the free flange edge: what lies on the skin",
    "flange_side": "on which side of the line, from the first point to the second, the flange lies",
    "bend_radius": "no hole and no head may stand in the bend",
}
_BLIND = {
    "hole": "drill of the final hole",
    "grip_min": "least metal it may join",
    "grip_max": "most metal it may join",
    "head_diameter": "room that its head takes",
    "unset_length": "what stands behind the sheet before pulling",
}


def fastener_faults(kind: FastenerDef, around: Around) -> Faults:
    a_kind = f"a {kind.kind}"
    if kind.kind == "blind rivet":
        yield from _makers_numbers(kind)
    else:
        for key in ("grip_min", "grip_max", "unset_length"):
            if getattr(kind, key) is not None:
                yield JobError(f"{a_kind} has no {key}: that is a blind rivet's", at=kind.where(key))
    if kind.kind == "solid rivet":
        for key in ("behind_diameter", "behind_height"):
            if getattr(kind, key) is not None:
                message = f"a solid rivet has no {key}: its driven head follows from its diameter"
                yield JobError(message, at=kind.where(key))
    yield from _head(kind, a_kind)
    if kind.grip_min is not None and kind.grip_max is not None and kind.grip_min >= kind.grip_max:
        low, high = (format_length(grip, around.unit) for grip in (kind.grip_min, kind.grip_max))
        yield JobError(f"grip_min = {low} is not less than grip_max = {high}", at=kind.where("grip_min"))
    yield from _drills(kind, around.unit)


def _makers_numbers(kind: FastenerDef) -> Faults:
    """What a blind rivet lacks, in one line: no table stands in for its maker's."""
    missing = {key: why for key, why in _BLIND.items() if getattr(kind, key) is None}
    if len(missing) == 1:
        ((key, why),) = missing.items()
        yield needs(kind, "a blind rivet", key, f"{why}; no table stands in for the maker's")
    elif missing:
        fields, keys = type(kind).model_fields, list(missing)
        examples = ", ".join(f"{key} = {(fields[key].examples or ['...'])[0]}" for key in keys)
        words = f"{', '.join(keys[:-1])} and {keys[-1]}"
        yield JobError(
            f"a blind rivet needs {words}: no table stands in for the maker's",
            at=kind.where(),
            hint=f"for example {examples}",
        )


def _head(kind: FastenerDef, a_kind: str) -> Faults:
    if (kind.head == "universal") != (kind.kind == "solid rivet") and kind.head != "flush":
        allowed = '"universal", "flush"' if kind.kind == "solid rivet" else '"protruding", "flush"'
        yield JobError(f"head = {shown(kind.head)}: {a_kind} has {allowed}", at=kind.where("head"))
    if kind.head == "flush" and kind.seat is None:
        yield needs(kind, "a flush head", "seat", "how it is let in, countersunk or dimpled")
    if kind.head != "flush" and kind.seat is not None:
        yield JobError(f'seat = {shown(kind.seat)}: only head = "flush" is let in', at=kind.where("seat"))


def _drills(kind: FastenerDef, unit: Unit) -> Faults:
    sizes: dict[str, float] = {}
    for key in ("hole", "pilot"):
        text = getattr(kind, key)
        if text is None:
            continue
        try:
            sizes[key] = parse_hole_size(text, unit).diameter_mm
        except UnitError as error:
            yield JobError(f"{key} = {error}", at=kind.where(key), hint=nearest_drills(text, str(error)))
    yield from size_faults(kind, sizes.get("hole"), unit)
    if len(sizes) == 2 and sizes["pilot"] >= sizes["hole"]:
        message = f"pilot = {shown(kind.pilot)} is not smaller than hole = {shown(kind.hole)}"
        yield JobError(message, at=kind.where("pilot"))


def structure_faults(item: Structure, around: Around) -> Faults:
    words = f"{item.kind} {shown(item.name)}"
    if item.start == item.end:
        yield JobError(
            f"{words}: from and to are the same point", at=item.where("to"), hint="a line needs two"
        )
    if item.kind in WEBBED:
        yield from _section(item, words)
    else:
        yield from _bare_line(item, words)
    if item.kind == "skin edge" and item.skin_side is None:
        yield needs(
            item, words, "skin_side", "on which side of the line, from first to second point, the metal lies"
        )
    if item.kind != "skin edge" and item.skin_side is not None:
        yield JobError(f"{words} has no skin_side: that is a skin edge's", at=item.where("skin_side"))


def _section(item: Structure, words: str) -> Faults:
    flange = ("flange_width", "flange_side", "bend_radius")
    for key, why in _SECTION.items():
        given = getattr(item, key) is not None
        if not given and (item.flange or key not in flange):
            left_out = "; without a flange write flange = false" if key in flange else ""
            yield needs(item, words, key, why + left_out)
        elif given and not item.flange and key in flange:
            yield JobError(f"{words} has flange = false, and so no {key}", at=item.where(key))
    if not item.flange and item.line_is in ("free flange edge", "rivet row"):
        message = f"{words} has flange = false, and so no {item.line_is}"
        yield JobError(message, at=item.where("line_is"), hint='allowed: "heel", "web face"')


def _bare_line(item: Structure, words: str) -> Faults:
    for key in ("flange_width", "flange_side", "bend_radius", "web_height"):
        if getattr(item, key) is not None:
            yield JobError(
                f"a {item.kind} is a line without a section: {words} has no {key}", at=item.where(key)
            )
    own = "rivet row" if item.kind == "seam" else None
    if item.line_is not in (None, own):
        message = f"a {item.kind} is a line without a section: {words} has no {item.line_is}"
        yield JobError(message, at=item.where("line_is"), hint="leave line_is away")


def rivets_faults(rivets: StructureRivets, around: Around) -> Faults:
    yield from mention("fastener", rivets.fastener, around.names.fastener, rivets.where("fastener"))
    row = [key for key in ("first", "pitch", "count") if getattr(rivets, key) is not None]
    if rivets.points is not None:
        for key in [*row, *(["off"] if rivets.off is not None else [])]:
            message = f"rivets are given by points and by {key}"
            yield JobError(message, at=rivets.where(key), hint="give points, or first, pitch and count")
    elif not row:
        message = "rivets need their places: points, or first, pitch and count along the line"
        yield JobError(message, at=rivets.where())
    else:
        for key in ("first", "pitch", "count"):
            if key not in row:
                yield needs(rivets, "a row of rivets", key, str(type(rivets).model_fields[key].description))
