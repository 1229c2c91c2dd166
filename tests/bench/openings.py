"""The opening demo against the mast demo, layout and checks in one warm process; and feeding a ring in."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Iterator, Sequence

from templgen.build.demo import demo_job
from templgen.checks import find_rule, run_checks
from templgen.job import library_for, read_job, read_job_text
from templgen.layout import lay_out
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Verdict

__all__ = ["run"]

MOST = 3.0
MOST_SECONDS = 1.0
ROUNDS = 15
_SPLIT = {'made = "halves"': 'made = "split"', 'riveted = "bench"': 'riveted = "in place"'}
_WHOLE = {'made = "halves"': 'made = "whole"'}
_LOW_ROD = {", 5.4]": ", 2.0]"}
RINGS: dict[str, dict[str, str]] = {
    "the demo's ring in two halves": {},
    "the bare ring cut through once, wound in": _SPLIT,
    "the ring whole, with the cures that are looked for": _WHOLE,
    "the halves past a pushrod that hangs too low, all ways tried": _LOW_ROD,
}


def run() -> None:
    """Print the ratio of the two demos, and the seconds of feeding the demo's ring in, and of harder ones."""
    opening, mast = _medians([_turn("opening"), _turn("mast")])
    print(
        f"layout and checks of the opening demo: {opening / mast:.2f} x those of the mast demo "
        f"(at most {MOST:g}); {opening * 1e3:.1f} ms and {mast * 1e3:.1f} ms"
    )
    rule = find_rule("ring-can-not-be-fed-in")
    rings = list(_rings())
    feeding = [lambda assembly=assembly: run_checks(assembly, (), [rule]) for _, assembly in rings]
    for (words, assembly), seconds in zip(rings, _medians(feeding), strict=True):
        found = run_checks(assembly, (), [rule])
        answer = "goes in" if all(each.verdict is Verdict.PASS for each in found) else "no way in was found"
        print(f"feeding in {words}, {answer}: {seconds:.3f} s (at most {MOST_SECONDS:g})")


def _turn(name: str) -> Callable[[], object]:
    path = demo_job(name)
    job, library = read_job(path), library_for(path)
    return lambda: run_checks(lay_out(job, library), job.accept)


def _rings() -> Iterator[tuple[str, Assembly]]:
    """The demo's ring, and harder ones of the same opening."""
    path = demo_job("opening")
    text, library = path.read_text(encoding="utf-8"), library_for(path)
    for words, changes in RINGS.items():
        changed = text
        for before, after in changes.items():
            if before not in text:
                raise AssertionError(f"the demo no longer says {before!r}")
            changed = changed.replace(before, after)
        yield words, lay_out(read_job_text(changed, str(path)), library)


def _medians(works: Sequence[Callable[[], object]]) -> list[float]:
    """Median processor times in s, taken in turns; one unmeasured round warms everything but shapes.

    What is kept from outline to outline is thrown away before each turn: a job asks once.
    """
    times: list[list[float]] = [[] for _ in works]
    for turn in range(ROUNDS + 1):
        for work, found in zip(works, times, strict=True):
            _forget_outlines()
            start = time.process_time()
            work()
            if turn:
                found.append(time.process_time() - start)
    return [statistics.median(each) for each in times]


def _forget_outlines() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("templgen.geometry"):
            for each in vars(module).values():
                if hasattr(each, "cache_clear"):
                    each.cache_clear()
