"""What the program chose for an opening stands on the front page, and what the job gives does not."""

from __future__ import annotations

import re

import pytest

from templgen.sheets.notes import Paragraph
from templgen.sheets.packet.chosen import chosen_words
from templgen.sheets.packet.decisions import decision_blocks
from tests.unit.layout.opening_jobs import opening_job
from tests.unit.sheets.support import judged


def chosen(text: str) -> str:
    job, assembly, _ = judged(text)
    return chosen_words(job, assembly, assembly.openings[0])


def test_what_the_job_leaves_open_is_listed_with_its_value() -> None:
    text = opening_job()
    job, assembly, _ = judged(text)
    (opening,) = assembly.openings
    said = chosen(text)
    ring, hole = opening.ring.outer.bounds, opening.clear_hole.bounds
    assert f"ring {assembly.faces['hatch ring'].thickness:.2f} mm thick" in said
    assert f"ring {(ring.width - hole.width) / 2:.2f} mm wide" in said
    assert f"cover over the edge by {(opening.cover.bounds.width - hole.width) / 2:.2f} mm" in said
    # the table's clearance hole of a #8 screw, and the pilot that the README's table of keys names
    screw = next(each.spec for each in assembly.fasteners if each.name in opening.screws)
    assert f"1 to 8 drill {screw.drill}, pilot #40" in said
    assert "solid rivet 3/32 flush" in said
    waste = [hole for plan in assembly.cutting for hole in plan.holes]
    assert waste
    assert all(hole.words in said for hole in waste)
    blocks = [each.text for each in decision_blocks(job, assembly) if isinstance(each, Paragraph)]
    assert f"{said[:1].upper()}{said[1:]}" in blocks


def test_pitches_are_those_of_the_holes_as_they_lie() -> None:
    text = opening_job()
    _, assembly, _ = judged(text)
    (opening,) = assembly.openings
    for words, names in (("screws", opening.screws), ("ring rivets", opening.ring_rivets)):
        row = [each.at for each in assembly.fasteners if each.name in names]
        near = [min(at.distance_to(other) for other in row if other is not at) for at in row]
        found = re.search(rf"{words} ([\d.]+) mm(?: to ([\d.]+) mm)? from one to the next", chosen(text))
        assert found is not None
        assert float(found[1]) == pytest.approx(min(near), abs=0.01)
        assert float(found[2] or found[1]) == pytest.approx(max(near), abs=0.01)


def test_what_the_job_gives_is_not_called_chosen() -> None:
    more = 'ring = { thickness = 1.27, width = 40 }\nrivets = { fastener = "pull", pitch = 18 }\n'
    said = chosen(opening_job(more=more))
    for words in ("ring 1.27", "mm wide", "ring rivets"):
        assert words not in said
    assert "cover over the edge" in said
