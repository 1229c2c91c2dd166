"""What a line means, and how that meaning is drawn.

Line types follow ISO 128-2, widths its series 0.18, 0.25, 0.35, 0.5, 0.7 mm (both from memory,
confidence high). No two kinds share pattern, width and ends, so that a black-and-white print is enough.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

__all__ = ["LineStyle", "Meaning", "style_of"]


class Meaning(Enum):
    """Why a line is on the sheet; the value is the layer name in plain words."""

    CUT = "cut"
    HOLE = "hole"
    LOCATING_HOLE = "locating hole"
    REFERENCE_HOLE = "reference hole"
    ROUGH = "rough cut"
    STRUCTURE = "structure behind"
    BUTT = "butting edge"
    TRIMMED = "trimmed away"
    CENTRE = "centre"
    BEND = "bend"
    HIDDEN = "part below or above"
    EXISTING = "existing rivet"
    DIMENSION = "dimension"
    HATCH = "hatch"
    FRAME = "frame"
    RULER = "ruler"
    CROSS = "corner cross"
    MARKER = "fiducial marker"
    JOIN = "join of tiles"
    NOT_CUT = "do not cut"
    NOTE = "note"


class LineStyle(Struct, frozen=True):
    """Line width in mm, dash pattern in mm (drawn, gap, ...; empty is continuous), what marks its ends,
    and the words of the legend ("" keeps the kind out of the legend)."""

    width: float
    pattern: tuple[float, ...]
    ends: str
    legend: str


_STYLES: dict[Meaning, LineStyle] = {
    Meaning.CUT: LineStyle(0.35, (), "closed", "edge to cut to: the edge is the centre of the line"),
    Meaning.HOLE: LineStyle(0.25, (), "closed", "hole, drawn at final size"),
    Meaning.LOCATING_HOLE: LineStyle(0.5, (), "double ring", "locating hole: drill this first"),
    Meaning.REFERENCE_HOLE: LineStyle(
        0.18, (2.0, 1.0), "closed", "hole drilled through another part or a nutplate, none to prick"
    ),
    Meaning.ROUGH: LineStyle(0.18, (6.0, 2.0), "", "rough cut, in the waste"),
    Meaning.STRUCTURE: LineStyle(0.25, (12.0, 1.5, 0.5, 1.5, 0.5, 1.5), "", "structure behind the sheet"),
    Meaning.BUTT: LineStyle(0.5, (), "ticks on the side of the rib", "edge that butts or follows the line"),
    Meaning.TRIMMED: LineStyle(0.18, (0.4, 1.2), "light hatch", "trimmed away"),
    Meaning.CENTRE: LineStyle(0.18, (6.0, 1.0, 0.5, 1.0), "open at the centre", "centre of a hole, axis"),
    Meaning.BEND: LineStyle(0.18, (), "double tick at both ends", "bend tangent"),
    Meaning.HIDDEN: LineStyle(0.25, (2.0, 1.0), "", "part below or above"),
    Meaning.EXISTING: LineStyle(0.25, (1.0, 0.6), "closed", "rivet that is there already"),
    Meaning.DIMENSION: LineStyle(0.18, (), "arrows", ""),
    Meaning.HATCH: LineStyle(0.18, (), "slanted field", ""),
    Meaning.FRAME: LineStyle(0.5, (), "frame", ""),
    Meaning.RULER: LineStyle(0.18, (), "scale marks", ""),
    Meaning.CROSS: LineStyle(0.25, (), "cross", ""),
    Meaning.MARKER: LineStyle(0.18, (), "filled squares", ""),
    # Long dash, short dash of ISO 128-2.
    Meaning.JOIN: LineStyle(0.18, (9.0, 1.5, 3.0, 1.5), "", "join of two tiles: paper only"),
    # In cut files only, where the name of the layer has to say all.
    Meaning.NOT_CUT: LineStyle(0.18, (1.0, 2.0), "closed", ""),
    Meaning.NOTE: LineStyle(0.18, (), "text", ""),
}


def style_of(meaning: Meaning) -> LineStyle:
    """Return how lines of this meaning are drawn."""
    return _STYLES[meaning]
