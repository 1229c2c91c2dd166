"""Fastening, lines, tasks and closings in words."""

from __future__ import annotations

from collections.abc import Callable

from templgen.layout.assembly import SKIN_PLANE, Fastener
from templgen.layout.openings.model import Closing
from templgen.layout.work.access import INSIDE
from templgen.layout.work.model import Stage
from templgen.layout.work.telling import Subject, Told

__all__ = ["FASTENING_TEXTS"]


_BOND = (
    "Where the drawings ask for a bond between the parts, and only there, bare its land to bright metal just "
    "before it is closed, then seal round it at once."
)
_BOND_TICK = "bond, where the drawings ask for one: bare and bright, sealed round at once"


def _nutplates(its: Subject) -> Told:
    if its.work.stage is Stage.NUTPLATES:
        detail = (
            "Before the ring goes in: rivet every nutplate to the ring alone, on the bench: nutplates on the "
            "inner face, away from the skin, heads on the outer one."
        )
        title = f"Rivet the nutplates of {its.work.feature} on the bench"
    else:
        through = "through ring and skin" if "skin" in its.work.parts else "to the ring, not to the skin"
        detail = f"With the ring in place: rivet every nutplate behind the ring, heads outside, {through}."
        title = f"Rivet the nutplates of {its.work.feature} in place"
    every = its.opening.opened == "every flight"
    note = " This panel is opened at every flight: no self-locking nuts." if every else ""
    return Told(title, f"{detail}{note} A screw runs in by hand.", ("every screw runs in by hand",))


def _clean(its: Subject) -> Told:
    if its.is_mast:
        return Told(
            f"Clean and protect {its.work.feature}",
            f"Wash off swarf and oil; protect all bare metal. {_BOND}",
            ("bare metal protected", _BOND_TICK),
        )
    drain = its.opening.drain_gap
    gap = f" Leave the drain gap of {its.show(drain)} open." if drain is not None else ""
    return Told(
        f"Clean and protect skin, ring and cover of {its.work.feature}",
        "Wash off swarf and oil; protect all bare metal, seal the faying surfaces where the maker asks for "
        f"it. {_BOND}{gap}",
        ("faying surfaces clean and protected", _BOND_TICK),
    )


def _feed(its: Subject) -> Told:
    how = {
        "whole": "Turn it through the opening edge first, as checks.txt tells of it.",
        "split": "Wind it in through the opening, the cut first.",
        "halves": "Put both halves in one after the other.",
    }[its.opening.ring_made]
    open_behind = its.work.wish >= INSIDE
    if open_behind:
        how = (
            "While the inside is open put it in from behind; through the opening only by a way of which "
            "checks.txt tells."
        )
    if its.doubts:
        stands = " ".join(f"Finding {each.number} stands: {each.words}." for each in its.doubts)
        how = f"{stands} {how if open_behind else 'Put it in only in the way that was tried with card.'}"
    return Told(
        f"Feed in the ring of {its.work.feature}",
        f"{how} Temporary fasteners in every second hole, cut edges and wires taped.",
        ("ring in place, holes in line",),
    )


def _clear_table(its: Subject) -> Told:
    out = its.mast_def.stands_out
    high = (
        f"higher than {its.show(out)}" if out is not None else "higher than it stands out (measure: ______)"
    )
    return Told(
        f"Support the skin so that {its.work.feature} clears the table",
        f"With the mast in place lay the skin on blocks {high}. The mast hangs free, nothing leans on it "
        "while rivets are set.",
        (f"{its.work.feature} hangs free of the table",),
    )


def _fasten(its: Subject) -> Told:
    first = its.fasteners[0]
    spec = first.spec
    head = f"on the {first.head_side}"
    if first.plane != SKIN_PLANE:
        under = first.stack[0] if first.head_side == "outside" else first.stack[-1]
        head = f"on {its.assembly.faces[under].part}"
    seat = f", {spec.seat_words}" if spec.seat else ""
    how = {
        "solid rivet": "Buck each one square; every second hole first, from the middle outwards.",
        "blind rivet": "Check the grip, hold the sheets tight together, pull each one square.",
        "screw": f"{_nut(first)}Run them in by hand, tighten crosswise.",
    }[spec.kind]
    tick = {
        "solid rivet": "driven heads gauged",
        "blind rivet": "no stem loose",
        "screw": "tightened, marked",
    }
    plural = "s" if len(its.fasteners) > 1 else ""
    return Told(
        f"Set {its.marks} of {its.work.feature}: {len(its.fasteners)} {spec.kind}{plural} {spec.size}",
        f"{spec.head[:1].upper()}{spec.head[1:]} head{seat}, {head}. {how}",
        (tick[spec.kind],),
    )


def _nut(screw: Fastener) -> str:
    """The loose nut of a screw, in words; "" where a nutplate takes it."""
    if screw.nutplate:
        return ""
    return f"A nut {screw.spec.size} on each, on the other side of the stack, one thread at least shows. "


def _box(its: Subject) -> Told:
    told = _fasten(its)
    return Told(told.title, f"On the bench. {told.detail}", told.ticks)


def _sleeve(its: Subject) -> Told:
    return Told(
        f"Nut and sleeve on each tube of {its.work.feature}",
        "Cut the tube square, deburr it inside and out. Slip on nut and sleeve before it is flared: "
        "afterwards they do not go on.",
        ("cut square, deburred", "nut and sleeve on, the right way round"),
    )


def _flare(its: Subject) -> Told:
    return Told(
        f"Flare the tube of {its.work.feature}",
        "With an aircraft flaring tool of 37 degrees, never a 45 degree automotive one. What is not flared "
        "leaves this step out.",
        ("flare round, without a crack",),
    )


def _thread(its: Subject) -> Told:
    bore = its.mast.bore_diameter or 0.0
    how = "all together" if its.mast.bore_together else "one by one"
    rows = [
        f"{count} x {name}, {its.show(size)}" if count > 1 else f"{name}, {its.show(size)}"
        for name, size, count in its.mast.bore_passes
    ]
    return Told(
        f"Pass the bore of {its.work.feature}",
        f"Bore {its.show(bore)}; {how}. Tape its edge before a long piece goes through.",
        tuple(rows),
    )


def _connect(its: Subject) -> Told:
    box = its.opening.hangs
    assert box is not None  # noqa: S101 - the work is there for a box only
    rows = tuple(
        f"{lead.name} to {lead.plug}{f', slack {lead.stowed}' if lead.stowed else ''}" for lead in box.leads
    )
    return Told(
        f"Connect {box.name} of {its.work.feature}",
        f"Hold it {its.show(box.hand_distance)} outside the opening, connect, stow the slack clear of "
        "everything that moves.",
        rows or tuple(plug.name for plug in box.plugs),
    )


def _task(its: Subject) -> Told:
    name = its.work.words.strip('"')
    return Told(f"{name[:1].upper()}{name[1:]}", "A task of the job.", (name,))


def _leak(its: Subject) -> Told:
    if its.inside_is_closed:
        return Told(
            f"Leak check of {its.work.feature}",
            "The inside is closed, its fittings can not be looked at: pressure on each line, as the maker "
            "says, and it has to hold.",
            ("pressure holds",),
        )
    return Told(
        f"Leak check of {its.work.feature}",
        "Before anything is closed: pressure on each line and its fittings, as the maker says. A leak that "
        "is found later can not be reached.",
        ("no leak",),
    )


def _closing_of(its: Subject) -> Closing:
    name = its.work.words.strip('"')
    return next(closing for closing in its.assembly.closings if closing.name == name)


def _close(its: Subject) -> Told:
    closing = _closing_of(its)
    name = f"{closing.name[:1].upper()}{closing.name[1:]}"
    return Told(
        name,
        f"Closes {closing.closes}. From here on there is no access: {its.work.takes}. Look once more for "
        "tools, swarf and loose ends.",
        ("every step above is ticked", "nothing left behind"),
    )


def _closed_before(its: Subject) -> Told:
    closing = _closing_of(its)
    name = f"{closing.name[:1].upper()}{closing.name[1:]}"
    return Told(
        f"{name} (done already)", f"Closed: {closing.closes}. No access: {its.work.takes}.", ("known",)
    )


def _cover(its: Subject) -> Told:
    return Told(
        f"Cover of {its.work.feature} on",
        f"Screws {its.marks}: all in by hand first, then tighten crosswise. Nothing is pinched, leads hang "
        "free.",
        ("all screws in", "cover flat, nothing pinched"),
    )


def _leak_again(its: Subject) -> Told:
    return Told(
        f"Leak check of {its.work.feature}, closed", "Once more, with everything closed.", ("no leak",)
    )


def _record(its: Subject) -> Told:
    return Told(
        "Write it down",
        "Weight and balance, logbook, and who looked at it. Keep these sheets with the aircraft's records.",
        ("weight and balance", "logbook", "inspected by: ____________"),
    )


FASTENING_TEXTS: dict[Stage, Callable[[Subject], Told]] = {
    Stage.CLOSED_BEFORE: _closed_before,
    Stage.NUTPLATES: _nutplates,
    Stage.NUTPLATES_IN_PLACE: _nutplates,
    Stage.CLEAN: _clean,
    Stage.FEED: _feed,
    Stage.CLEAR_TABLE: _clear_table,
    Stage.FASTEN: _fasten,
    Stage.BOX: _box,
    Stage.SLEEVE: _sleeve,
    Stage.FLARE: _flare,
    Stage.THREAD: _thread,
    Stage.CONNECT: _connect,
    Stage.TASK: _task,
    Stage.LEAK: _leak,
    Stage.CLOSE: _close,
    Stage.COVER: _cover,
    Stage.LEAK_AGAIN: _leak_again,
    Stage.RECORD: _record,
}
"""The words of each stage."""
