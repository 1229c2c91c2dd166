"""The jobs that ship with the program, all in one invented aircraft."""

from __future__ import annotations

from pathlib import Path

from templgen.errors import TemplgenError, near_names

__all__ = ["DEFAULT_DEMO", "demo_job", "demo_names"]

DEFAULT_DEMO = "mast"
_JOBS = Path(__file__).parent / "jobs"


def demo_names() -> tuple[str, ...]:
    """Return the names of the demo jobs, sorted."""
    return tuple(sorted(path.stem for path in _JOBS.glob("*.toml")))


def demo_job(name: str = DEFAULT_DEMO) -> Path:
    """Return the job file of a demo. Raises TemplgenError naming the demos there are."""
    if name not in demo_names():
        near = near_names(name, demo_names())
        hint = f" (did you mean {near[0]}?)" if near else ""
        raise TemplgenError(f"no demo {name!r}; there are: {', '.join(demo_names())}{hint}")
    return _JOBS / f"{name}.toml"
