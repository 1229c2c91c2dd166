"""What access a fastener or a task needs: outside, inside, both, or a hand through an opening."""

from __future__ import annotations

from collections.abc import Iterable

from templgen.layout.assembly import SKIN_PLANE, Assembly, Fastener, Part
from templgen.layout.openings.model import Closing, Task

__all__ = [
    "BENCH",
    "BOTH",
    "HAND",
    "INSIDE",
    "OUTSIDE",
    "access_words",
    "hand_through",
    "lies_inside",
    "need_in_place",
    "need_of",
    "need_of_task",
    "need_to_place",
    "seat_parts",
    "taken",
]

BENCH: frozenset[str] = frozenset()
OUTSIDE = frozenset({"outside"})
INSIDE = frozenset({"inside"})
BOTH = OUTSIDE | INSIDE

HAND = "hand through "


def hand_through(opening: str) -> frozenset[str]:
    """Return the need of a hand that goes in through an opening."""
    return frozenset({HAND + opening})


def need_of(assembly: Assembly, fastener: Fastener) -> frozenset[str]:
    """Return the access that it takes to set a fastener.

    What joins made parts alone is done on the bench. A solid rivet needs both sides, and so does a screw with
    a loose nut; a blind rivet and a screw into a nutplate need the side of their head. What stands on a web
    is inside. The job may say otherwise.
    """
    parts = [assembly.parts[assembly.faces[face].part] for face in fastener.stack]
    if not fastener.access and all(part.made and part.kind not in ("skin", "structure") for part in parts):
        return BENCH
    return need_in_place(fastener)


def need_in_place(fastener: Fastener) -> frozenset[str]:
    """Return the access that it takes to set a fastener on the aircraft, also one of made parts alone."""
    if fastener.access == "both sides":
        return BOTH
    if fastener.access == "outside only":
        return OUTSIDE
    if fastener.access.startswith(HAND):
        return OUTSIDE | {fastener.access} if fastener.plane == SKIN_PLANE else frozenset({fastener.access})
    if fastener.plane != SKIN_PLANE:
        return INSIDE
    head = OUTSIDE if fastener.head_side == "outside" else INSIDE
    kind = fastener.spec.kind
    if kind == "solid rivet" or (kind == "screw" and not fastener.nutplate):
        return BOTH
    return OUTSIDE if kind == "hole" else head


def seat_parts(assembly: Assembly, fastener: Fastener) -> tuple[str, ...]:
    """Return the parts that are dimpled or countersunk for a flush head."""
    if not fastener.spec.seat:
        return ()
    return tuple(assembly.faces[face].part for face in fastener.stack if fastener.seat_in(face))


def lies_inside(part: Part) -> bool:
    """Whether a part is made, and goes to its place behind the skin."""
    return part.made and (part.side == "inside" or part.kind == "bracket")


def need_to_place(assembly: Assembly, fasteners: Iterable[Fastener]) -> frozenset[str]:
    """Return the access that it takes to put the parts of some stacks in their place, clamp and part them.

    A part behind the skin is put there from inside, or by a hand through the opening that every one of its
    fasteners names; a ring goes in through its own opening. What lies outside, or is joined on the bench,
    needs nothing.
    """
    need = BENCH
    # fasteners of one stack and one access need the same
    for fastener in {(each.stack, each.access): each for each in fasteners}.values():
        parts = [assembly.parts[assembly.faces[face].part] for face in fastener.stack]
        if all(part.made for part in parts):
            continue
        for part in parts:
            if lies_inside(part):
                need |= _way_in(assembly, fastener, part)
    return need


def _way_in(assembly: Assembly, fastener: Fastener, part: Part) -> frozenset[str]:
    if fastener.access.startswith(HAND):
        return frozenset({fastener.access})
    own = [each.name for each in assembly.openings if set(part.faces) & set(each.ring_faces)]
    return hand_through(own[0]) if own else INSIDE


def need_of_task(task: Task) -> frozenset[str]:
    """Return the access that a task of the job needs."""
    if task.access == "hand through":
        return hand_through(task.opening)
    return BOTH if task.access == "both sides" else OUTSIDE


def taken(closing: Closing) -> str:
    """Return the access that a closing ends."""
    return HAND + closing.opening if closing.takes == "hand through" else closing.takes


def access_words(need: frozenset[str]) -> str:
    """Return an access in words; where the inside is open no hand has to go in through an opening.

    >>> access_words(BENCH), access_words(BOTH), access_words(OUTSIDE | {"hand through hatch"})
    ('bench', 'both sides', 'outside, hand through hatch')
    """
    sides = frozenset(each for each in need if not each.startswith(HAND))
    hands = sorted(need - sides)
    if hands and not sides >= INSIDE:
        return f"{'outside, ' if sides else ''}{' and '.join(hands)}"
    if sides == BOTH:
        return "both sides"
    return {OUTSIDE: "outside only", INSIDE: "inside", BENCH: "bench"}[sides]
