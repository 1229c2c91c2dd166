"""A picture seen from straight above the page."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from templgen.proof.scan.picture import Grey

__all__ = ["Mapping", "flattened"]

Floats = NDArray[np.float64]


class Mapping(Protocol):
    """Where the page is in a picture."""

    def to_pixels(self, points: Floats) -> Floats:
        """Page in mm, y up, to pixels, y down."""

    def to_page(self, pixels: Floats) -> Floats:
        """Pixels, y down, to page in mm, y up."""


def flattened(grey: Grey, mapping: Mapping, low: Floats, high: Floats, scale: float) -> Grey:
    """The picture seen from straight above, `scale` pixels to a mm; what lies outside it is white."""
    import cv2

    columns, rows = (int(np.ceil(size * scale)) for size in high - low)
    # A coarse net of places is enough: between its knots the map is nearly straight.
    x = np.linspace(low[0], high[0], max(columns // 16, 2))
    y = np.linspace(high[1], low[1], max(rows // 16, 2))
    net = mapping.to_pixels(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)).reshape(len(y), len(x), 2)
    size = (columns, rows)
    across, down = _stretched(net[..., 0], size), _stretched(net[..., 1], size)
    smooth = cv2.GaussianBlur(grey, (0, 0), 1.2)
    return np.asarray(
        cv2.remap(smooth, across, down, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(255,)),
        np.uint8,
    )


def _stretched(values: Floats, size: tuple[int, int]) -> NDArray[np.float32]:
    """A net of values spread over `size` columns and rows, its outer knots on the outermost pixels."""
    columns, rows = size
    x = np.linspace(0, values.shape[1] - 1, columns)
    y = np.linspace(0, values.shape[0] - 1, rows)
    left, low = np.minimum(x.astype(int), values.shape[1] - 2), np.minimum(y.astype(int), values.shape[0] - 2)
    s, t = x - left, (y - low)[:, None]
    across = values[:, left] * (1 - s) + values[:, left + 1] * s
    spread: NDArray[np.float32] = (across[low] * (1 - t) + across[low + 1] * t).astype(np.float32)
    return spread
