"""Files that are damaged in every way that we could think of: each damage is told, with its name and size."""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import cache

import pytest

from templgen.drawing import Drawing
from templgen.errors import ReadError
from templgen.exporters.dxf import dxf_bytes
from templgen.exporters.pdf import pdf_bytes
from templgen.exporters.svg import svg_bytes
from templgen.proof.difference import ReadBack
from templgen.proof.readback import read_back
from tests.unit.proof.damage import Damage, dxf, pdf, svg
from tests.unit.proof.plate import part, sheet

DAMAGES: dict[str, tuple[Damage, ...]] = {"svg": svg.DAMAGES, "pdf": pdf.DAMAGES, "dxf": dxf.DAMAGES}
REWRITTEN: dict[str, Callable[[bytes], bytes]] = {
    "svg": svg.rewritten,
    "pdf": pdf.rewritten,
    "dxf": dxf.rewritten,
}
CASES = [(kind, damage) for kind, damages in DAMAGES.items() for damage in damages]
LEAST = 30
MANY_SEEDS = range(1, 25)


@cache
def clean(kind: str) -> tuple[bytes, tuple[Drawing, ...]]:
    """Return an unharmed file and its drawings."""
    if kind == "svg":
        return svg_bytes(sheet()), (sheet(),)
    if kind == "dxf":
        return dxf_bytes(part()), (part(),)
    pages = (sheet(), sheet("Plate, again"))
    return pdf_bytes(pages), pages


def damaged(kind: str, damage: Damage, seed: int) -> ReadBack | ReadError:
    data, drawings = clean(kind)
    broken = damage.do(data, random.Random(seed))
    assert broken != REWRITTEN[kind](data), "the damage did nothing"
    try:
        return read_back(kind, broken, drawings)
    except ReadError as error:
        return error


def check(kind: str, damage: Damage, seed: int) -> None:
    result = damaged(kind, damage, seed)
    if damage.told is None:
        assert isinstance(result, ReadError), result
        assert str(result)
        return
    assert isinstance(result, ReadBack), result
    told = [each for each in result.differences if each.kind is damage.told]
    assert told, [f"{each.kind.name}: {each}" for each in result.differences]
    assert any(damage.words in str(each) for each in told), [str(each) for each in told]


@pytest.mark.parametrize(("kind", "damage"), CASES, ids=lambda each: str(each))
def test_damage_is_told(kind: str, damage: Damage) -> None:
    check(kind, damage, seed=0)


@pytest.mark.heavy
@pytest.mark.parametrize(("kind", "damage"), CASES, ids=lambda each: str(each))
def test_damage_is_told_wherever_it_falls(kind: str, damage: Damage) -> None:
    for seed in MANY_SEEDS:
        check(kind, damage, seed)


@pytest.mark.parametrize("kind", DAMAGES)
def test_there_are_enough_sorts_of_damage(kind: str) -> None:
    names = [damage.name for damage in DAMAGES[kind]]
    assert len(set(names)) == len(names) >= LEAST


@pytest.mark.parametrize("kind", DAMAGES)
def test_what_is_not_damaged_is_the_same(kind: str) -> None:
    data, drawings = clean(kind)
    assert read_back(kind, data, drawings).differences == ()


@pytest.mark.parametrize("kind", DAMAGES)
def test_a_file_that_another_program_has_rewritten_is_the_same(kind: str) -> None:
    data, drawings = clean(kind)
    assert read_back(kind, REWRITTEN[kind](data), drawings).differences == ()
