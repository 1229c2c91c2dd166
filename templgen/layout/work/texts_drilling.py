"""Preparing, marking, drilling and cutting in words."""

from __future__ import annotations

from collections.abc import Callable

from templgen.layout.work.marks import listed, marks_in_short
from templgen.layout.work.model import Stage
from templgen.layout.work.telling import Subject, Told
from templgen.trade.drills import LARGE_DRILL_MM

__all__ = ["DRILLING_TEXTS"]


def _prove(its: Subject) -> Told:
    return Told(
        "Prove the prints",
        "Print every sheet at 100 %. Measure rulers and crosses with a steel rule, both ways. A sheet that "
        "does not hold is thrown away. No photocopies.",
        ("rulers and crosses measured on every sheet",),
    )


def _trial(its: Subject) -> Told:
    masts = list(its.work.parts)
    fit = f" Slip the fit page over the real {listed(masts)}." if masts else ""
    ticks = (*(f"fit page slips over {name}, the gap even all round" for name in masts), "trial cut fits")
    return Told(
        "Trial cut in scrap or card",
        f"Cut the outline in card or scrap of the same sheet first.{fit} What does not fit is measured again "
        "before metal is cut.",
        ticks,
    )


def _look(its: Subject) -> Told:
    room = its.assembly.room_behind
    depth = f" Measured room behind the skin: {its.show(room)}." if room is not None else ""
    if its.inside_is_closed:
        return Told(
            "Look behind the skin",
            "The inside is closed: look with a borescope through a hole that is there, and in the drawings: "
            f"fuel, lines, wires, control cables, ribs.{depth} Where nobody can look, nobody drills. Set a "
            "stop on the drill.",
            ("nothing stands behind holes and cut", "drill stop set", "eye protection on"),
        )
    return Told(
        "Look behind the skin",
        "With light and mirror, behind every hole and all along the cut: fuel, lines, wires, control cables, "
        f"ribs.{depth} Set a stop on the drill.",
        ("nothing stands behind holes and cut", "drill stop set", "eye protection on"),
    )


def _make(its: Subject) -> Told:
    bent = {bend.part for bend in its.assembly.bends}
    ticks = []
    for part in its.work.parts:
        face = its.assembly.faces[its.assembly.parts[part].faces[0]]
        end = ", bent to its sheet" if part in bent else ""
        ticks.append(f"{part}: {face.material}, {its.show(face.thickness)}{end}")
    return Told(
        "Make the parts on the bench",
        "Cut them outside the line, file to it, break all edges. Drill only the holes that are listed for "
        "this step, pilot size; the others are drilled through with the parts clamped.",
        tuple(ticks),
    )


def _support(its: Subject) -> Told:
    if its.inside_is_closed:
        return Told(
            "Support the skin",
            "The skin can not spring while it is drilled and cut: support it close round the work. The "
            "inside is closed, no wood goes behind: a step drill, hole saw or blade grabs, so try each in "
            "scrap that is held the same way, light pressure, with a stop.",
            ("supported close round the work", "each tool tried in scrap without wood behind"),
        )
    return Told(
        "Support and back up the skin",
        "The skin can not spring while it is drilled and cut: support it close round the work and clamp wood "
        "behind it where it is sawn or step-drilled.",
        ("supported close round the work", "wood behind the cut"),
    )


def _tape(its: Subject) -> Told:
    if its.inside_is_closed:
        return Told(
            "Tape round the cut",
            "Tape the outer face round every cut: the saw does not scratch. The inside is closed and can not "
            "be taped: swarf that falls in is vacuumed out through the cut, never blown.",
            ("taped, outer face", "swarf out through the cut"),
        )
    return Told(
        "Tape round the cut",
        "Tape both faces round every cut: swarf stays out of the joints, the saw does not scratch. Swarf is "
        "vacuumed, never blown.",
        ("taped, both faces",),
    )


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
    first = its.fasteners[0]
    guide = first.made_from.removeprefix("through ")
    parts = [part for part in its.work.parts if part != "skin"]
    drilled_from = guide if guide in its.work.parts else "skin"
    fed = "The ring is put in bare for this, its nutplates come later. " if its.is_opening else ""
    if its.is_opening and not its.is_pinned:
        return Told(
            f"Clamp and match-drill {its.marks} of {its.work.feature}",
            f"{fed}Lay it evenly round the hole, the cover in the hole with its gap all round, clamp, and "
            "drill pilot size through each stack from the part that the list names; a temporary fastener "
            "goes into each hole before the next but one.",
            ("ring even round the hole, gap of the cover even, clamped", "pilot size through the stack"),
        )
    return Told(
        f"Clamp and match-drill {its.marks} of {its.work.feature}",
        f"{fed}Put {listed(parts)} on the locating holes or pins, clamp, and drill pilot size through the "
        f"whole stack from the {drilled_from}; a temporary fastener goes into each hole before the next but "
        "one.",
        ("parts lie flat on each other, clamped", "pilot size through the stack"),
    )


def _lugs(its: Subject) -> Told:
    return Told(
        f"Lug holes {its.marks} through the nutplates",
        "Hold each nutplate on the ring by its own screw, turned as the sheet shows. Drill one lug hole "
        "through the lug, put a rivet in loose, drill the other. Deburr both faces.",
        ("every nutplate turned as drawn", "nutplates and places marked together"),
    )


def _final(its: Subject) -> Told:
    large = any(f.spec.hole > LARGE_DRILL_MM for f in its.fasteners)
    blind = "skin" in its.work.parts and its.inside_is_closed
    wood = "tried in scrap without wood behind" if blind else "wood behind"
    more = f" Above 1/4 in only a step drill or a hole saw, {wood}." if large else ""
    if blind:
        return Told(
            f"Part, drill to size, deburr {its.work.feature}",
            "Take off what lies outside. Open every hole, sheet by sheet, and deburr every face that can be "
            "reached: a burr at a dimple starts a crack. The inner face of the skin is closed: a sharp bit, "
            f"light pressure, and a hooked tool through holes that take one.{more}",
            ("parted, swarf out of the joints", "holes to size", "every face within reach deburred"),
        )
    return Told(
        f"Part, drill to size, deburr {its.work.feature}",
        "Take the stack apart. Open every hole, sheet by sheet, and deburr both faces of every sheet: a burr "
        f"at a dimple starts a crack.{more}",
        ("parted, swarf out of the joints", "holes to size", "both faces of every sheet deburred"),
    )


def _dimple(its: Subject) -> Told:
    seats = {f.spec.seat for f in its.fasteners}
    ream = its.job.dimpling is not None and its.job.dimpling.ream
    words, ticks = [], []
    if "dimpled" in seats:
        words.append(
            "Dimple each sheet singly, the die flat on it, clear of bends and webs. Never drill through "
            "nested dimples: a dimple opens the hole, and the bit wanders."
        )
        ticks.append("each sheet dimpled singly")
        if "skin" in its.work.parts and its.inside_is_closed:
            words.append("The inside is closed: only a die that is pulled from outside reaches the skin.")
            ticks.append("pulled die tried in scrap")
        if ream:
            words.append("The holes were drilled undersize: ream each sheet singly to its final size.")
            ticks.append("each sheet reamed singly")
    if "countersunk" in seats:
        words.append("Countersink with a stop; try the depth with a fastener in scrap of the same sheet.")
        ticks.append("depth tried in scrap, heads flush")
    title = "Dimple" if seats == {"dimpled"} else "Countersink" if seats == {"countersunk"} else "Seat"
    return Told(f"{title} {its.marks} of {its.work.feature}", " ".join(words), tuple(ticks))


DRILLING_TEXTS: dict[Stage, Callable[[Subject], Told]] = {
    Stage.PROVE: _prove,
    Stage.TRIAL: _trial,
    Stage.LOOK: _look,
    Stage.MAKE: _make,
    Stage.SUPPORT: _support,
    Stage.TAPE: _tape,
    Stage.LOCATE: _locate,
    Stage.PILOT: _pilot,
    Stage.CUT: _cut,
    Stage.TRY: _try,
    Stage.MATCH: _match,
    Stage.LUGS: _lugs,
    Stage.FINAL: _final,
    Stage.DIMPLE: _dimple,
}
"""The words of each stage."""
