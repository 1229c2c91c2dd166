"""Reads PDF (ISO 32000-1): pikepdf opens the file, the content stream is walked here with its matrices."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from io import BytesIO
from typing import Any

import pikepdf

from tests.readers.model import (
    IDENTITY,
    Bezier,
    Matrix,
    Outline,
    Page,
    Piece,
    Point,
    ReadError,
    Straight,
    Words,
    apply,
    size_of,
    times,
)

_MM_PER_POINT = 25.4 / 72.0
_BOXES = ("MediaBox", "CropBox", "TrimBox")
# Operators that change nothing that is read here: colours, joins, limits, marked content, text details.
_PASSED = {"J", "j", "M", "i", "ri", "gs", "g", "G", "rg", "RG", "k", "K", "BMC", "BDC", "EMC", "Tr", "TL"}


@dataclass(frozen=True, slots=True)
class PdfFile:
    """A whole document."""

    pages: tuple[Page, ...]
    title: str
    subject: str
    keywords: str
    print_scaling: str
    bookmarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _State:
    matrix: Matrix
    width: float = 1.0
    dash: tuple[float, ...] = ()
    font: str = ""
    size: float = 0.0


class _Page:
    def __init__(self, page: pikepdf.Page, matrix: Matrix) -> None:
        self.outlines: list[Outline] = []
        self.words: list[Words] = []
        self._state = _State(matrix)
        self._stack: list[_State] = []
        self._chains: list[tuple[list[Piece], bool]] = []
        self._first: Point = (0.0, 0.0)
        self._here: Point = (0.0, 0.0)
        self._text: Matrix = IDENTITY
        self._line: Matrix = IDENTITY
        self._fonts = {
            str(name): _unicode_of(font)
            for name, font in page.Resources.get("/Font", pikepdf.Dictionary()).items()
        }
        for step in pikepdf.parse_content_stream(page):
            self._step(str(step.operator), list(step.operands))

    def _step(self, operator: str, values: list[Any]) -> None:
        if operator in _PASSED:
            return
        method = getattr(self, f"_on_{_NAMES.get(operator, operator)}", None)
        if method is None:
            raise ReadError(f"operator {operator!r}")
        method(*values)

    # graphics state
    def _on_q(self) -> None:
        self._stack.append(self._state)

    def _on_Q(self) -> None:
        self._state = self._stack.pop()

    def _on_cm(self, *values: Any) -> None:
        a, b, c, d, e, f = (float(value) for value in values)
        self._state = replace(self._state, matrix=times((a, b, c, d, e, f), self._state.matrix))

    def _on_w(self, width: Any) -> None:
        self._state = replace(self._state, width=float(width))

    def _on_d(self, parts: Any, phase: Any) -> None:
        if float(phase):
            raise ReadError(f"dash phase {phase}")
        self._state = replace(self._state, dash=tuple(float(part) for part in parts))

    # paths
    def _at(self, x: Any, y: Any) -> Point:
        return apply(self._state.matrix, (float(x), float(y)))

    def _on_m(self, x: Any, y: Any) -> None:
        self._first = self._here = self._at(x, y)
        self._chains.append(([], False))

    def _on_l(self, x: Any, y: Any) -> None:
        self._piece(Straight(self._here, self._at(x, y)))

    def _on_c(self, *values: Any) -> None:
        first, second, end = (self._at(values[i], values[i + 1]) for i in (0, 2, 4))
        self._piece(Bezier(self._here, first, second, end))

    def _piece(self, piece: Piece) -> None:
        self._chains[-1][0].append(piece)
        self._here = piece.end

    def _on_h(self) -> None:
        pieces, _ = self._chains[-1]
        if math.dist(self._here, self._first) > 1e-9:
            pieces.append(Straight(self._here, self._first))
        self._chains[-1] = (pieces, True)
        self._here = self._first

    def _on_n(self) -> None:
        self._chains = []

    def _on_S(self) -> None:
        self._paint(drawn=True, filled=False)

    def _on_fill(self) -> None:
        self._paint(drawn=False, filled=True)

    def _paint(self, *, drawn: bool, filled: bool) -> None:
        size = size_of(self._state.matrix)
        for pieces, closed in self._chains:
            if pieces:
                width = self._state.width * size if drawn else None
                dash = tuple(part * size for part in self._state.dash) if drawn else ()
                self.outlines.append(Outline(tuple(pieces), closed, filled, "", width, dash))
        self._chains = []

    # text
    def _on_BT(self) -> None:
        self._text = self._line = IDENTITY

    def _on_ET(self) -> None:
        pass

    def _on_Tf(self, font: Any, size: Any) -> None:
        self._state = replace(self._state, font=str(font), size=float(size))

    def _on_Tm(self, *values: Any) -> None:
        a, b, c, d, e, f = (float(value) for value in values)
        self._text = self._line = (a, b, c, d, e, f)

    def _on_nextline(self) -> None:
        pass  # moves by the leading; the next text sets its own matrix, checked in _on_Tj

    def _on_Tj(self, text: Any) -> None:
        names = self._fonts[self._state.font]
        words = "".join(names[code] for code in bytes(text))
        matrix = times(self._text, self._state.matrix)
        start, along = apply(matrix, (0.0, 0.0)), apply(matrix, (1.0, 0.0))
        angle = math.degrees(math.atan2(along[1] - start[1], along[0] - start[0]))
        self.words.append(Words(words, start, angle, self._state.size * size_of(matrix)))


_NAMES = {"T*": "nextline", "f": "fill", "F": "fill", "f*": "fill"}


def _unicode_of(font: Any) -> dict[int, str]:
    """Return the characters of a font with one-byte codes, from its ToUnicode table (ISO 32000-1, 9.10.3)."""
    if "/ToUnicode" not in font:
        raise ReadError(f"font {font.get('/BaseFont')} can not be searched")
    table = font.ToUnicode.read_bytes().decode("latin-1")
    found: dict[int, str] = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", table, re.S):
        for code, text in re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block):
            found[int(code, 16)] = bytes.fromhex(text).decode("utf-16-be")
    for block in re.findall(r"beginbfrange(.*?)endbfrange", table, re.S):
        for low, high, inside in re.findall(r"<(\w+)>\s*<(\w+)>\s*(\[[^]]*\]|<\w+>)", block):
            texts = re.findall(r"<(\w+)>", inside)
            for index, code in enumerate(range(int(low, 16), int(high, 16) + 1)):
                if len(texts) > 1 or inside.startswith("["):
                    found[code] = bytes.fromhex(texts[index]).decode("utf-16-be")
                else:
                    found[code] = chr(int(texts[0], 16) + index)
    return found


def _read_page(page: pikepdf.Page) -> Page:
    if int(page.get("/Rotate", 0)) or "/UserUnit" in page:
        raise ReadError("a page that is turned or has a unit of its own")
    boxes = {}
    for name in _BOXES:
        left, bottom, right, top = (float(value) * _MM_PER_POINT for value in page[f"/{name}"])
        boxes[name] = (left, bottom, right, top)
    left, bottom, right, top = boxes["MediaBox"]
    content = _Page(page, (_MM_PER_POINT, 0.0, 0.0, _MM_PER_POINT, -left, -bottom))
    return Page(right - left, top - bottom, tuple(content.outlines), tuple(content.words), boxes)


def read_pdf(data: bytes) -> PdfFile:
    """Read a PDF document."""
    with pikepdf.open(BytesIO(data)) as document:
        pages = tuple(_read_page(page) for page in document.pages)
        info = document.docinfo
        preferences = document.Root.get("/ViewerPreferences", pikepdf.Dictionary())
        with document.open_outline() as outline:
            bookmarks = tuple(str(item.title) for item in outline.root)
        return PdfFile(
            pages,
            str(info.get("/Title", "")),
            str(info.get("/Subject", "")),
            str(info.get("/Keywords", "")),
            str(preferences.get("/PrintScaling", "")).removeprefix("/"),
            bookmarks,
        )
