"""Finding a card of known size in a picture, and measuring its four edges to a fraction of a pixel.

A card is told from anything printed by its inside: it is not white paper. A line drawing of the same size has
paper on both sides of its lines, so a template can not pass for a card.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templgen.proof.scan.flatten import Mapping, flattened
from templgen.proof.scan.lengths import Card
from templgen.proof.scan.picture import Grey, Picture, ScanError

__all__ = ["find_card"]

Floats = NDArray[np.float64]

_BESIDE = 150.0  # mm
_SEARCH = 4.0  # pixels to a mm of the search picture
_MOST_SIDE = 3000
_SIZE_OFF = 0.05
_FILLED = 0.93
_LINES = 2.2  # mm; print that is thinner is no card
_BULK = 5.0  # mm; what hangs on a card and is thinner is no part of it
_CORNER = 7.0  # mm of each side left out at both ends: the corners are round (ISO/IEC 7810: 3.18 mm)
_REACHES = (2.4, 1.0)
_SIDE = 0.5  # mm at both ends of a profile that tell how bright card and paper are
_NEIGHBOURS = 15
_STEP = 0.05
_LEAST_STEP = 20.0
_PROFILES = 80
_OFF_LINE = 0.06
_PAIR = 0.35
_TRIES = 1500
_NEARLY_ALL = 0.9
_ASKEW = 1.5  # degrees; a card along the lines of the sheet may have one of them along its edge
_LEAST_SHARE = 0.5
_UNLIKE = 0.3  # mm between opposite sides: 0.16 at most in 62 simulated pictures, 3.6 with one edge misread
_WHITE_SHARES = (0.93, 0.85, 0.75, 0.6, 0.45)


def find_card(picture: Picture, mapping: Mapping, card: Card, places: Floats) -> Floats:
    """Return the corners of the card on the page in nominal mm, counter-clockwise, the first side a long one.

    Args:
        picture: the picture.
        mapping: where the page is in it.
        card: what to look for.
        places: points of the page, mm; the card lies among or beside them.

    Raises:
        ScanError: no card, or more than one.
    """
    corners = _page_corners(picture, mapping)
    low = np.maximum(corners.min(axis=0), places.min(axis=0) - _BESIDE)
    high = np.minimum(corners.max(axis=0), places.max(axis=0) + _BESIDE)
    scale = min(_SEARCH, _MOST_SIDE / float((high - low).max()))
    flat = flattened(picture.grey, mapping, low, high, scale)
    found: list[Floats] = []
    for box in _boxes(flat, card, scale):
        rough = np.column_stack([box[:, 0] / scale + low[0], high[1] - box[:, 1] / scale])
        fine = _refined(picture.grey, mapping, rough)
        if fine is not None and not any(_same(fine, other) for other in found):
            found.append(fine)
    name = picture.name
    if not found:
        raise ScanError(
            f"{name}: no card of {card.sides[0]:.2f} x {card.sides[1]:.2f} mm found; all four edges "
            "must be seen, on white paper, and a dark or coloured card is seen best"
        )
    if any(_is_along(each) for each in found):
        raise ScanError(
            f"{name}: the card lies along the lines of the sheet, and one of them may pass for its edge; "
            "lay it askew, by 3 degrees or more"
        )
    for each in found:
        _require_parallel(each, name)
    if len(found) > 1:
        raise ScanError(
            f"{name}: {len(found)} things of the size of the card found; leave one card in the picture"
        )
    return found[0]


def _page_corners(picture: Picture, mapping: Mapping) -> Floats:
    w, h = picture.width - 1.0, picture.height - 1.0
    edge = np.array([(x * w, y * h) for x in (0.0, 0.5, 1.0) for y in (0.0, 0.5, 1.0)])
    return mapping.to_page(edge)


def _boxes(flat: Grey, card: Card, scale: float) -> Iterator[Floats]:
    """Rectangles of the card's size in the search picture, at several levels of grey."""
    import cv2

    thick = int(np.ceil(_LINES * scale)) | 1
    bulk = int(np.ceil(_BULK * scale)) | 1
    # Closing the bright paper over thin print leaves only what is large and dark.
    bare = cv2.morphologyEx(flat, cv2.MORPH_CLOSE, np.ones((thick, thick), np.uint8))
    white = float(np.percentile(bare, 90))
    for share in _WHITE_SHARES:
        dark = (bare < share * white).astype(np.uint8)
        mask = cv2.morphologyEx(
            dark, cv2.MORPH_OPEN, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (bulk, bulk))
        )
        outlines, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        for outline in outlines:
            if len(outline) < 100:
                continue
            rectangle = cv2.minAreaRect(outline)
            sides = sorted((side / scale for side in rectangle[1]), reverse=True)
            fits = all(abs(a / b - 1.0) < _SIZE_OFF for a, b in zip(sides, card.sides, strict=True))
            area = float(cv2.contourArea(outline))
            if fits and area > _FILLED * rectangle[1][0] * rectangle[1][1]:
                yield np.asarray(cv2.boxPoints(rectangle), np.float64)


def _is_along(corners: Floats) -> bool:
    """Whether a side of the card lies along x or y of the page."""
    side = corners[1] - corners[0]
    turn = float(np.degrees(np.arctan2(side[1], side[0]))) % 90.0
    return min(turn, 90.0 - turn) < _ASKEW


def _require_parallel(corners: Floats, name: str) -> None:
    """Opposite sides of a card are alike however the print is stretched; else one edge is not its own."""
    sides = [float(np.linalg.norm(corners[(i + 1) % 4] - corners[i])) for i in range(4)]
    for one, other in ((sides[0], sides[2]), (sides[1], sides[3])):
        if abs(one - other) > _UNLIKE:
            raise ScanError(
                f"{name}: an edge of the card is not seen clearly: opposite sides come out {one:.2f} and "
                f"{other:.2f} mm; lay it on white paper clear of print and shadows, and take it again"
            )


def _same(one: Floats, other: Floats) -> bool:
    return float(np.linalg.norm(one.mean(axis=0) - other.mean(axis=0))) < 20.0


def _refined(grey: Grey, mapping: Mapping, corners: Floats) -> Floats | None:
    """The corners where lines through the four edges meet; None if this is no card."""
    first, second = corners[1] - corners[0], corners[2] - corners[1]
    if first[0] * second[1] - first[1] * second[0] < 0.0:
        corners = corners[::-1]
    if np.linalg.norm(corners[1] - corners[0]) < np.linalg.norm(corners[2] - corners[1]):
        corners = np.roll(corners, -1, axis=0)
    # First from a wide strip beside each edge, then from a narrow one about it, where inside is all card.
    for reach in _REACHES:
        lines = [_edge(grey, mapping, corners[i], corners[(i + 1) % 4], reach) for i in range(4)]
        known = [line for line in lines if line is not None]
        if len(known) < 4:
            return None
        corners = np.array([_meeting(known[i - 1], known[i]) for i in range(4)])
    return corners


def _edge(
    grey: Grey, mapping: Mapping, start: Floats, end: Floats, half: float
) -> tuple[Floats, Floats] | None:
    """A point of the edge beside start-end and its direction, mm on the page; the card lies to the left."""
    import cv2

    along = end - start
    length = float(np.linalg.norm(along))
    along = along / length
    out = np.array([along[1], -along[0]])
    places = np.linspace(_CORNER, length - _CORNER, _PROFILES)
    reach = np.arange(-half, half + _STEP / 2, _STEP)
    points = start + places[:, None, None] * along + reach[None, :, None] * out
    pixels = mapping.to_pixels(points.reshape(-1, 2)).reshape(len(places), len(reach), 2).astype(np.float32)
    values = cv2.remap(
        grey,
        pixels[..., 0],
        pixels[..., 1],
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(255,),
    ).astype(np.float64)
    line = _straight(_crossings(values, places, reach))
    if line is None:
        return None
    slope, shift = line
    return start + shift * out, along + slope * out


def _crossings(values: Floats, places: Floats, reach: Floats) -> Floats:
    """Where profiles from the card outwards pass half way up from card to paper: rows of place and distance.

    Paper is as bright as most of what lies outside of the profiles nearby; print beside the edge only adds
    crossings of its own.
    """
    side = round(_SIDE / _STEP)
    bright = np.percentile(values[:, -side:], 75, axis=1)
    padded = np.pad(bright, _NEIGHBOURS // 2, mode="edge")
    outside = np.percentile(np.lib.stride_tricks.sliding_window_view(padded, _NEIGHBOURS), 70, axis=1)
    inside = np.median(values[:, :side], axis=1)
    level = ((inside + outside) / 2.0)[:, None]
    rises = (values[:, :-1] <= level) & (values[:, 1:] > level) & (outside - inside > _LEAST_STEP)[:, None]
    rows, columns = np.nonzero(rises)
    low, high = values[rows, columns], values[rows, columns + 1]
    part = (level[rows, 0] - low) / (high - low)
    return np.column_stack([places[rows], reach[columns] + _STEP * part])


def _straight(found: Floats) -> tuple[float, float] | None:
    """Slope and shift of the line through most crossings; None where too few agree.

    Lines through many pairs of crossings are tried, the one that most crossings agree with is fitted.
    """
    if len(found) < _LEAST_SHARE * _PROFILES:
        return None
    places, at = found.T
    one, other = np.triu_indices(len(found), 1)
    apart = np.flatnonzero(np.abs(places[other] - places[one]) > _PAIR * float(np.ptp(places)))
    apart = apart[:: max(1, len(apart) // _TRIES)]
    one, other = one[apart], other[apart]
    if len(one) == 0:
        return None
    slopes = (at[other] - at[one]) / (places[other] - places[one])
    shifts = at[one] - slopes * places[one]
    agree = np.abs(at - slopes[:, None] * places - shifts[:, None]) < _OFF_LINE
    votes = agree.sum(axis=1)
    # A printed line just beside the card has an edge of its own; that of the card is the inner one.
    good = np.flatnonzero(votes >= _NEARLY_ALL * votes.max())
    kept = agree[good[int(np.argmin((slopes * places.mean() + shifts)[good]))]]
    for _ in range(3):
        if len(np.unique(places[kept])) < _LEAST_SHARE * _PROFILES:
            return None
        slope, shift = (float(value) for value in np.polyfit(places[kept], at[kept], 1))
        kept = np.abs(at - slope * places - shift) < _OFF_LINE
    return slope, shift


def _meeting(one: tuple[Floats, Floats], other: tuple[Floats, Floats]) -> Floats:
    (p, u), (q, v) = one, other
    t = np.linalg.solve(np.column_stack([u, -v]), q - p)
    point: Floats = p + t[0] * u
    return point
