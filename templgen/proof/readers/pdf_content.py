"""The content of a PDF page: paths, text (ISO 32000-1, 9.4) and forms, operator by operator."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from templgen.errors import ReadError
from templgen.proof.readers.model import IDENTITY, Matrix, Point, Words, apply, times
from templgen.proof.readers.pdf_fonts import Font, font_of
from templgen.proof.readers.pdf_paths import PathWalk
from templgen.proof.readers.pdf_tokens import steps

__all__ = ["Content"]

# Operators that change nothing that is read here: joins, limits, flatness, intents, marked content.
_PASSED = frozenset({"j", "M", "i", "ri", "BMC", "BDC", "EMC", "MP", "DP", "CS", "cs"})
_DEEPEST_FORM = 8
_PER_PIECE = 4  # points of a curve that are held against the box of a form


class Content(PathWalk):
    """Walks the content of one page."""

    def __init__(self, matrix: Matrix) -> None:
        super().__init__(matrix)
        self.words: list[Words] = []
        self._text: Matrix = IDENTITY
        self._line: Matrix = IDENTITY
        self._open_words = False
        self._fonts: dict[str, Font] = {}
        self._methods: dict[str, Callable[..., None]] = {
            name: getattr(self, f"_on_{method}") for name, method in _OPERATORS.items()
        }

    def walk(self, stream: bytes, resources: Any) -> None:
        """Take the steps of a stream; its names are looked up in `resources`."""
        self._resources.append(resources)
        fonts, self._fonts = self._fonts, {}
        for operator, values in steps(stream):
            method = self._methods.get(operator)
            if method is not None:
                try:
                    method(*values)
                except (TypeError, ValueError, IndexError, KeyError) as error:
                    raise ReadError(f"the operator {operator!r} with {values!r:.60}") from error
            elif operator == "BI":
                raise ReadError("a page with a picture inside its content is not read")
            elif operator not in _PASSED:
                self.oddities.append(f"an operator {operator!r}")
        self._fonts = fonts
        self._resources.pop()

    def _on_begin_text(self) -> None:
        self._place(IDENTITY)

    def _on_end_text(self) -> None:
        self._open_words = False

    def _place(self, matrix: Matrix) -> None:
        self._text = self._line = matrix
        self._open_words = False

    def _on_font(self, name: str, size: float) -> None:
        if name not in self._fonts:
            font = self._resource("/Font", name)
            if font is None:
                raise ReadError(f"the font {name} is not in the page's resources")
            self._fonts[name] = found = font_of(font)
            if not found.embedded:
                self.oddities.append(f"the font {found.name} is not embedded")
        self._state.font, self._state.font_size = self._fonts[name], float(size)

    def _on_text_matrix(self, a: float, b: float, c: float, d: float, e: float, f: float) -> None:
        self._place((a, b, c, d, e, f))

    def _on_text_move(self, x: float, y: float) -> None:
        self._place(times((1.0, 0.0, 0.0, 1.0, x, y), self._line))

    def _on_text_move_leading(self, x: float, y: float) -> None:
        self._on_leading(-y)
        self._on_text_move(x, y)

    def _on_leading(self, leading: float) -> None:
        self._state.leading = float(leading)

    def _on_next_line(self) -> None:
        self._on_text_move(0.0, -self._state.leading)

    def _on_letter_space(self, space: float) -> None:
        self._state.spaces = (float(space), *self._state.spaces[1:])

    def _on_word_space(self, space: float) -> None:
        first, _, stretch = self._state.spaces
        self._state.spaces = (first, float(space), stretch)

    def _on_stretch(self, percent: float) -> None:
        self._state.spaces = (*self._state.spaces[:2], percent / 100.0)

    def _on_rise(self, rise: float) -> None:
        if rise:
            self.oddities.append(f"text raised by {rise:g}")

    def _on_text_mode(self, mode: float) -> None:
        if mode:
            self.oddities.append(f"text in mode {mode:g}, which is not plainly filled")

    def _on_show(self, text: bytes) -> None:
        state = self._state
        if state.font is None:
            raise ReadError("text without a font")
        codes = state.font.codes(text)
        shown = "".join(state.font.characters.get(code, "\ufffd") for code in codes)
        between, words, stretch = state.spaces
        ems = sum(state.font.widths.get(code, 0.0) for code in codes)
        run = (ems * state.font_size + between * len(codes) + words * text.count(b" ")) * stretch
        self._add_words(shown, run, stretch)
        self._text = times((1.0, 0.0, 0.0, 1.0, run, 0.0), self._text)

    def _add_words(self, shown: str, run: float, stretch: float) -> None:
        """Note words, or add them to those before, which they follow without a new place."""
        state = self._state
        assert state.font is not None  # noqa: S101  # _on_show asks
        a, b, c, d, e, f = times(self._text, state.matrix)
        length = run * math.hypot(a, b)
        size = state.font_size
        along, up = (a * size * stretch, b * size * stretch), (c * size, d * size)
        before = self.words[-1] if self._open_words else None
        if before is not None and before.font == state.font.name and (before.along, before.up) == (along, up):
            run_before = before.run or 0.0
            self.words[-1] = replace(before, text=before.text + shown, run=run_before + length)
            return
        words = Words(shown, (e, f), along, up, font=state.font.name, run=length, ink=state.fill_ink)
        self.words.append(words)
        self._open_words = True

    def _on_show_spaced(self, parts: list[float | bytes]) -> None:
        for part in parts:
            if isinstance(part, bytes):
                self._on_show(part)
            else:
                back = -part / 1000.0 * self._state.font_size * self._state.spaces[2]
                self._text = times((1.0, 0.0, 0.0, 1.0, back, 0.0), self._text)

    def _on_show_next(self, text: bytes) -> None:
        self._on_next_line()
        self._on_show(text)

    def _on_object(self, name: str) -> None:
        form = self._resource("/XObject", name)
        if form is None or str(form.get("/Subtype")) != "/Form":
            self.oddities.append("a picture")
            return
        if len(self._resources) > _DEEPEST_FORM:
            raise ReadError("forms within forms without an end")
        self._on_save()
        if "/Matrix" in form:
            self._on_matrix(*(float(value) for value in form.Matrix))
        matrix, outlines, words = self._state.matrix, len(self.outlines), len(self.words)
        self.walk(form.read_bytes(), form.get("/Resources", self._resources[-1]))
        points = [
            *(point for outline in self.outlines[outlines:] for point in outline.points(_PER_PIECE)),
            *(each.at for each in self.words[words:]),
        ]
        if "/BBox" in form and _is_cut_off(points, [float(value) for value in form.BBox], matrix):
            self.oddities.append("a form that is cut off at its box")
        self._on_restore()


def _is_cut_off(points: Sequence[Point], box: list[float], matrix: Matrix) -> bool:
    """Whether points lie outside the box of a form, beyond which nothing is shown (8.10.2)."""
    x0, y0, x1, y1 = box
    corners = [apply(matrix, (x, y)) for x in (x0, x1) for y in (y0, y1)]
    xs, ys = zip(*corners, strict=True)
    left, right, low, high = min(xs), max(xs), min(ys), max(ys)
    return any(not (left <= x <= right and low <= y <= high) for x, y in points)


_OPERATORS = {
    "q": "save",
    "Q": "restore",
    "cm": "matrix",
    "w": "width",
    "d": "dash",
    "J": "cap",
    "gs": "graphics_state",
    "m": "move",
    "l": "line",
    "c": "curve",
    "v": "curve_from_here",
    "y": "curve_to_end",
    "re": "rectangle",
    "h": "close",
    "n": "no_paint",
    "W": "clip",
    "W*": "clip",
    "S": "stroke",
    "s": "close_stroke",
    "B": "both",
    "B*": "both",
    "b": "close_both",
    "b*": "close_both",
    "BT": "begin_text",
    "ET": "end_text",
    "Tf": "font",
    "Tm": "text_matrix",
    "Td": "text_move",
    "TD": "text_move_leading",
    "TL": "leading",
    "T*": "next_line",
    "Tc": "letter_space",
    "Tw": "word_space",
    "Tz": "stretch",
    "Ts": "rise",
    "Tr": "text_mode",
    "Tj": "show",
    "TJ": "show_spaced",
    "'": "show_next",
    "Do": "object",
    **dict.fromkeys(("f", "F", "f*"), "fill"),
    **dict.fromkeys(("G", "RG", "K", "SC", "SCN"), "stroke_ink"),
    **dict.fromkeys(("g", "rg", "k", "sc", "scn"), "fill_ink"),
}
