"""A hole of an opening is at one place in every part of its stack, read back from the files.

Sheets are laid on each other by two of the holes that they share; all others then have to fall together. The
template of the second job is laid on the inside, so it shows the set from the other side than its parts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest

from templgen.build.demo import demo_job
from templgen.proof.readers.dxf import read_dxf
from templgen.proof.readers.model import Point
from tests.golden.measuring import CUT_FILE_HOLES, WITHIN, Result, build, laid, numbered
from tests.unit.layout.jobs import head
from tests.unit.layout.opening_jobs import opening_job


def _flush() -> str:
    keys = 'outline_is = "clear hole"\nrivets = { fastener = "pull" }\n'
    top = 'paper = "a3"\n' + head(laid_on="inside")
    return opening_job(top=top, cover='{ kind = "flush", gap = 0.4 }', more=keys)


@pytest.fixture(scope="module", params=["lying on the outside, ring in halves", "flush, paper on the inside"])
def result(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Result:
    folder: Path = tmp_path_factory.mktemp("stack")
    job = demo_job("opening")
    if request.param.startswith("flush"):
        job = folder / "flush.toml"
        job.write_text(_flush(), encoding="utf-8")
    return build(job, folder / "out")


def _lugs(result: Result) -> set[int]:
    """The holes that are drilled through a nutplate: no cut file has them."""
    start = next(number for number, row in enumerate(result.schedule) if row[:1] == ["number"])
    made = result.schedule[start].index("made from")
    return {int(row[0]) for row in result.schedule[start + 1 :] if row[made] == "through a nutplate"}


def _places(result: Result) -> dict[str, dict[int, Point]]:
    """The holes of template and part sheets by number, but lug holes; no sheet of these jobs is tiled."""
    lugs = _lugs(result)
    assert lugs
    named = {
        name: {number: circle.centre for number, circle in numbered(page).items() if number not in lugs}
        for name, page in result.sheets.items()
        if name.startswith(("template-", "part-"))
    }
    assert len(named) >= 3
    return named


def _pairs(result: Result) -> Iterator[tuple[str, str, list[int]]]:
    places = _places(result)
    for one, other in combinations(places, 2):
        shared = sorted(places[one].keys() & places[other].keys())
        if shared:
            yield one, other, shared


def test_shared_holes_of_two_sheets_fall_together(result: Result) -> None:
    places = _places(result)
    pairs = list(_pairs(result))
    assert {name for one, other, _ in pairs for name in (one, other)} == places.keys()
    mirrored = 'laid_on = "inside"' in (result.folder / "job.toml").read_text(encoding="utf-8")
    for one, other, shared in pairs:
        assert len(shared) >= 3
        first, second = max(
            combinations(shared, 2), key=lambda pair: math.dist(*(places[one][number] for number in pair))
        )
        frame = places[one][first], places[one][second]
        on = laid(
            frame, (places[other][first], places[other][second]), mirrored and one.startswith("template")
        )
        for number in shared:
            assert math.dist(on.at(places[one][number]), places[other][number]) < WITHIN, (one, other, number)


def _moved(places: list[complex]) -> list[complex]:
    """Holes counted from the lower left corner of all."""
    corner = complex(min(p.real for p in places), min(p.imag for p in places))
    return [place - corner for place in places]


def _apart(places: list[complex], others: list[complex]) -> float:
    """How far the worst of some places is from the nearest of others."""
    return max(min(abs(place - each) for each in others) for place in places)


def test_a_cut_file_and_the_pdf_have_the_holes_of_the_sheet(result: Result) -> None:
    for name, places in _places(result).items():
        drawn = [complex(*place) for place in places.values()]
        assert _apart(drawn, [complex(*circle.centre) for circle in result.page(name).circles()]) < WITHIN, (
            name
        )
        if not name.startswith("part-"):
            continue
        cut = read_dxf((result.folder / "cut" / f"{name.removeprefix('part-')}.dxf").read_bytes())
        holes = _moved([complex(*circle.centre) for layer in CUT_FILE_HOLES for circle in cut.circles(layer)])
        assert len(holes) == len(drawn)
        # a sheet may be turned to suit the paper
        turned = [_moved([place * turn for place in drawn]) for turn in (1, 1j, -1, -1j)]
        assert min(_apart(each, holes) for each in turned) < WITHIN, name
