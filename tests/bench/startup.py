"""How long a builder waits for `templgen check`: cold, against the imports that it can not do without."""

from __future__ import annotations

from templgen.build.demo import demo_job
from tests.bench.timing import cold_medians, python

__all__ = ["run"]

MOST = 2.0


def run() -> None:
    """Print the ratio of a cold check of the demo to a fresh interpreter with three imports."""
    times = cold_medians(
        {
            "imports": python("-c", "import shapely, click, pydantic"),
            "check": python("-m", "templgen", "check", str(demo_job())),
        }
    )
    ratio = times["check"] / times["imports"]
    print(f"cold check of the demo: {ratio:.2f} x shapely + click + pydantic (at most {MOST})")
