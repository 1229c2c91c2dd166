"""Proving, trying, looking, stopping, making and supporting in words."""

from __future__ import annotations

from collections.abc import Callable

from templgen.layout.work.marks import listed
from templgen.layout.work.model import Stage
from templgen.layout.work.telling import Subject, Told

__all__ = ["PREPARING_TEXTS"]


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


def _stop(its: Subject) -> Told:
    said = " ".join(f"Finding {each.number}: {each.words}." for each in its.doubts)
    tries = list(dict.fromkeys(each.trial for each in its.doubts))
    return Told(
        f"STOP: what is not settled about {its.work.feature}",
        f"{said} Try it first with {listed(tries)}, or change the job. Until it is settled the skin is not "
        "cut and no part is made: later there is no way back.",
        tuple(f"finding {each.number} settled, and how: ____________" for each in its.doubts),
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
        "this step, pilot size; the others come later, through another part or a nutplate. Where a shop cut "
        f"a part by its cut file, its holes are there at pilot size.{_cut_rings(its)}",
        tuple(ticks),
    )


def _cut_rings(its: Subject) -> str:
    """Where and how wide the rings of openings are cut that are not in one piece."""
    told = []
    for opening in its.job.opening:
        gap, name = its.show(opening.ring.cut_gap), opening.name
        if opening.ring.made == "split":
            told.append(
                f" The ring of {name} is cut through once: saw out the strip {gap} wide that its sheet has "
                "in its outline, last of all, and deburr both ends."
            )
        if opening.ring.made == "halves":
            told.append(
                f" The ring of {name} is two parts, 1 and 2: saw and file each to the ends that its sheet "
                f"has, {gap} apart when both are in place. Mark each with its number."
            )
    return "".join([*told, " Where a shop cut it by its cut file, that is done."] if told else told)


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


PREPARING_TEXTS: dict[Stage, Callable[[Subject], Told]] = {
    Stage.PROVE: _prove,
    Stage.TRIAL: _trial,
    Stage.LOOK: _look,
    Stage.STOP: _stop,
    Stage.MAKE: _make,
    Stage.SUPPORT: _support,
    Stage.TAPE: _tape,
}
"""The words of each stage."""
