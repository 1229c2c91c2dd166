"""Holes on a drawing sheet: their marks, their labels, and the list of them by kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from templgen.drawing import Item, Meaning
from templgen.geometry import Vec
from templgen.job.model import Job
from templgen.job.names import PAPER
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.work.marks import listed
from templgen.sheets.facts import both, drill_words, fastener_words, head_words, numbers, one
from templgen.sheets.lettering import NOTE
from templgen.sheets.marks import CENTRE_ARM, LOCATING_RING, hole_marks
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.placement import Label
from templgen.sheets.scene import Section
from templgen.trade.drills import parse_hole_size

__all__ = [
    "from_memory",
    "hole_blocks",
    "hole_items",
    "hole_labels",
    "hole_meaning",
    "hole_sections",
    "in_face",
    "memory_blocks",
    "other_holes_words",
]


_MANY = 20


def in_face(fastener: Fastener, face: str) -> Fastener:
    """Return a fastener as the sheet of one face shows it: with the final hole that it has in that face."""
    if not fastener.other_holes:
        return fastener
    diameter = fastener.hole_in(face)
    if diameter == fastener.spec.hole:
        return replace(fastener, other_holes=())
    spec = replace(fastener.spec, hole=diameter, drill=_drill_name(diameter))
    return replace(fastener, spec=spec, other_holes=())


def other_holes_words(job: Job, fastener: Fastener) -> str:
    """Return the faces whose final hole is another than the spec's, with that hole; "" if there is none."""
    found: dict[float, list[str]] = {}
    for face, diameter in fastener.other_holes:
        found.setdefault(diameter, []).append(face)
    told = []
    for diameter, faces in found.items():
        drill = _drill_name(diameter)
        size = one(job, diameter)
        told.append(f"in {' and '.join(faces)} final {f'{drill}, {size}' if drill else size}")
    return "; ".join(told)


def _drill_name(diameter: float) -> str:
    """The drill of a diameter (mm); "" where none has it."""
    drill = parse_hole_size(f"{diameter:.10f} mm", "mm").drill
    return "" if drill is None else drill.name


def hole_items(fasteners: Iterable[Fastener]) -> list[Item]:
    """Return circle and centre cross of every hole, at its final size; those that are made through another
    part are for reference."""
    items: list[Item] = []
    for fastener in fasteners:
        items += hole_marks(fastener.at, fastener.spec.hole / 2, hole_meaning(fastener), str(fastener.number))
    return items


def hole_meaning(fastener: Fastener) -> Meaning:
    """Return how a hole is drawn: where another part or a nutplate guides the drill nothing is pricked."""
    if fastener.made_from not in ("", PAPER):
        return Meaning.REFERENCE_HOLE
    return Meaning.LOCATING_HOLE if fastener.locating else Meaning.HOLE


def hole_labels(job: Job, fasteners: Sequence[Fastener], middle: Vec) -> list[Label]:
    """Return the labels of holes, locating holes first: number and drills, or the number where it is tight.

    `middle` is the point from which labels turn away.
    """
    ordered = sorted(fasteners, key=lambda each: (not each.locating, each.number))
    sizes = Counter(fastener.group for fastener in fasteners)
    return [_label(job, fastener, middle, sizes[fastener.group] > _MANY) for fastener in ordered]


def _label(job: Job, fastener: Fastener, middle: Vec, is_one_of_many: bool) -> Label:
    spec, number = fastener.spec, str(fastener.number)
    drill = drill_words(job, spec)
    # The same everywhere: a final drill alone would be taken for the one to drill with now.
    drills = (f"{fastener.pilot},", f"then {drill}") if fastener.pilot else (drill,)
    line = " ".join(drills)
    radius = spec.hole / 2
    out = fastener.at - middle
    # In a large pattern all labels stand on the same side, or nobody can tell whose they are.
    outwards = out.unit() if out.length > 1.0 and not is_one_of_many else None
    if fastener.locating:
        variants = (
            (f"{number} LOCATING", f"drill {line}"),
            (f"{number} locating", line),
            (f"{number} locating", *drills),
            (f"{number}: {drills[0]}", *drills[1:]),
            (number,),
        )
        keep = radius + LOCATING_RING
        return Label((fastener.at,), variants, NOTE, keep, CENTRE_ARM, outwards, reach=30.0, bold=True)
    told = (
        () if fastener.is_from_nutplate else ((f"{number}: {line}",), (f"{number}: {drills[0]}", *drills[1:]))
    )
    return Label((fastener.at,), (*told, (number,)), NOTE, radius, CENTRE_ARM, outwards, reach=22.0)


def hole_blocks(job: Job, fasteners: Sequence[Fastener]) -> list[Block]:
    """Return one paragraph per kind of hole: numbers, final drill, pilot, fastener, head side."""
    if not fasteners:
        return []
    kinds: dict[tuple[str, ...], list[Fastener]] = {}
    for each in fasteners:
        spec = each.spec
        sizes = (f"{spec.hole:.4f}", other_holes_words(job, each))
        key = (spec.name, spec.drill, each.pilot, head_words(each), each.made_from, spec.seat_words, *sizes)
        kinds.setdefault(key, []).append(each)
    blocks: list[Block] = [Heading("Holes (places: drill schedule)")]
    for group in kinds.values():
        blocks.append(Paragraph(_kind_words(job, group), lead=f"{numbers(group)}:"))
    return blocks


def hole_sections(job: Job, assembly: Assembly, fasteners: Sequence[Fastener]) -> list[Section]:
    """Return what is to be checked of some holes, and the holes by kind, as sections of a sheet."""
    found = [
        ("measures from memory", memory_blocks(assembly, fasteners)),
        ("holes by kind", hole_blocks(job, fasteners)),
    ]
    return [Section(name, tuple(blocks)) for name, blocks in found if blocks]


def _kind_words(job: Job, group: Sequence[Fastener]) -> str:
    first = group[0]
    spec = first.spec
    pilot = f"pilot {first.pilot}, then " if first.pilot else ""
    size = both(job, spec.hole)
    final = f"{spec.drill}, {size}" if spec.drill else size
    if first.is_from_nutplate:
        return f"{final}, {fastener_words(spec)}; drilled through its nutplate, the circle shows about where."
    wider = other_holes_words(job, first)
    final += f"; {wider}" if wider else ""
    what = fastener_words(spec)
    tail = f"; {what}, head {head_words(first)}" if what else "; no fastener"
    made = "" if first.made_from in ("", PAPER) else f"; made from: {first.made_from}"
    return f"{pilot}final {final}{tail}{made}."


def memory_blocks(assembly: Assembly, fasteners: Iterable[Fastener], *, plates: bool = True) -> list[Block]:
    """Return a note for everything whose measures came from memory: check against the part in hand.

    The assembly's own notes tell it of nutplates: where they stand, `plates` are left out here.
    """
    found = from_memory(assembly, fasteners) if plates else _specs_from_memory(fasteners)
    return [
        Paragraph(f"{name[:1].upper()}{name[1:]} from memory, check against the part in hand.")
        for name in found
    ]


def _specs_from_memory(fasteners: Iterable[Fastener]) -> list[str]:
    specs = {fastener_words(each.spec) for each in fasteners if any("memory" in s for s in each.spec.sources)}
    return [f"{name}: measures" for name in sorted(specs) if name]


def from_memory(assembly: Assembly, fasteners: Iterable[Fastener]) -> list[str]:
    """Return what of some fasteners, and of the nutplates that they belong to, is known from memory only."""
    here = list(fasteners)
    held = {each.nutplate for each in here}
    plates = {
        plate.spec.name: plate.spec.from_memory
        for opening in assembly.openings
        for plate in opening.nutplates
        if plate.name in held
    }
    words = {name: listed([key.replace("_", " ") for key in keys]) for name, keys in plates.items()}
    return [
        *_specs_from_memory(here),
        *(f'nutplate "{name}": {told}' for name, told in sorted(words.items()) if told),
    ]
