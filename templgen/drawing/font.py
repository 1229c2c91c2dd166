"""The one font that ships with the package: its measures and its outlines.

Text then looks the same on every machine. Widths come from the font file, so a sheet can leave room for a
text before it is written. Letters are set at their advance widths, without kerning, in every format.
This is the only door to fontTools; it is imported when the first character is measured.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from templgen.drawing.primitives import Anchor
from templgen.errors import ExportError
from templgen.geometry import Vec

if TYPE_CHECKING:
    from templgen.drawing.primitives import Text

__all__ = [
    "FAMILY",
    "Glyph",
    "Step",
    "em_size",
    "font_path",
    "glyph",
    "glyph_outlines",
    "start_of",
    "text_bounds",
    "text_width",
    "unit_size",
]

FAMILY = "DejaVu Sans Condensed"

Step = tuple[str, tuple[float, ...]]
"""One step of an outline in font units, y up: ("M", x y), ("L", x y), ("Q", control x y, end x y), ("Z",)."""

_FOLDER = Path(__file__).parent / "fonts"
_ALONG = {Anchor.LEFT: 0.0, Anchor.MIDDLE: 0.5, Anchor.RIGHT: 1.0}


class Glyph(Struct, frozen=True):
    """One character's measures in font units: advance width, lowest and highest ink (0, 0 for a blank)."""

    name: str
    advance: int
    low: int
    high: int


def font_path(bold: bool = False) -> Path:
    """Return the font file, regular or bold."""
    return _FOLDER / f"DejaVuSansCondensed{'-Bold' if bold else ''}.ttf"


@cache
def _font(bold: bool) -> Any:
    from fontTools.ttLib import TTFont

    # From memory, so that no file stays open behind the lazy loading of tables.
    return TTFont(BytesIO(font_path(bold).read_bytes()), lazy=True)


@cache
def _tables(bold: bool) -> tuple[Any, Any, Any]:
    font = _font(bold)
    return font.getBestCmap(), font["hmtx"], font["glyf"]


@cache
def glyph(character: str, bold: bool = False) -> Glyph:
    """Return the measures of one character.

    Raises ExportError, which names the character, when the font has no glyph for it.
    """
    names, widths, outlines = _tables(bold)
    name = names.get(ord(character))
    if name is None:
        raise ExportError(f"no glyph for {character!r} (U+{ord(character):04X}) in {FAMILY}")
    outline = outlines[name]
    return Glyph(name, widths[name][0], getattr(outline, "yMin", 0), getattr(outline, "yMax", 0))


@cache
def _capital(bold: bool) -> tuple[int, int]:
    """Height of a capital letter and of the em, in font units (OS/2 has no first)."""
    return glyph("H", bold).high, int(_font(bold)["head"].unitsPerEm)


@cache
def unit_size(height: float, bold: bool = False) -> float:
    """Return the size of one font unit in mm when capitals are `height` mm high."""
    return height / _capital(bold)[0]


def em_size(height: float, bold: bool = False) -> float:
    """Return the em (the font size as a PDF counts it) in mm when capitals are `height` mm high."""
    return unit_size(height, bold) * _capital(bold)[1]


@cache
def _advance(text: str, bold: bool) -> int:
    return sum(glyph(character, bold).advance for character in text)


def text_width(text: str, height: float, bold: bool = False) -> float:
    """Return the width in mm of one line of text whose capitals are `height` mm high (ISO 3098).

    Raises ExportError for a character that the font does not have.
    """
    return _advance(text, bold) * unit_size(height, bold)


def start_of(text: Text) -> Vec:
    """Return where the base line of a text begins, whatever its anchor."""
    back = _ALONG[text.anchor] * text_width(text.text, text.height, text.bold)
    return text.at - Vec.polar(back, text.angle) if back else text.at


def text_bounds(text: Text) -> tuple[Vec, Vec, Vec, Vec]:
    """Return the corners of the box round a text, counter-clockwise from the lower left of the words.

    The box turns with the text; it spans the advance width, and the ink from lowest to highest, the base
    line included.
    """
    size = unit_size(text.height, text.bold)
    glyphs = [glyph(character, text.bold) for character in text.text]
    low = min((g.low for g in glyphs), default=0)
    high = max((g.high for g in glyphs), default=0)
    along = Vec.polar(text_width(text.text, text.height, text.bold), text.angle)
    up = Vec.polar(1.0, text.angle).perp()
    start = start_of(text)
    bottom, top = start + up * (min(low, 0) * size), start + up * (max(high, 0) * size)
    return bottom, bottom + along, top + along, top


@cache
def _outline(character: str, bold: bool) -> tuple[Step, ...]:
    from fontTools.pens.basePen import BasePen

    steps: list[Step] = []

    class Recorder(BasePen):  # type: ignore[misc]  # fontTools has no types
        """BasePen resolves composed glyphs and implied points; what is left is written down."""

        def _moveTo(self, point: tuple[float, float]) -> None:
            steps.append(("M", point))

        def _lineTo(self, point: tuple[float, float]) -> None:
            steps.append(("L", point))

        def _qCurveToOne(self, control: tuple[float, float], end: tuple[float, float]) -> None:
            steps.append(("Q", (*control, *end)))

        def _closePath(self) -> None:
            steps.append(("Z", ()))

    glyphs = _font(bold).getGlyphSet()
    glyphs[glyph(character, bold).name].draw(Recorder(glyphs))
    return tuple(steps)


def glyph_outlines(text: str, bold: bool = False) -> Iterator[tuple[str, int, tuple[Step, ...]]]:
    """Yield each character with the place where it starts and its outline, both in font units.

    Multiply by `unit_size(height, bold)` for millimetres.
    """
    place = 0
    for character in text:
        yield character, place, _outline(character, bold)
        place += glyph(character, bold).advance
