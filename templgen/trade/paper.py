"""Paper sizes. A sheet's edge is no datum (ISO 216 allows 2 mm): printed marks are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from templgen.errors import UnitError
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of, unknown_name
from templgen.units import format_length, format_mm, format_number, inches_to_mm, parse_length

__all__ = ["Paper", "edge_tolerance", "find_paper", "lengths_of", "papers", "printer_margin"]

_ROLL_WIDTHS = (210.0, 1118.0)  # mm: A4's width to 44 in
_ROLL_LENGTHS = (300, 3000, 50)  # mm: first, longest and step of what is tried
_WIDEST_MARGIN = 12.7  # mm: half an inch; with more the header of a Letter page has no room


class Paper(Struct, frozen=True):
    """A sheet of paper, upright: the name the job uses, its title, width and height in mm.

    `margin_mm` is the strip along each edge that the printer leaves blank, None: the usual one. A roll has
    the height of its longest piece; `lengths_of` tells what may be cut off it.
    """

    name: str
    width_mm: float
    height_mm: float
    title: str
    source: Source
    margin_mm: float | None = None
    is_roll: bool = False

    @property
    def margin(self) -> float:
        """The strip along each edge, mm, on which nothing is printed."""
        return printer_margin()[0] if self.margin_mm is None else self.margin_mm

    @property
    def asked_for(self) -> str:
        """The words that `find_paper` takes for it: "letter", "a4, margin 10 mm"."""
        return self.name if self.margin_mm is None else f"{self.name}, margin {self.margin_mm:g} mm"

    @property
    def area_mm2(self) -> float:
        """Area, by which the smallest paper that holds a sheet is found."""
        return self.width_mm * self.height_mm


@cache
def papers() -> Mapping[str, Paper]:
    """All papers by name, smallest first."""
    sources = sources_of("paper")
    rows = [
        Paper(name, row["width_mm"], row["height_mm"], row["title"], sources[row["source"]])
        for name, row in load_table("paper")["paper"].items()
    ]
    return MappingProxyType({paper.name: paper for paper in sorted(rows, key=lambda paper: paper.area_mm2)})


def find_paper(name: str, among: Iterable[str] = ()) -> Paper:
    """The paper of a name, capitals or not: of the table, or a roll; a printer's own margin may follow.

    Args:
        name: as the builder wrote it.
        among: the papers that may be taken besides rolls; all of the table unless given.

    Raises:
        UnitError: there is none; the nearest are named. Or a roll or a margin is of no use.

    >>> find_paper("letter").width_mm
    215.9
    >>> find_paper("roll 36 in").width_mm, find_paper("A4, margin 10 mm").margin
    (914.4, 10.0)
    """
    words, *more = (part.strip() for part in str(name).strip().lower().split(",", 1))
    known = tuple(among) or tuple(papers())
    is_roll = words.startswith("roll")
    if not is_roll and words not in known:
        kind = "paper that sheets are made for" if among else "paper"
        raise unknown_name(kind, name, [*known, "roll WIDTH"])
    paper = _roll(words.removeprefix("roll").strip(" :")) if is_roll else papers()[words]
    return replace(paper, margin_mm=_margin(more[0])) if more else paper


def _roll(width: str) -> Paper:
    given = parse_length(width, "mm")
    if not _is_roll(given.mm):
        least, most = (format_length(end, given.unit) for end in _ROLL_WIDTHS)
        if not width.endswith(("mm", "in", "inch", "inches", '"')) and _is_roll(inches_to_mm(given.mm)):
            raise UnitError(f'a roll is {least} to {most} wide: write "roll {width} in"')
        raise UnitError(f"a roll is {least} to {most} wide, not {format_length(given.mm, given.unit)}")
    inches = format_number(given.inches, 3, trim=True)
    mm = inches_to_mm(float(inches)) if given.unit == "in" else given.mm
    title = f"Roll {inches} in" if given.unit == "in" else f"Roll {mm:g} mm"
    return Paper(title.lower(), mm, float(_ROLL_LENGTHS[1]), title, sources_of("paper")["roll"], is_roll=True)


def _is_roll(width_mm: float) -> bool:
    return _ROLL_WIDTHS[0] <= width_mm <= _ROLL_WIDTHS[1]


def _margin(words: str) -> float:
    mm = parse_length(words.removeprefix("margin").strip(), "mm").mm if words.startswith("margin") else -1.0
    if not 0.0 <= mm <= _WIDEST_MARGIN:
        raise UnitError(
            f"behind the comma of a paper stands its margin, 0 to {format_mm(_WIDEST_MARGIN)}: "
            f'"letter, margin 10 mm", not "{words}"'
        )
    return mm


def lengths_of(paper: Paper) -> Iterator[Paper]:
    """The pieces that may be cut off a roll, the shortest first; a sheet is itself."""
    if not paper.is_roll:
        yield paper
        return
    first, last, step = _ROLL_LENGTHS
    for length in range(first, last + 1, step):
        yield replace(paper, height_mm=float(length))


def printer_margin() -> tuple[float, Source]:
    """The strip along each edge, mm, that most printers leave blank: our own default, 6.35 mm."""
    return load_table("paper")["margin"]["printer_mm"], sources_of("paper")["margin"]


def edge_tolerance(length_mm: float) -> float:
    """How far, mm either way, a sheet's side may be off by ISO 216 (from memory, confidence high)."""
    table = load_table("paper")["tolerance"]
    if length_mm <= 150:
        return float(table["up_to_150_mm"])
    return float(table["up_to_600_mm"] if length_mm <= 600 else table["above_mm"])
