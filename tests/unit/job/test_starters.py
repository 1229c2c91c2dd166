"""Starter jobs can be read as they stand, explain themselves, and a mast fits in forty lines."""

from __future__ import annotations

import pytest

from templgen.errors import TemplgenError
from templgen.job import read_job_text
from templgen.job.starters import starter, starter_kinds
from tests.unit.job.jobs import MAST


def test_the_kinds() -> None:
    assert set(starter_kinds()) >= {"mast", "holes", "cutout", "part", "bracket"}


@pytest.mark.parametrize("kind", starter_kinds())
def test_a_starter_reads_as_it_stands(kind: str) -> None:
    job = read_job_text(starter(kind), f"{kind}.toml")
    assert "(fictional)" in job.aircraft
    made = {"holes": "hole"}.get(kind, kind)
    assert getattr(job, made), f"a starter for {kind} makes one"


@pytest.mark.parametrize("kind", starter_kinds())
def test_a_starter_says_how_to_measure(kind: str) -> None:
    lines = starter(kind).splitlines()
    assert lines[0].startswith("# ")
    assert sum("#" in line for line in lines) >= 12
    for key in ("measured_to", "thickness", "measured_on"):
        told = [place for place, line in enumerate(lines) if line.startswith(f"{key} ")]
        assert any("#" in lines[place] or lines[place - 1].startswith("#") for place in told), key
    assert all(len(line) <= 130 for line in lines if not line.startswith("  {"))


def test_an_unknown_kind_names_the_nearest() -> None:
    with pytest.raises(TemplgenError, match="no starter job is called 'masst'; nearest: mast"):
        starter("masst")


def test_a_mast_job_in_forty_lines() -> None:
    assert read_job_text(MAST).mast
    assert len(MAST.splitlines()) <= 40
