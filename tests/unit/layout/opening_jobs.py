"""Small jobs with one access opening, in millimetres; all numbers are invented."""

from __future__ import annotations

from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.openings.model import OpeningSet
from tests.unit.layout.jobs import head, laid

FASTENERS = """
screw = { kind = "screw", size = "#8", head = "protruding", head_diameter = 8.2 }
small = { kind = "screw", size = "#6", head = "protruding", head_diameter = 6.9 }

[fastener.pull]
kind = "blind rivet"
size = "3/32"
head = "protruding"
hole = "#40"
head_diameter = 4.8
head_height = 0.8
grip_min = 0.5
grip_max = 3.2
unset_length = 7
"""

RECTANGLE = '{ shape = "rectangle", length = 120, width = 90, corner_radius = 15 }'
RACECOURSE = '{ shape = "racecourse", length = 140, width = 80 }'
CIRCLE = '{ shape = "circle", diameter = 120 }'
ELLIPSE = '{ shape = "ellipse", length = 150, width = 90 }'
D_HOLE = '{ shape = "d-hole", diameter = 120, across_flat = 100 }'
SYMMETRIC = {"rectangle": RECTANGLE, "racecourse": RACECOURSE, "circle": CIRCLE, "ellipse": ELLIPSE}


def opening_job(
    *,
    outline: str = RECTANGLE,
    cover: str = '{ kind = "lying" }',
    screws: str = '{ fastener = "screw", count = 8 }',
    more: str = "",
    before: str = "",
    top: str = "",
    place: str = "{ x = 300, y = 200 }",
) -> str:
    """A job with one opening, "hatch"; `more` are further keys of it, `before` tables in front of it."""
    hatch = f'name = "hatch"\nat = {place}\noutline = {outline}\ncover = {cover}\nscrews = {screws}\n'
    return f"{top or head()}{FASTENERS}{before}\n[[opening]]\n{hatch}{more}"


def flush_job(more: str = "") -> str:
    """A job with one opening, "hatch", whose cover fills the skin's hole; its ring is on blind rivets."""
    cover = '{ kind = "flush", gap = 0.4 }'
    keys = 'outline_is = "clear hole"\nrivets = { fastener = "pull" }\n'
    return opening_job(cover=cover, more=keys + more)


def laid_opening(**keys: str) -> tuple[Assembly, OpeningSet]:
    """The assembly of such a job, and its opening."""
    assembly = laid(opening_job(**keys))
    return assembly, assembly.openings[0]


def by_name(assembly: Assembly) -> dict[str, Fastener]:
    """The fasteners of an assembly by their marks."""
    return {each.name: each for each in assembly.fasteners}
