"""What an exporter is: a writer with one method per kind of mark, and the walk that calls it.

A new format is one module here. It holds a subclass of `Writer` and an `EXPORTER` entry, which the
registry finds by itself.

- Must override: `begin`, `line`, `arc`, `circle`, `path`, `text`, `end`.
- Do not override: `draw`. It hands over the marks in drawing order, refuses what makes no mark at all,
  and raises on a kind of mark that it does not know, so nothing is ever left out silently.

There is no scale, no fitting to a page and no rounding of one anywhere in this folder.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from typing import Any, Literal

from msgspec import Struct

from templgen.drawing import ArcMark, CircleMark, Drawing, LineMark, PathMark, Table, Text
from templgen.errors import ExportError

__all__ = ["Exporter", "Writer", "described", "page_size"]


class Exporter(Struct, frozen=True):
    """One file format: its name, the ending of its files, what it reads, and the function that writes it.

    `paper` says whether the format is a page (it needs a page size and takes a printer's correction) or
    geometry to cut by (it refuses the correction).
    """

    name: str
    suffix: str
    reads: Literal["drawing", "table"]
    paper: bool
    write: Callable[[Drawing], bytes] | Callable[[Table], bytes]


class Writer(ABC):
    """Writes the marks of a drawing in one format, one method per kind of mark."""

    def draw(self, drawing: Drawing) -> None:
        """Write one drawing: `begin`, every mark in drawing order, `end`.

        Raises ExportError for an unknown kind of mark and for one that would leave no trace.
        """
        _require_plain(drawing.info.title, *described(drawing))
        self.begin(drawing)
        methods: dict[type, Callable[[Any], None]] = {
            LineMark: self.line,
            ArcMark: self.arc,
            CircleMark: self._checked_circle,
            PathMark: self._checked_path,
            Text: self._checked_text,
        }
        for item in drawing.items:
            method = methods.get(type(item))
            if method is None:
                raise ExportError(f"a drawing holds a {type(item).__name__}, which no exporter knows")
            method(item)
        self.end()

    def _checked_circle(self, mark: CircleMark) -> None:
        if not (mark.radius > 0.0 and mark.centre.is_finite):
            raise ExportError(f"a circle at {mark.centre} has the radius {mark.radius}: it must be above 0")
        self.circle(mark)

    def _checked_path(self, mark: PathMark) -> None:
        if mark.filled and not mark.contour.closed:
            raise ExportError(f"an open path of the kind {mark.meaning.value!r} can not be filled")
        self.path(mark)

    def _checked_text(self, text: Text) -> None:
        _require_plain(text.text)
        if not text.text.strip():
            raise ExportError(f"a text at {text.at} has no words")
        if not (text.height > 0.0 and text.at.is_finite):
            raise ExportError(f"the text {text.text!r} at {text.at} has the height {text.height}")
        self.text(text)

    @abstractmethod
    def begin(self, drawing: Drawing) -> None:
        """Start a drawing: page, title, digest, correction."""

    @abstractmethod
    def line(self, mark: LineMark) -> None:
        """Write a straight line."""

    @abstractmethod
    def arc(self, mark: ArcMark) -> None:
        """Write a circular arc."""

    @abstractmethod
    def circle(self, mark: CircleMark) -> None:
        """Write a whole circle."""

    @abstractmethod
    def path(self, mark: PathMark) -> None:
        """Write a chain of lines and arcs, closed or open, drawn or filled."""

    @abstractmethod
    def text(self, text: Text) -> None:
        """Write one line of words."""

    @abstractmethod
    def end(self) -> None:
        """Finish the drawing."""


def _require_plain(*words: str) -> None:
    for text in words:
        if not text.isprintable():
            raise ExportError(
                f"the text {text!r} holds a line break or another character that can not be set"
            )


def page_size(drawing: Drawing, suffix: str) -> tuple[float, float]:
    """Return width and height of the page in mm; ExportError when the drawing has none."""
    width, height = drawing.width, drawing.height
    if width is None or height is None:
        raise ExportError(f"{drawing.info.title!r} has no page: a flat part can not become {suffix}")
    if not (0.0 < width < float("inf") and 0.0 < height < float("inf")):
        raise ExportError(f"{drawing.info.title!r} has a page of {width} by {height} mm")
    return width, height


def described(drawing: Drawing, *, subject: bool = True) -> Iterable[str]:
    """Yield what a file says about itself besides its title: subject, digest and the facts, one line each."""
    info = drawing.info
    if subject and info.subject:
        yield info.subject
    if info.digest:
        yield f"digest: {info.digest}"
    yield from (f"{name}: {value}" for name, value in info.facts)
