"""Grip and length of fasteners: every sheet that one passes counts, the flange and the nutplate's lug too.

No length is told while a thickness it needs is not known: then it is told what to measure. Solid rivets
follow grip + 1.5 D, blind rivets their own grip range and never that rule, screws the stack and the nut.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from templgen.errors import UnitError
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.openings.model import HangingBox, Nutplate
from templgen.layout.words import in_unit
from templgen.trade.rivets import solid_rivet_length_mm, standard_rivet_length
from templgen.trade.screws import find_screw, standard_screw_length
from templgen.units import MM_PER_INCH, Unit, format_length, format_mm

__all__ = ["LUG", "FastenerLength", "Grip", "fraction_words", "grip_of", "length_of", "nutplate_of"]

LUG = "nutplate lug"
"""Name of the layer that a nutplate adds to the grip of its rivets."""
_SAME_MM = 1e-6


class Grip(Struct, frozen=True):
    """What a fastener clamps, outside first: layers with their thickness in mm (None is not known)."""

    layers: tuple[tuple[str, float | None], ...]

    @property
    def missing(self) -> tuple[str, ...]:
        """What has to be measured before the grip is known."""
        return tuple(name for name, thickness in self.layers if thickness is None)

    @property
    def mm(self) -> float | None:
        """The grip in mm, None while anything is missing."""
        return None if self.missing else self.known_mm

    @property
    def known_mm(self) -> float:
        """What is known of it, mm."""
        return sum(thickness or 0.0 for _, thickness in self.layers)


class FastenerLength(Struct, frozen=True):
    """The length to buy.

    `mm` is the standard length and `wanted_mm` what was reckoned, None where they can not be told. `words`
    say the length, or what must be measured first; `is_told` is False for the second.
    """

    words: str
    is_told: bool = True
    mm: float | None = None
    wanted_mm: float | None = None
    dash: str = ""


def nutplate_of(assembly: Assembly, fastener: Fastener) -> Nutplate | None:
    """Return the nutplate of a screw or of a lug rivet; None for any other fastener."""
    if not fastener.nutplate:
        return None
    plates = (plate for each in assembly.openings for plate in each.nutplates)
    return next((plate for plate in plates if plate.name == fastener.nutplate), None)


def grip_of(assembly: Assembly, fastener: Fastener) -> Grip:
    """Return all that a fastener clamps: its stack, the lug of its nutplate, the flange of a box it holds."""
    layers: list[tuple[str, float | None]] = []
    for name in fastener.stack:
        thickness = assembly.faces[name].thickness
        layers.append((name, thickness if thickness > 0.0 else None))
    plate = nutplate_of(assembly, fastener)
    if plate is not None and fastener.name in plate.rivets:
        layers.append((LUG, plate.spec.lug_thickness))
    box = _box_on(assembly, fastener)
    if box is not None:
        layers.append((f"flange of {box.name}", box.flange))
    return Grip(tuple(layers))


def _box_on(assembly: Assembly, fastener: Fastener) -> HangingBox | None:
    """The box that a fastener holds to its cover."""
    boxes = (each.hangs for each in assembly.openings if each.hangs is not None)
    return next((box for box in boxes if fastener.name in box.mounts), None)


def length_of(assembly: Assembly, fastener: Fastener, unit: Unit) -> FastenerLength:
    """Return the length of a fastener to buy, or what to measure first. `unit` stands first in words."""
    grip = grip_of(assembly, fastener)
    kind = fastener.spec.kind
    if kind == "hole":
        return FastenerLength("", is_told=False)
    if grip.missing:
        return _to_measure(grip, tuple(f"thickness of {name}" for name in grip.missing), unit)
    if kind == "solid rivet":
        return _solid(grip.known_mm, fastener, unit)
    if kind == "blind rivet":
        return _blind(grip.known_mm, fastener, unit)
    return _screw(assembly, grip, fastener, unit)


def _to_measure(grip: Grip, what: tuple[str, ...], unit: Unit) -> FastenerLength:
    """Not told: what is known, and what the builder has to add to it."""
    known = format_length(grip.known_mm, unit)
    return FastenerLength(f"not told: measure {' and '.join(what)}; known so far {known}", is_told=False)


def _solid(grip: float, fastener: Fastener, unit: Unit) -> FastenerLength:
    wanted = solid_rivet_length_mm(grip, fastener.spec.diameter)
    found = standard_rivet_length(wanted)
    over = " over the head" if fastener.spec.is_flush else ""
    words = f"{_told(found.mm, unit)}{over}"
    return FastenerLength(words, mm=found.mm, wanted_mm=wanted, dash=found.dash)


def _blind(grip: float, fastener: Fastener, unit: Unit) -> FastenerLength:
    least, most = fastener.spec.grip_min, fastener.spec.grip_max
    if least is None or most is None:
        words = f"not told: its grip range is not given; it must hold {format_length(grip, unit)}"
        return FastenerLength(words, is_told=False)
    span = f"grip {in_unit(least, unit)} to {in_unit(most, unit)}"
    if least - _SAME_MM <= grip <= most + _SAME_MM:
        return FastenerLength(f"{span}: holds it")
    return FastenerLength(f"{span} DOES NOT HOLD IT: take another rivet", is_told=False)


def _screw(assembly: Assembly, grip: Grip, fastener: Fastener, unit: Unit) -> FastenerLength:
    """Stack, nut, and one thread at least that shows; a nut given with the end of its screw shows it."""
    plate, spec = nutplate_of(assembly, fastener), fastener.spec
    if plate is None:
        if spec.driven_height is None:
            return _to_measure(grip, ("height of its nut",), unit)
        least = grip.known_mm + spec.driven_height
    elif plate.spec.height is None:
        return _to_measure(grip, ("height of the nutplate, from the ring to the end of its nut",), unit)
    else:
        least = grip.known_mm + plate.spec.height
    try:
        screw = find_screw(spec.size)
    except UnitError:
        words = f"at least {format_length(least, unit)} and one thread: the next length that is sold"
        return FastenerLength(words, wanted_mm=least)
    wanted = least if plate is None else least + screw.pitch_mm
    length = standard_screw_length(wanted)
    over = " over the head" if spec.is_flush else ""
    words = f"{_told(length, unit)}{over}"
    return FastenerLength(words, mm=length, wanted_mm=wanted)


def fraction_words(mm: float) -> str:
    """Return a length of whole sixteenths of an inch as a fraction.

    >>> fraction_words(7.9375), fraction_words(28.575)
    ('5/16 in', '1 1/8 in')
    """
    whole, part = divmod(Fraction(round(mm / MM_PER_INCH * 32), 32), 1)
    words = " ".join(str(each) for each in (whole, part) if each)
    return f"{words or 0} in"


def _told(mm: float, unit: Unit) -> str:
    inches, metric = fraction_words(mm), format_mm(mm)
    return f"{inches} ({metric})" if unit == "in" else f"{metric} ({inches})"
