"""Marking, drilling and cutting in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from templgen.job.names import SKIN
from templgen.layout.assembly import SKIN_PLANE, Fastener, Seat
from templgen.layout.work.access import INSIDE, lies_inside
from templgen.layout.work.drillings import drillings
from templgen.layout.work.features import own_parts
from templgen.layout.work.marks import listed, marks_in_short
from templgen.layout.work.model import Stage
from templgen.layout.work.telling import Subject, Told
from templgen.trade.drills import LARGE_DRILL_MM

__all__ = ["DRILLING_TEXTS"]


def _locate(its: Subject) -> Told:
    holes = its.fasteners
    apart = ""
    if len(holes) == 2:
        apart = f" They stand {its.show(holes[0].at.distance_to(holes[1].at))} apart: measure."
    return Told(
        f"Locating holes {its.marks} of {its.work.feature}",
        f"Lay the template on the {its.job.laid_on} of the skin as it says. Drill the two locating holes "
        f"first, pilot size, and pin it on them.{apart}",
        ("template laid by its line or its targets, hand and face read", "pinned, distance measured"),
    )


def _pilot(its: Subject) -> Told:
    if not its.is_pinned:
        return Told(
            f"Pilot holes {its.marks} of {its.work.feature}",
            f"Lay the template on the {its.job.laid_on} of the skin as its sheet says, tape it down. Prick "
            "the centres through it; drill pilot size only.",
            (
                "template laid as its sheet says, hand and face read",
                "all centres pricked before the template is cut",
                "pilot holes drilled",
            ),
        )
    return Told(
        f"Pilot holes {its.marks} of {its.work.feature}",
        "Prick the centres through the pinned template; drill pilot size only.",
        ("all centres pricked before the template is cut", "pilot holes drilled"),
    )


def _cut(its: Subject) -> Told:
    plans = [plan for plan in its.assembly.cutting if plan.cutout in its.work.cutouts]
    how = " ".join(f"{note[:1].upper()}{note[1:]}." for plan in plans for note in plan.notes)
    mark = _marked(its)
    hook = ", the inner one with a hooked tool through the cut" if its.inside_is_closed else ""
    holes = [hole.name for plan in plans for hole in plan.holes]
    drilled = (f"holes {marks_in_short(holes)} in the waste drilled",) if holes else ()
    return Told(
        f"Cut out {listed(list(its.work.cutouts))}",
        f"{mark} {how}".strip(),
        (
            *drilled,
            "cut stopped short of the line",
            "filed to the line",
            f"edge deburred on both faces{hook}, no scribe line left in metal that stays",
        ),
    )


def _marked(its: Subject) -> str:
    if its.job.use != "trace":
        return "Stick the template on. Stop short of the line, then file to the centre of the finish line."
    if its.is_pinned:
        return (
            "Pin the rough template on the locating holes, prick the holes in the waste, trace it. Stop "
            "short of the line; then pin and trace the finish template and file to the outer edge of the ink."
        )
    return (
        "Lay the rough template by the holes or marks that its sheet names, prick the holes in the waste, "
        "trace it. Stop short of the line; then lay the finish template in the same way, trace it and file "
        "to the outer edge of the ink."
    )


def _try(its: Subject) -> Told:
    gap = its.show(its.mast.gap)
    return Told(
        f"Try {its.work.feature} in its cutout",
        f"It passes at its widest, and the gap is {gap} all round. File where it binds, never force it.",
        (f"passes, gap {gap} all round",),
    )


def _match(its: Subject) -> Told:
    guide = its.guide
    title = f"Clamp and match-drill {its.marks} of {its.work.feature}"
    others = [part for part in its.work.parts if part != guide]
    way = (
        f"drill pilot size through the holes of the {guide} into {listed(others)}; a temporary fastener goes "
        "into each hole before the next but one."
    )
    how, tick = _held(its, guide, others)
    return Told(title, f"{how}. Clamp, and {way}", (tick, "pilot size through the stack"))


def _held(its: Subject, guide: str, others: Sequence[str]) -> tuple[str, str]:
    """How the parts lie on each other while they are drilled, and what is ticked of it."""
    flat = "parts lie flat on each other, clamped"
    if not its.is_opening:
        if its.is_guided_over_pins:
            return f"Put the {guide} on the pins in the locating holes of the skin", flat
        return f"Hold {listed(others)} to the {guide} as the sheets show, edges and cutouts in line", flat
    lying = its.opening.cover_kind == "lying"
    cover = its.assembly.faces[its.opening.cover_face].part
    if guide == SKIN:
        bare = "The ring goes in bare for this, its nutplates come later, and no cover is on."
        if not lying:
            return _shows(its, f"{bare} Hold {listed(others)} behind the skin")
        tick = "ring even round the hole, flat on the skin, clamped"
        return f"{bare} Hold {listed(others)} behind the skin, its inner edge even with the cutout", tick
    if guide == cover and lying:
        return (
            f"The ring stays clamped behind the skin. {_pinned(its, cover)}",
            "cover in its place without force, flat, clamped",
        )
    if guide == cover:
        gap = its.show(its.opening.gap)
        return (
            f"The ring stays clamped behind the skin. Lay {cover} in the hole, its gap even all round: "
            f"strips {gap} thick in it, two on each side, hold it",
            f"gap of the cover {gap} all round, strips in it, clamped",
        )
    return f"Hold {listed(others)} to the {guide}, even round the hole", flat


def _shows(its: Subject, held: str) -> tuple[str, str]:
    """How a ring gets even behind the hole of a flush cover: by what shows of it, measured."""
    shows = its.show(its.opening.ledge)
    return (
        f"{held} so that {shows} of it shows on all sides, the line of its sheet at the edge of the hole",
        f"ring shows {shows} on all sides, measured, flat on the skin, clamped",
    )


def _pinned(its: Subject, cover: str) -> str:
    """How a cover that lies on the skin gets to its place: over the locating holes, else by its margin."""
    pins = [f.name for f in its.located]
    if not pins:
        return f"Lay {cover} on the skin, its margin even all round the opening"
    marks = marks_in_short(pins)
    return (
        f"Take the temporary fasteners out of {marks}, lay {cover} on and pin it there. Where the pins do "
        "not go in, a print or a hole is off: measure, and make the cover again rather than force it"
    )


def _marking(its: Subject) -> tuple[str, tuple[str, ...]]:
    """What is said and ticked before a stack is parted: a part that looks the same turned round has its holes
    where it was drilled, and nowhere else (common practice, no source)."""
    own = [*its.work.parts, *own_parts(its.assembly, its.work.feature)]
    parts = [name for name in dict.fromkeys(own) if its.assembly.parts[name].made]
    if not parts:
        return "", ()
    which = f"{listed(parts)}: each its name" if len(parts) > 1 else f"{parts[0]}: its name"
    return (
        f"First, while all is still clamped, mark {which}, an arrow, the same way as one on the skin beside "
        'it, and "outside" or "inside" on the face that can be seen, with a felt pen, never a scriber or a '
        "pencil. Drilled in place it fits in no other way round. ",
        ("marked before anything is taken off: name, face, arrow",),
    )


def _lugs(its: Subject) -> Told:
    return Told(
        f"Lug holes {its.marks} through the nutplates",
        "On the bench, the ring bare, the holes of its screws to size: hold each nutplate on the inner face "
        "of the ring, the one away from the skin, by its own screw, turned as the sheet shows. "
        f"{_floats(its)}Drill one lug hole through the lug, put a rivet in loose, drill the other. Take the "
        "nutplates off, deburr both faces.",
        ("every nutplate turned as drawn", "nutplates and places marked together", "both faces deburred"),
    )


def _floats(its: Subject) -> str:
    """How a floating nut is centred: its screw alone leaves it where it happens to lie; "" for fixed ones."""
    plates = {f.nutplate for f in its.fasteners if f.is_from_nutplate}
    kinds = [
        each.spec for opening in its.assembly.openings for each in opening.nutplates if each.name in plates
    ]
    if not any(spec.floating for spec in kinds):
        return ""
    return (
        "A floating nut is centred first: the nut in the middle of its play, the screw in the middle of the "
        "larger hole of the ring, with tape round its shank where nothing else holds it there; else all its "
        "play lies on one side. "
    )


def _lugs_clamped(its: Subject) -> Told:
    lugs = marks_in_short(f.name for f in its.fasteners if f.is_from_nutplate)
    screws = marks_in_short(f.name for f in its.fasteners if not f.is_from_nutplate)
    mark, marked = _marking(its)
    angle = "" if its.work.need | its.work.wish >= INSIDE else ", with an angle drill through the opening,"
    return Told(
        f"Lug holes {lugs} through the nutplates, ring and skin clamped",
        f"{mark}Cover off; the ring stays clamped behind the skin with temporary fasteners in its rivet "
        f"holes. Open {screws} to size through skin and ring. Hold each nutplate behind the ring by its own "
        f"screw, turned as the sheet shows. {_floats(its)}From behind{angle} drill one lug hole through lug, "
        "ring and skin, put a rivet in loose, drill the other. Take the nutplates off. Nothing is dimpled "
        "yet.",
        (*marked, "every nutplate turned as drawn", "nutplates and places marked together"),
    )


def _final(its: Subject) -> Told:
    large = any(f.spec.hole > LARGE_DRILL_MM for f in its.fasteners)
    blind = "skin" in its.work.parts and its.inside_is_closed
    wood = "tried in scrap without wood behind" if blind else "wood behind"
    more = f" Above 1/4 in only a step drill or a hole saw, {wood}." if large else ""
    dimpled = any(f.spec.seat == "dimpled" for f in its.own)
    burr = "a burr at a dimple starts a crack" if dimpled else "a burr holds the sheets apart"
    mark, marked = ("", ()) if its.is_marked_before else _marking(its)
    if blind:
        how = (
            "Take off what lies outside. Open every hole that is listed here, sheet by sheet, and deburr "
            f"every face that can be reached: {burr}. The inner face of the skin is closed: a sharp bit, "
            f"light pressure, and a hooked tool through holes that take one.{more}"
        )
        faces = "every face within reach deburred"
    else:
        how = (
            "Take the stack apart. Open every hole that is listed here, sheet by sheet, and deburr both "
            f"faces of every sheet: {burr}.{more}"
        )
        faces = "both faces of every sheet deburred"
    return Told(
        f"Part, drill to size, deburr {its.work.feature}",
        f"{mark}{how}",
        (*marked, "parted, swarf out of the joints", "holes to size", faces),
    )


def _dimple(its: Subject) -> Told:
    by_seat = {seat: [f for f in its.fasteners if f.spec.seat == seat] for seat in ("dimpled", "countersunk")}
    dimpled, countersunk = by_seat["dimpled"], by_seat["countersunk"]
    into = [f for f in dimpled if f.spec.into_countersink]
    words: list[str] = []
    ticks: list[str] = []
    if dimpled:
        words.append(_dimples(its, dimpled, is_told_by_parts=bool(countersunk or into)))
        words += _ways_of_dimples(dimpled)
        ticks += ["each sheet dimpled singly", "every dimple the right way: the head sinks into it"]
        if its.is_dimpled_from_outside and _in_skin(dimpled):
            words.append(_PULLED)
            ticks.append("pulled die tried in scrap")
        if its.job.dimpling is not None and its.job.dimpling.ream:
            reaming, ticked = _reaming(its, dimpled, "each dimpled sheet" if into else "each sheet")
            words.append(reaming)
            ticks += ticked
    if into:
        words.append(_seats_of_dimples(its, into))
        ticks.append("dimples lie flat in their countersinks, tried in scrap")
    if countersunk:
        words.append(_countersinks(its, countersunk))
        ticks.append("depth tried in scrap, heads flush")
    title = "Dimple" if dimpled else "Countersink"
    if dimpled and (countersunk or into):
        title = "Dimple and countersink"
    return Told(f"{title} {its.marks} of {its.work.feature}", " ".join(words), tuple(ticks))


def _reaming(its: Subject, dimpled: Sequence[Fastener], each: str) -> tuple[str, list[str]]:
    """Which holes were drilled undersize; a screw that holds its nutplate for that needs its final hole."""
    under = {mark for drilling in drillings(its.job, its.assembly, its.work) for mark in drilling.holes}
    names = [f.name for f in dimpled]
    final = [name for name in names if name not in under]
    words = []
    if under:
        reamed = marks_in_short([name for name in names if name in under])
        words.append(f"{reamed} were drilled undersize: ream {each} singly to its final size.")
    if final:
        words.append(
            f"{marks_in_short(final)} have their final size already, so that the screws hold the nutplates: "
            "they are not reamed."
        )
    return " ".join(words), [f"{each} reamed singly"] if under else []


def _in_skin(group: Sequence[Fastener]) -> bool:
    return any(SKIN in f.stack for f in group)


def _dimples(its: Subject, group: Sequence[Fastener], *, is_told_by_parts: bool) -> str:
    """Which holes are dimpled; in which sheets only where not all of their stack is."""
    plain = [f.name for f in group if not f.spec.into_countersink]
    into = [f for f in group if f.spec.into_countersink]
    told = [f"{marks_in_short(plain)}: each sheet singly"] if plain and is_told_by_parts else []
    told += [f"{marks} in {parts}, each sheet singly" for marks, parts in _by_parts(its, into, "dimpled")]
    return (
        f"Dimple {'; '.join(told) if told else 'each sheet singly'}, the die flat on it, clear of bends and "
        "webs. Never drill through nested dimples: a dimple opens the hole, and the bit wanders."
    )


def _ways_of_dimples(group: Sequence[Fastener]) -> Iterator[str]:
    """Which way sheets are pressed: away from the heads."""
    for side, other in (("outside", "inside"), ("inside", "outside")):
        own = [f for f in group if f.plane == SKIN_PLANE and f.head_side == side]
        if own:
            marks = f" ({marks_in_short(f.name for f in own)})" if len(own) < len(group) else ""
            yield f"The heads are {side}{marks}: a sheet is pressed towards the {other}, punch {side}."
    if any(f.plane != SKIN_PLANE for f in group):
        yield "In a web a sheet is pressed away from the side on which the heads are."


_PULLED = (
    "The inside is closed: no squeezer reaches the skin. Dimple it with a hand-held pull dimple tool from "
    "outside, drawn through the hole itself; its other die has to come behind the hole, held by a hand "
    "through the opening or on its own stem (common practice, no source)."
)


def _by_parts(its: Subject, group: Sequence[Fastener], seat: Seat) -> list[tuple[str, str]]:
    """Holes in short, with the parts that are made so for their heads; a countersink with its face too."""
    found: dict[tuple[str, ...], list[str]] = {}
    for fastener in group:
        faces = [face for face in fastener.stack if fastener.seat_in(face) == seat]
        parts = [its.assembly.faces[face].part for face in faces]
        if seat == "countersunk":
            parts = [f"{part} ({_sunk_face(its, fastener, part)})" for part in parts]
        found.setdefault(tuple(parts), []).append(fastener.name)
    return [(marks_in_short(marks), listed(list(parts))) for parts, marks in found.items()]


def _sunk_face(its: Subject, fastener: Fastener, part: str) -> str:
    """The face of a part into which a head, or a dimple, sinks."""
    if fastener.plane != SKIN_PLANE:
        return "face on which the head is"
    if fastener.head_side == "inside":
        return "inner face"
    return f"outer face{', towards the skin' if lies_inside(its.assembly.parts[part]) else ''}"


def _seats_of_dimples(its: Subject, group: Sequence[Fastener]) -> str:
    """The countersinks that take dimples: wider and deeper than for a head, and tried with a real dimple."""
    told = ", ".join(f"{marks} in {part}" for marks, part in _by_parts(its, group, "countersunk"))
    return (
        f"Countersink with a stop {told}, not dimpled: it takes the dimples, so wider and deeper than for a "
        "head, as the drill schedule by part says. Set the stop in scrap of the same sheet, until a dimpled "
        "piece of the sheets on it lies flat and does not rock."
    )


def _countersinks(its: Subject, group: Sequence[Fastener]) -> str:
    """Which sheet gets which countersinks, on which face: the one under the head, and no other."""
    told = ", ".join(f"{marks} in {part}" for marks, part in _by_parts(its, group, "countersunk"))
    return (
        f"Countersink with a stop, only in the sheet under the head: {told}. Try the depth with a fastener "
        "in scrap of the same sheet."
    )


DRILLING_TEXTS: dict[Stage, Callable[[Subject], Told]] = {
    Stage.LOCATE: _locate,
    Stage.PILOT: _pilot,
    Stage.CUT: _cut,
    Stage.TRY: _try,
    Stage.MATCH: _match,
    Stage.LUGS_CLAMPED: _lugs_clamped,
    Stage.LUGS: _lugs,
    Stage.FINAL: _final,
    Stage.DIMPLE: _dimple,
}
"""The words of each stage."""
