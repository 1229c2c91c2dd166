"""PNG previews of sheets, drawn in other processes while this one goes on writing.

A preview takes longer than all other files of its sheet together; it is a convenience, so a machine that
can not draw one gets a note instead.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context

from templgen.exporters.png import PreviewUnavailable, png_bytes

__all__ = ["Previews", "drawn_apart"]

_MOST_PROCESSES = 4


class Previews:
    """Previews on their way: `ask` for one, `collect` them at the end."""

    def __init__(self, pool: ProcessPoolExecutor | None) -> None:
        self._pool = pool
        self._asked: dict[str, Future[bytes]] = {}

    def ask(self, name: str, svg: bytes) -> None:
        """Begin to draw the preview of an SVG sheet, to be called `name`."""
        if self._pool is not None:
            self._asked[name] = self._pool.submit(png_bytes, svg)

    def collect(self) -> tuple[Mapping[str, bytes], tuple[str, ...]]:
        """Return the pictures by name, and what to say if there are none."""
        pictures: dict[str, bytes] = {}
        for name, future in self._asked.items():
            try:
                pictures[name] = future.result()
            except PreviewUnavailable as error:
                return {}, (str(error),)
        return pictures, ()


@contextmanager
def drawn_apart(wanted: bool = True) -> Iterator[Previews]:
    """Give a `Previews` whose processes end with the block; one that draws nothing if none are wanted."""
    if not wanted:
        yield Previews(None)
        return
    workers = min(os.cpu_count() or 1, _MOST_PROCESSES)
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        try:
            yield Previews(pool)
        except BaseException:
            # waited for: this process may end without another word, and they would stay
            pool.shutdown(wait=True, cancel_futures=True)
            raise
