"""What a hole's label says of its drills: the pilot is never left out where a final drill is named."""

from __future__ import annotations

import re

import pytest

from templgen.drawing import Drawing, Text
from templgen.sheets.facts import drill_words
from templgen.sheets.holes import in_face
from tests.unit.sheets.support import DEMO, built, judged, texts
from tests.unit.sheets.test_packet import FLUSH, OPENING
from tests.unit.sheets.test_part_waste import ROUND


def labels_of(drawing: Drawing) -> list[tuple[int, str]]:
    """Number and drills of every label that names drills; a locating one names them under its number."""
    found = [item for item in drawing.items if isinstance(item, Text)]
    labels = []
    for item in found:
        match = re.fullmatch(r"(\d+)(?:: | LOCATING| locating)(.*)", item.text)
        if match:
            under = [other.text for other in found if 0.0 < item.at.y - other.at.y < 4.5]
            then = [line for line in under if re.search(r"(^|, )then ", line)]
            labels.append((int(match[1]), " ".join([match[2], *then])))
    return labels


@pytest.mark.parametrize("paper", ["letter", "a3"])
@pytest.mark.parametrize("text", [DEMO, OPENING, FLUSH, ROUND], ids=["mast", "lying", "flush", "round"])
def test_a_label_names_the_pilot_before_the_final_drill(text: str, paper: str) -> None:
    job, assembly, _ = judged(text)
    piloted = {each.number: each for each in assembly.fasteners if not each.exists and each.pilot}
    assert piloted
    told: set[int] = set()
    for page in built(text, paper):
        if page.kind not in ("template", "rough", "part"):
            continue
        for number, drills in labels_of(page.drawing):
            hole = piloted.get(number)
            if hole is not None:
                told.add(number)
                assert f"{hole.pilot}, then " in drills or (f"{hole.pilot}, " in drills and "then" in drills)
                final = in_face(hole, "skin" if page.kind != "part" else hole.stack[-1]).spec
                assert drill_words(job, final) in drills or hole.other_holes, (page.name, number, drills)
    assert told


def test_the_legend_says_which_size_is_drawn() -> None:
    said = " ".join(line for page in built(OPENING, "a3") for line in texts(page.drawing))
    assert "hole, drawn at final size" in said
