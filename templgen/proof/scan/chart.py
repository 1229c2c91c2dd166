"""The picture of residuals: the sheet as it was seen, every marker, and how far it is off the fit."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from templgen.proof.scan.flatten import flattened
from templgen.proof.scan.judgement import Sighted
from templgen.proof.scan.picture import Picture
from templgen.sheets.markers import MARKER_SIZE, crosses_of_code

__all__ = ["residual_chart"]

Floats = NDArray[np.float64]
_Colour = tuple[int, int, int]

_SCALE = 5.0  # pixels to a mm
_BORDER = 16.0
_LEGEND = 60
_LONGEST = 14.0
"""The longest arrow, mm on the chart."""
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)
_DARK: _Colour = (40, 40, 40)
_ARROW: _Colour = (0, 0, 190)  # blue, green, red
_USED: _Colour = (60, 130, 0)
_OUT: _Colour = (0, 140, 255)
_CARD: _Colour = (190, 90, 0)


def residual_chart(picture: Picture, sighted: Sighted) -> bytes:
    """Return a PNG: the sheet from straight above, an arrow at each marker, and their scale."""
    import cv2

    box = crosses_of_code(sighted.found.code).grown(_BORDER)
    low, high = np.array([box.xmin, box.ymin]), np.array([box.xmax, box.ymax])
    seen = flattened(picture.grey, sighted.fit, low, high, _SCALE)
    pale = (255 - (255 - seen.astype(np.int16)) // 3).astype(np.uint8)
    colours = cv2.cvtColor(pale, cv2.COLOR_GRAY2BGR)
    bordered = cv2.copyMakeBorder(colours, 0, _LEGEND, 0, 0, cv2.BORDER_CONSTANT, value=(255, 255, 255))
    chart = np.asarray(bordered, np.uint8)

    def place(x: float, y: float) -> tuple[int, int]:
        return round((x - box.xmin) * _SCALE), round((box.ymax - y) * _SCALE)

    left, ids = sighted.fit.leftovers, sighted.found.numbers
    times = _times(left.largest)
    half = MARKER_SIZE / 2
    for slot, (x, y), (dx, dy) in zip(left.slots, left.places, left.residuals, strict=True):
        cv2.rectangle(chart, place(x - half, y + half), place(x + half, y - half), _USED, 2)
        cv2.arrowedLine(
            chart, place(x, y), place(x + times * dx, y + times * dy), _ARROW, 2, cv2.LINE_AA, 0, 0.25
        )
        _write(chart, str(ids[slot]), place(x - half, y - half - 3.2))
    for slot, corners in zip(sighted.found.slots, sighted.found.nominal, strict=True):
        if slot in left.left_out:
            cv2.rectangle(chart, place(*corners[0]), place(*corners[2]), _OUT, 3)
            _write(chart, f"{ids[slot]} left out", place(corners[3][0], corners[3][1] - 3.2))
    if sighted.card is not None:
        outline = np.array([place(x, y) for x, y in sighted.card], np.int32)
        cv2.polylines(chart, [outline], True, _CARD, 2, cv2.LINE_AA)
    _legend(chart, times, sighted)
    done, data = cv2.imencode(".png", chart)
    assert done  # noqa: S101  an array of bytes can always be written
    return data.tobytes()


def _times(largest: float) -> int:
    """How many times as long as they are residuals are drawn, a round number."""
    wanted = _LONGEST / max(largest, 1e-6)
    return max((step for step in _STEPS if step <= wanted), default=1)


def _write(chart: NDArray[np.uint8], text: str, at: tuple[int, int]) -> None:
    import cv2

    cv2.putText(chart, text, at, cv2.FONT_HERSHEY_SIMPLEX, 0.45, _DARK, 1, cv2.LINE_AA)


def _legend(chart: NDArray[np.uint8], times: int, sighted: Sighted) -> None:
    import cv2

    y = chart.shape[0] - _LEGEND // 2
    microns = 10.0 ** math.floor(math.log10(1000.0 * _LONGEST / times))
    length = round(microns / 1000.0 * times * _SCALE)
    cv2.arrowedLine(chart, (20, y), (20 + length, y), _ARROW, 2, cv2.LINE_AA, 0, 0.25)
    code = sighted.found.code
    text = (
        f"{microns:g} um (drawn {times} x); sheet {code.sheet}, job {code.digest}..., {sighted.kind.value}, "
        f"largest {1000 * sighted.fit.leftovers.largest:.0f} um"
    )
    _write(chart, text, (32 + length, y + 5))
