"""Every job is built once; what is measured is read once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from tests.golden.measuring import HERE, Result, build


@pytest.fixture(scope="session")
def golden(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Result]:
    """Build a worded job, once."""

    @cache
    def built(job: str) -> Result:
        return build(HERE / job / "job.toml", tmp_path_factory.mktemp(job) / "out")

    return built
