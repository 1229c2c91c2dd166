"""The hardware list: what to buy for a job, with quantities, spares, lengths, drills and countersinks.

Rivets that are there already are not bought. A value from memory says so: check against the part in hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from templgen.drawing import Table
from templgen.errors import UnitError
from templgen.job.model import Job
from templgen.layout.assembly import Assembly, Face, Fastener, FastenerSpec
from templgen.layout.countersinks import DimpleSeat, dimple_seat, head_width
from templgen.layout.fastener_lengths import FastenerLength, Grip, grip_of, length_of
from templgen.layout.flat import flat_pattern
from templgen.layout.openings.model import Nutplate
from templgen.layout.words import in_unit, ranges
from templgen.layout.work.marks import listed
from templgen.trade.drills import parse_hole_size
from templgen.trade.rivets import find_solid_rivet, rivet_head
from templgen.trade.screws import countersink_depth
from templgen.trade.tables import sources_of
from templgen.units import format_length

__all__ = ["METAL", "hardware_list", "seat_words", "seat_words_in", "spares_for"]

METAL = ("base plate", "flat part", "bracket")
"""Kinds of part that are cut from sheet."""

_COLUMNS = (
    "item",
    "buy",
    "needed",
    "spares",
    "what",
    "grip: length reckoned",
    "length",
    "drill",
    "countersink or dimple",
    "for holes",
    "joins",
    "check against the part in hand",
)
_SPARE_SHARE, _LEAST_SPARES = 10, 2
_CONE = 100.0


def spares_for(needed: int) -> int:
    """Return how many spares are bought: a tenth, rounded up, and two at least (own default, no source).

    >>> spares_for(8), spares_for(20), spares_for(42)
    (2, 2, 5)
    """
    return max(_LEAST_SPARES, -(-needed // _SPARE_SHARE))


class _Line(Struct, frozen=True):
    """Fasteners that are bought together: same kind, same length; each grip with what was reckoned of it."""

    spec: FastenerSpec
    length: FastenerLength
    fasteners: tuple[Fastener, ...]
    grips: tuple[tuple[Grip, FastenerLength], ...]


def hardware_list(job: Job, assembly: Assembly) -> Table:
    """Return all that is bought for a job: rivets and screws by length, nutplates, sheet for the parts.

    Lengths are in the job's unit first. A row whose length can not be told says what to measure.
    """
    lines = _lines(job, assembly)
    plates = _nutplates(assembly)
    rows = [
        *(_fastener_row(job, assembly, line) for line in lines),
        *(_nutplate_row(job, assembly, group) for group in plates),
        *_nut_rows(assembly),
        *_sheet_rows(job, assembly),
    ]
    numbered = tuple((str(number), *row) for number, row in enumerate(rows, 1))
    return Table("Hardware", _COLUMNS, numbered, _notes(job, assembly, lines, plates))


def _lines(job: Job, assembly: Assembly) -> list[_Line]:
    bought = [each for each in assembly.fasteners if not each.exists and each.spec.kind != "hole"]
    groups: dict[tuple[str, str], list[tuple[Fastener, Grip, FastenerLength]]] = {}
    for each in bought:
        length = length_of(assembly, each, job.unit)
        known = (each, grip_of(assembly, each), length)
        groups.setdefault((each.spec.name, length.words), []).append(known)
    return [
        _Line(
            group[0][0].spec,
            group[0][2],
            tuple(fastener for fastener, _, _ in group),
            tuple(dict.fromkeys((grip, length) for _, grip, length in group)),
        )
        for group in groups.values()
    ]


def _counts(needed: int) -> tuple[str, str, str]:
    spares = spares_for(needed)
    return str(needed + spares), str(needed), str(spares)


def _fastener_row(job: Job, assembly: Assembly, line: _Line) -> tuple[str, ...]:
    spec = line.spec
    checks = [what for what in (_from_memory(assembly, line),) if what]
    if not line.length.is_told:
        checks.append("measure first")
    return (
        *_counts(len(line.fasteners)),
        _what(spec, line.length),
        _grip_words(job, line),
        line.length.words,
        _drill(job, line.fasteners),
        seat_words(job, assembly, line.fasteners),
        ranges(each.number for each in line.fasteners),
        _joins(line),
        "; ".join(checks),
    )


def _grip_words(job: Job, line: _Line) -> str:
    """Each grip once, and the length that was reckoned of it."""
    words = []
    for grip, length in line.grips:
        told = "not known" if grip.mm is None else in_unit(grip.mm, job.unit)
        wanted = "" if length.wanted_mm is None else f": {in_unit(length.wanted_mm, job.unit)}"
        words.append(told + wanted)
    return "; ".join(dict.fromkeys(words))


def _what(spec: FastenerSpec, length: FastenerLength) -> str:
    """The fastener as one asks for it; a solid rivet with the standard of its head and its dash numbers."""
    seat = f", {spec.seat_words}" if spec.seat else ""
    if spec.kind != "solid rivet":
        words = "" if spec.kind == "blind rivet" else " head"
        return f"{spec.kind} {spec.size}, {spec.head}{words}{seat}"
    try:
        rivet = find_solid_rivet(spec.size)
        head = rivet_head(rivet, "flush" if spec.is_flush else "universal")
    except UnitError:
        return f"{spec.kind} {spec.size}, {spec.head}{seat}"
    dash = f" -{rivet.dash}-{length.dash}" if length.dash else ""
    return f"{spec.kind} {spec.size}, {spec.head}{seat}: {head.source.document}{dash}, alloy as the drawings"


def _drill(job: Job, fasteners: Sequence[Fastener]) -> str:
    """Pilot and final drill; under a floating nut ring and skin have a larger hole."""
    first, spec = fasteners[0], fasteners[0].spec
    pilot = f"{first.pilot}, then " if first.pilot else ""
    wider = [
        f"in {listed(list(faces))} {_hole_words(job, hole)}"
        for hole, faces in _other_holes(fasteners).items()
    ]
    return "; ".join([pilot + _sized(job, spec.drill, spec.hole), *wider])


def _other_holes(fasteners: Iterable[Fastener]) -> dict[float, dict[str, None]]:
    """The faces of a line with each other final hole, those of all pieces of a ring."""
    found: dict[float, dict[str, None]] = {}
    for face, hole in (each for fastener in fasteners for each in fastener.other_holes):
        found.setdefault(hole, {})[face] = None
    return found


def _hole_words(job: Job, diameter: float) -> str:
    drill = parse_hole_size(f"{diameter:.10f} mm", "mm").drill
    return _sized(job, "" if drill is None else drill.name, diameter)


def _sized(job: Job, drill: str, diameter: float) -> str:
    size = in_unit(diameter, job.unit)
    return f"{drill} ({size})" if drill else size


def seat_words(job: Job, assembly: Assembly, fasteners: Sequence[Fastener]) -> str:
    """Return how flush heads of one kind are let in: which sheets, how wide, how deep; "" for other heads."""
    if not fasteners[0].spec.is_flush:
        return ""
    into = [each for each in fasteners if each.spec.into_countersink]
    others = [each for each in fasteners if not each.spec.into_countersink]
    told = [_alike(job, assembly, others)] if others else []
    return "; ".join([*told, *_into_countersinks(job, assembly, into)])


def seat_words_in(job: Job, assembly: Assembly, fastener: Fastener, face: Face) -> str:
    """Return how one face of a stack is made for a flush head; "" where it has its hole only."""
    seat = fastener.seat_in(face.name)
    if not fastener.spec.into_countersink:
        return seat_words(job, assembly, [fastener]) if seat else ""
    if seat == "dimpled":
        return f"dimple it singly, {fastener.spec.size} die"
    return _countersunk(job, face.name, _dimple_seat(assembly, fastener))


def _into_countersinks(job: Job, assembly: Assembly, fasteners: Sequence[Fastener]) -> list[str]:
    """What is dimpled, and each sheet that is countersunk to take the dimples."""
    faces = dict.fromkeys((face, each.seat_in(face)) for each in fasteners for face in each.stack)
    dimpled = listed([face for face, seat in faces if seat == "dimpled"])
    told = [f"dimple {dimpled} singly, {fasteners[0].spec.size} die"] if fasteners else []
    sunk: dict[str, None] = {}
    for each in fasteners:
        (face,) = (name for name in each.stack if each.seat_in(name) == "countersunk")
        sunk[_countersunk(job, face, _dimple_seat(assembly, each))] = None
    return [*told, *sunk]


def _dimple_seat(assembly: Assembly, fastener: Fastener) -> DimpleSeat | None:
    return dimple_seat(fastener, [assembly.faces[face] for face in fastener.stack])


def _countersunk(job: Job, face: str, seat: DimpleSeat | None) -> str:
    """The countersink of a sheet that takes dimples: try it, for dies differ."""
    if seat is None:
        return f"countersink {face} in scrap until a dimpled piece lies flat in it"
    size = f"{in_unit(seat.wide, job.unit)} wide, {in_unit(seat.deep, job.unit)} deep"
    if seat.reach > seat.face.thickness + 1e-9 or not seat.deep:
        through = " IS TOO THIN" if seat.deep else " HAS TOO LARGE A HOLE"
    else:
        through = ", through the sheet" if seat.deep >= seat.face.thickness - 1e-9 else ""
    return f"countersink {face} {_CONE:g}° for the dimples, {size}{through}"


def _alike(job: Job, assembly: Assembly, fasteners: Sequence[Fastener]) -> str:
    """The words for heads that are all dimpled, or all countersunk in the sheet under them."""
    spec = fasteners[0].spec
    faces = dict.fromkeys(each.stack[0 if each.head_side == "outside" else -1] for each in fasteners)
    outer = " and ".join(faces)
    if spec.seat == "dimpled":
        return f"dimple each sheet singly, {spec.size} die"
    widths = _cone(spec)
    if widths is None:
        return f"countersink {outer} by the maker's table until the head is level"
    at_face, depth = widths
    sheet = min(assembly.faces[face].thickness for face in faces)
    through = " GOES THROUGH THE SHEET" if depth >= sheet - 1e-9 else ""
    size = f"{in_unit(at_face, job.unit)} wide, {in_unit(depth, job.unit)} deep"
    return f"countersink {outer} {_CONE:g}°, {size}{through}"


def _cone(spec: FastenerSpec) -> tuple[float, float] | None:
    """Width at the face and depth down to the final hole of a 100 degree cone, mm; None where not known."""
    wide = head_width(spec)
    if wide is None or wide <= spec.hole:
        return None
    return wide, countersink_depth(wide, spec.hole, _CONE)


def _from_memory(assembly: Assembly, line: _Line) -> str:
    """What of a fastener stands in no document that was seen."""
    keys = [text.split(":")[0] for text in line.spec.sources if "memory" in text]
    first = line.fasteners[0]
    for plate in (plate for each in assembly.openings for plate in each.nutplates):
        if first.name in plate.rivets and "rivet" in plate.spec.from_memory:
            keys.append("size for the nutplate")
            break
    return ", ".join(dict.fromkeys(keys))


def _joins(line: _Line) -> str:
    """The layers in order; what differs between stacks of one depth stands side by side."""
    depths: dict[int, list[list[str]]] = {}
    for grip, _ in line.grips:
        depths.setdefault(len(grip.layers), []).append([name for name, _ in grip.layers])
    return "; ".join(
        " + ".join(" or ".join(dict.fromkeys(names)) for names in zip(*stacks, strict=True))
        for stacks in depths.values()
    )


def _nutplates(assembly: Assembly) -> list[list[Nutplate]]:
    groups: dict[str, list[Nutplate]] = {}
    for plate in (plate for each in assembly.openings for plate in each.nutplates):
        groups.setdefault(plate.spec.name, []).append(plate)
    return list(groups.values())


def _nutplate_row(job: Job, assembly: Assembly, group: Sequence[Nutplate]) -> tuple[str, ...]:
    spec = group[0].spec
    given = job.nutplate.get(spec.name)
    standard = spec.name if given is None else (given.standard or "")
    name = f"{spec.name}, {standard}" if standard and standard != spec.name else spec.name
    facts = [f"nutplate {spec.screw}: {name}", spec.words, f"{spec.lug_seat} lugs"]
    facts += [word for word, is_so in (("self-locking", spec.self_locking),) if is_so]
    checks = [", ".join(key.replace("_", " ") for key in spec.from_memory)]
    missing = [key for key in ("lug_thickness", "height") if getattr(spec, key) is None]
    measure = [f"measure its {' and '.join(key.replace('_', ' ') for key in missing)}"] if missing else []
    measure += _under_dimples(assembly, group)
    rings = dict.fromkeys(_ring_of(assembly, plate) for plate in group)
    return (
        *_counts(len(group)),
        ", ".join(facts),
        "",
        "",
        "",
        "",
        f"at {ranges(each.number for each in _screws_of(assembly, group))}",
        " or ".join(rings),
        "; ".join([*(checks if spec.from_memory else []), *measure]),
    )


def _under_dimples(assembly: Assembly, group: Sequence[Nutplate]) -> list[str]:
    """That plates with plain lugs are bought for a ring that is dimpled under them; the findings judge it."""
    own = {name for plate in group for name in (plate.screw, *plate.rivets)}
    if group[0].spec.lug_seat != "plain":
        return []
    # a ring that takes the dimples in countersinks is plain behind
    dimpled = any(
        each.name in own and each.seat_in(each.stack[-1]) == "dimpled" for each in assembly.fasteners
    )
    return ["plain lugs on dimples: see the findings"] if dimpled else []


def _nut_rows(assembly: Assembly) -> Iterable[tuple[str, ...]]:
    """One row for the loose nuts of each kind of screw: those that no nutplate takes."""
    groups: dict[str, list[Fastener]] = {}
    for each in assembly.fasteners:
        if each.spec.kind == "screw" and not each.nutplate and not each.exists:
            groups.setdefault(each.spec.name, []).append(each)
    for group in groups.values():
        marks = ranges(each.number for each in group)
        under = dict.fromkeys(_under_nut(assembly, each) for each in group)
        what = f"nut {group[0].spec.size}, self-locking or not as the drawings ask"
        yield (*_counts(len(group)), what, "", "", "", "", f"on {marks}", " or ".join(under), "its height")


def _under_nut(assembly: Assembly, screw: Fastener) -> str:
    """What a nut lies on: the last layer away from the head."""
    layers = [name for name, _ in grip_of(assembly, screw).layers]
    return layers[-1] if screw.head_side == "outside" else layers[0]


def _ring_of(assembly: Assembly, plate: Nutplate) -> str:
    return next((each.stack[-1] for each in assembly.fasteners if each.name == plate.screw), "")


def _screws_of(assembly: Assembly, group: Sequence[Nutplate]) -> list[Fastener]:
    names = {plate.screw for plate in group}
    return [each for each in assembly.fasteners if each.name in names]


def _sheet_rows(job: Job, assembly: Assembly) -> Iterable[tuple[str, ...]]:
    """One row for each part that is cut from sheet: its blank, without spares."""
    for part in assembly.parts.values():
        faces = [assembly.faces[name] for name in part.faces]
        if not part.made or part.kind not in METAL or any(face.outline is None for face in faces):
            continue
        pattern = flat_pattern(assembly, part.name)
        box = pattern.outline.bounds
        blank = f"{in_unit(box.width, job.unit)} x {in_unit(box.height, job.unit)}"
        what = f"sheet {pattern.material}, {format_length(pattern.thickness, job.unit)}"
        yield ("1", "1", "0", what, "", f"blank {blank}", "", "", "", part.name, "")


def _notes(job: Job, assembly: Assembly, lines: Sequence[_Line], plates: Sequence[object]) -> tuple[str, ...]:
    kinds = {line.spec.kind for line in lines}
    rivet, plate = sources_of("rivets"), sources_of("nutplates")
    notes = [
        f"Job {job.file}, digest {job.digest}, {job.hand} hand.",
        f"Spares: one in {_SPARE_SHARE}, at least {_LEAST_SPARES} of each (our own default, no source); "
        "sheet has none, its blanks are the finished size.",
        "Grip: all sheets of the stack, flange and nutplate lug too. A countersink's depth is down to the "
        "edge of the final hole.",
    ]
    if "solid rivet" in kinds:
        notes.append(
            f"Solid rivets: grip + 1.5 D ({rivet['length']}), the next length that is sold "
            f"({rivet['next_length'].citation}; half sizes exist); a flush one is measured over its head."
        )
    if "blind rivet" in kinds:
        notes.append("Blind rivets: by their own grip range as the maker's table gives it, by no other rule.")
    if "screw" in kinds:
        notes.append(
            "Screws: stack, nut and one thread that shows "
            f"({plate['shim'].citation}), the next length that is sold (common practice, no source); a flush "
            "one is measured over its head. An unthreaded shank must not reach into the nut."
        )
    if any(each.exists for each in assembly.fasteners):
        notes.append("Rivets that are there already are not in this list.")
    return tuple(notes)
