"""Hardware of an opening: nutplates and the fasteners that the job leaves to the program.

Every dimension of a nutplate in the tables is from memory or not known. What is from memory is a default that
is named in `NutplateSpec.from_memory`; what is not known must be given by the builder.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from templgen.errors import JobError, Location, UnitError
from templgen.geometry import Contour, Vec
from templgen.job.model import FastenerDef
from templgen.job.openings import NutplateDef, Opening
from templgen.layout.assembly import FastenerSpec
from templgen.layout.draft import Draft
from templgen.layout.frames import vec
from templgen.layout.openings.model import NutplateSpec
from templgen.trade.drills import drill_at_least, parse_hole_size
from templgen.trade.limits import limit
from templgen.trade.nutplates import Nutplate, find_nutplate
from templgen.trade.rivets import find_solid_rivet, rivet_head, solid_rivets
from templgen.trade.screws import countersink_under_dimples, find_screw
from templgen.trade.sheet import next_heavier_thickness
from templgen.units import format_length

__all__ = ["Hardware", "hardware_of", "ring_thickness", "where_of"]

DEFAULT_LUG_RIVET = "3/32"


class Hardware(Struct, frozen=True):
    """What an opening is screwed and riveted with. `ring_hole` is the screw's hole under the nut, mm.

    Dimpled kinds say whether the ring takes their dimples in a countersink.
    """

    screw: FastenerSpec
    nutplate: NutplateSpec
    lug: FastenerSpec
    rivet: FastenerSpec
    ring_hole: float


def where_of(opening: Opening, table: str, key: str | None = None) -> Location:
    """Return where a key of a table of the opening stands, or the opening where it has no such table."""
    node = getattr(opening, table)
    if node is None or table not in opening.keys_:
        return opening.where()
    return node.where(key)  # type: ignore[no-any-return]


def ring_thickness(draft: Draft, opening: Opening) -> float:
    """Return the ring's thickness: as given, or one gauge heavier than the skin."""
    if opening.ring.thickness is not None:
        return opening.ring.thickness
    try:
        return next_heavier_thickness(draft.job.skin.thickness)
    except UnitError as error:
        raise JobError(
            f"the ring's thickness can not be chosen: {error}",
            at=opening.where("ring"),
            hint="give thickness in [opening.ring]",
        ) from None


def hardware_of(draft: Draft, opening: Opening) -> Hardware:
    """Return the hardware of an opening, from the job, else from the tables.

    Raises:
        JobError: a screw that is none, a nutplate whose numbers are not known, a rivet without a table row.
    """
    screw = _of_kind(draft, opening.screws.fastener, ("screw",), where_of(opening, "screws", "fastener"))
    nutplate = _nutplate(draft, opening, screw)
    given = Hardware(
        screw,
        nutplate,
        _lug_rivet(draft, opening, nutplate),
        _ring_rivet(draft, opening),
        _ring_hole(draft, opening, screw, nutplate),
    )
    return given if opening.ring.under_dimples != "countersunk" else _into_ring(opening, given)


def _into_ring(opening: Opening, given: Hardware) -> Hardware:
    """The hardware with every dimple over the ring in a countersink of it, as the job asks for it."""
    over = {"screw": given.screw, "rivet": given.rivet}
    if _lugs_pass_skin(opening):
        over["lug"] = given.lug
    dimpled = {name: spec for name, spec in over.items() if spec.seat == "dimpled"}
    if not dimpled:
        raise JobError(
            f'{opening.name}: under_dimples = "countersunk", but nothing that lies on its ring is dimpled',
            at=where_of(opening, "ring", "under_dimples"),
            hint=f'say head = "flush", seat = "dimpled" of "{given.screw.name}" in [fastener], or leave '
            "under_dimples away",
        )
    return replace(given, **{name: replace(spec, into_countersink=True) for name, spec in dimpled.items()})


def _lugs_pass_skin(opening: Opening) -> bool:
    """Whether the rivets of the lugs join the skin too; else they are in the ring alone."""
    return opening.nutplates.riveted == "in place" and opening.cover.kind == "lying"


def _of_kind(draft: Draft, name: str, kinds: tuple[str, ...], at: Location) -> FastenerSpec:
    spec = draft.specs.named(name, at)
    if spec.kind not in kinds:
        raise JobError(f'"{name}" is a {spec.kind}; a {" or a ".join(kinds)} is needed', at=at)
    return spec


def _nutplate(draft: Draft, opening: Opening, screw: FastenerSpec) -> NutplateSpec:
    kind, at = opening.nutplates.kind, where_of(opening, "nutplates", "kind")
    given = draft.job.nutplate.get(kind)
    standard = kind if given is None else given.standard
    size = _size_name(screw.size)
    if given is not None and _size_name(given.screw) != size:
        raise JobError(
            f'nutplate "{kind}" takes a {given.screw} screw; "{screw.name}" is {screw.size}',
            at=at,
            hint="choose another nutplate or another screw",
        )
    base = (
        None if standard is None else _row(standard, size, at if given is None else given.where("standard"))
    )
    return _Reader(draft, kind, given, base, at, size).spec()


def _size_name(size: str) -> str:
    """The table's name of a screw size ("8-32" is "#8"); a size that no table has stays as written."""
    try:
        return find_screw(size).size
    except UnitError:
        return size.strip()


def _row(standard: str, size: str, at: Location) -> Nutplate:
    try:
        return find_nutplate(standard, size)
    except UnitError as error:
        hint = "or give your own in [nutplate.NAME], with lugs and rivet_spacing measured on the part in hand"
        raise JobError(str(error), at=at, hint=hint) from None


class _Reader:
    """Reads one nutplate: the builder's numbers first, the table's where he gives none."""

    def __init__(
        self,
        draft: Draft,
        name: str,
        given: NutplateDef | None,
        base: Nutplate | None,
        at: Location,
        size: str,
    ) -> None:
        self._draft, self._name, self._size = draft, name, size
        self._given = given or NutplateDef.model_validate({"screw": size})
        self._base = base
        self._at = at if given is None else given.where()
        self._own = given is not None
        self._memory: list[str] = []

    def spec(self) -> NutplateSpec:
        """Return the nutplate; JobError naming each key that is not known."""
        given, base, words = self._given, self._base, "" if self._base is None else self._base.kind
        floating = given.floating if given.floating is not None else "floating" in words
        if floating and given.free_play is None:
            raise self._unknown("free_play", '"0.030 in"', "how far the nut moves, either way")
        return NutplateSpec(
            self._name,
            words or "the builder's own",
            self._lugs(words),
            self._size,
            self._rivet_holes(words),
            self._rivet(),
            floating=floating,
            free_play=given.free_play or 0.0,
            lug_seat=given.lug_seat,
            miniature=given.miniature if given.miniature is not None else "reduced" in words,
            self_locking=given.self_locking is not False,
            length=given.length,
            width=given.width,
            outline=self._outline(),
            lug_thickness=given.lug_thickness,
            height=given.height,
            from_memory=tuple(self._memory),
            sources=("given by the builder",) if base is None else (str(base.source),),
        )

    def _unknown(self, key: str, example: str, what: str) -> JobError:
        standard = f'standard = "{self._base.standard}", ' if self._base is not None else ""
        table = f'[nutplate."{self._name}"]' if self._own else "[nutplate.NAME]"
        return JobError(
            f'nutplate "{self._name}" for {self._size}: {key} is not known ({what})',
            at=self._at,
            hint=f'measure it and give {table} {standard}screw = "{self._size}", {key} = {example}',
        )

    def _lugs(self, words: str) -> Literal["two", "one", "corner"]:
        if self._given.lugs is not None:
            return self._given.lugs
        return "corner" if "corner" in words else "one" if "one lug" in words else "two"

    def _rivet_holes(self, words: str) -> tuple[Vec, ...]:
        given, lugs = self._given, self._lugs(words)
        if given.rivet_holes is not None:
            return tuple(vec(point) for point in given.rivet_holes)
        if lugs != "two":
            example = '[["0.3 in", 0], ["0.5 in", 0]]'
            raise self._unknown(
                "rivet_holes", example, "rivet holes from the screw's centre, x along the lugs"
            )
        spacing = given.rivet_spacing
        if spacing is None and self._base is not None and self._base.rivet_spacing_mm is not None:
            spacing = self._base.rivet_spacing_mm
            self._memory.append("rivet_spacing")
        if spacing is None:
            raise self._unknown("rivet_spacing", '"0.687 in"', "from rivet hole to rivet hole")
        return (Vec(spacing / 2, 0.0), Vec(-spacing / 2, 0.0))

    def _rivet(self) -> str:
        if self._given.rivet is not None:
            return self._given.rivet
        self._memory.append("rivet")
        return DEFAULT_LUG_RIVET if self._base is None else self._base.rivet_nominal

    def _outline(self) -> Contour | None:
        """The outline, only if the builder gives it: a nutplate's is in no table."""
        given = self._given
        if given.outline is not None:
            return self._draft.shapes.outline(given.outline).contour
        if given.length is None or given.width is None:
            return None
        return Contour.rectangle(given.length, given.width)


def _lug_rivet(draft: Draft, opening: Opening, nutplate: NutplateSpec) -> FastenerSpec:
    """The rivet of the lugs: flush, because the cover or the skin lies on its head."""
    if opening.nutplates.rivet is not None:
        at = where_of(opening, "nutplates", "rivet")
        return _of_kind(draft, opening.nutplates.rivet, ("solid rivet", "blind rivet"), at)
    head = rivet_head(find_solid_rivet(nutplate.rivet), "flush")
    through_skin = _lugs_pass_skin(opening)
    sheet = draft.job.skin.thickness if through_skin else ring_thickness(draft, opening)
    countersunk = head.height_mm is not None and sheet > head.height_mm
    spec = draft.specs.made(
        f"{opening.name} nutplate rivet",
        _solid(nutplate.rivet, head="flush", seat="countersunk" if countersunk else "dimpled"),
    )
    if countersunk or nutplate.lug_seat != "plain":
        return spec
    into = through_skin and opening.ring.under_dimples is None and _ring_takes(draft, opening, spec)
    thickness = format_length(sheet, draft.job.unit)
    then = (
        "it is dimpled, and the ring countersunk to take the dimples"
        if into or (through_skin and opening.ring.under_dimples == "countersunk")
        else "it is dimpled, and the nutplates need countersunk lugs"
    )
    draft.note(
        f"{opening.name}: the {'skin' if through_skin else 'ring'} ({thickness}) is too thin to countersink "
        f"for {nutplate.rivet} lug rivets; {then}"
    )
    return replace(spec, into_countersink=True) if into else spec


def _ring_takes(draft: Draft, opening: Opening, rivet: FastenerSpec) -> bool:
    """Whether a countersink for the skin's dimples leaves the ring an edge."""
    if rivet.head_height is None:
        return False
    deep = countersink_under_dimples(rivet.head_height, draft.job.skin.thickness)
    return ring_thickness(draft, opening) > limit("countersink-depth").mm(head_height=deep)


def _ring_rivet(draft: Draft, opening: Opening) -> FastenerSpec:
    rivets = opening.rivets
    if rivets.fastener is not None:
        at = where_of(opening, "rivets", "fastener")
        return _of_kind(draft, rivets.fastener, ("solid rivet", "blind rivet"), at)
    skin, thickest = draft.job.skin.thickness, max(draft.job.skin.thickness, ring_thickness(draft, opening))
    wanted = limit("diameter-about").mm(thickness=skin)
    fitting = [rivet for rivet in solid_rivets() if rivet.diameter_mm >= thickest]
    if not fitting:
        raise JobError(
            f"{opening.name}: no solid rivet of the tables is as thick as the ring",
            at=where_of(opening, "rivets"),
            hint="give fastener in [opening.rivets]",
        )
    rivet = min(fitting, key=lambda each: abs(each.diameter_mm - wanted))
    draft.note(
        f"{opening.name}: ring rivets {rivet.nominal} solid, universal head: about three times the skin"
    )
    return draft.specs.made(f"{opening.name} ring rivet", _solid(rivet.nominal, head="universal"))


def _solid(size: str, **keys: str) -> FastenerDef:
    return FastenerDef.model_validate({"kind": "solid rivet", "size": size, **keys})


def _ring_hole(draft: Draft, opening: Opening, screw: FastenerSpec, nutplate: NutplateSpec) -> float:
    """The hole under the nut: as given, else the cover's; floating: drilled for screw and play both ways."""
    if opening.nutplates.ring_hole is not None:
        try:
            return parse_hole_size(opening.nutplates.ring_hole, draft.job.unit).diameter_mm
        except UnitError as error:
            raise JobError(str(error), at=where_of(opening, "nutplates", "ring_hole")) from None
    if not nutplate.floating:
        return screw.hole
    return drill_at_least(screw.diameter + 2 * nutplate.free_play).diameter_mm
