"""Gather every fault of one job, so that the builder sees all of them in one run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from templgen.errors import GeometryError, JobError, JobFaults, Location, ShapeError, UnitError

__all__ = ["Faults", "SkippedError"]


class SkippedError(Exception):
    """Something needs a thing that was refused already; its own fault is enough."""


class Faults:
    """Collects faults; `raise_if_any` ends the layout with all of them."""

    def __init__(self) -> None:
        self._faults: list[JobError] = []

    def add(self, message: str, at: Location, hint: str | None = None) -> None:
        """Note one fault and go on."""
        self._faults.append(JobError(message, at=at, hint=hint))

    @contextmanager
    def guard(self, at: Location, subject: str) -> Iterator[None]:
        """Keep faults of a block and go on after it.

        Args:
            at: place in the job file for errors that carry none (geometry, shapes, units).
            subject: what the block lays out, named in front of such an error.
        """
        try:
            yield
        except SkippedError:
            pass
        except JobFaults as faults:
            self._faults.extend(faults.faults)
        except JobError as fault:
            self._faults.append(fault)
        except (GeometryError, ShapeError, UnitError) as error:
            self._faults.append(JobError(f"{subject}: {error}", at=at))

    def attempt(self, at: Location, subject: str, action: Callable[[], None]) -> bool:
        """Run an action under `guard` and return whether it went through."""
        done = False
        with self.guard(at, subject):
            action()
            done = True
        return done

    def raise_if_any(self) -> None:
        """Raise JobFaults if anything was noted; the same fault at the same place counts once."""
        if self._faults:
            raise JobFaults({(fault.at, fault.message): fault for fault in self._faults}.values())
