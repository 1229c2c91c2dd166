"""Finding the markers in a picture, and what they say: which sheet of which job, and where they stand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import islice, product

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.drawing.markers import CELLS, PIECES, SLOTS, SheetCode, code_of
from templgen.proof.scan.picture import Grey, Picture, ScanError
from templgen.sheets.markers import MARKER_SIZE, numbered_places

__all__ = ["Found", "Seen", "find_markers", "identify"]

Floats = NDArray[np.float64]

_SEARCH_SIDES = (1800, 3600, 7200)
"""Pixels along the long side of the pictures in which markers are searched for."""
_LEAST_SHARE = 0.03
_MOST_CODES = 256
_MISPLACED = 0.8
"""A marker this share of its side away from where its number says does not belong to the sheet."""
_LEAST_FOUND = 4
_MOST_STRAY = 4
"""As many markers may be misread in what is drawn on a sheet or lies beside it."""


class Seen(Struct, frozen=True):
    """One marker in a picture: its number, and its corners in pixels, from its upper left one clockwise."""

    number: int
    corners: Floats

    @property
    def centre(self) -> Floats:
        """The middle of its corners, pixels."""
        middle: Floats = self.corners.mean(axis=0)
        return middle

    @property
    def side(self) -> float:
        """The mean length of its sides, pixels."""
        return float(np.linalg.norm(self.corners - np.roll(self.corners, 1, axis=0), axis=1).mean())


class Found(Struct, frozen=True):
    """The markers of one sheet, by rising slot.

    Attributes:
        code: what they say.
        slots: the slot of each marker.
        nominal: corners on the page in mm from the lower left cross, y up; shape (n, 4, 2).
        pixels: the same corners in the picture, y down; shape (n, 4, 2).
    """

    code: SheetCode
    slots: tuple[int, ...]
    nominal: Floats
    pixels: Floats

    @property
    def numbers(self) -> tuple[int, ...]:
        """The numbers of all markers that the sheet has, found or not, by slot."""
        return tuple(number for number, _ in numbered_places(self.code))

    def only(self, kept: NDArray[np.bool_]) -> Found:
        """The markers of a mask."""
        slots = tuple(slot for slot, keep in zip(self.slots, kept, strict=True) if keep)
        return Found(self.code, slots, self.nominal[kept], self.pixels[kept])


def find_markers(picture: Picture) -> list[Seen]:
    """Return all markers of the family in a picture, their corners measured to a fraction of a pixel.

    They are searched for in a small picture, and where some are missing in larger ones.
    """
    found: dict[tuple[int, int, int], Seen] = {}
    largest = max(picture.grey.shape)
    for side in _SEARCH_SIDES:
        shrunk = min(side / largest, 1.0)
        for each in _searched(picture.grey, shrunk):
            # The same marker is found again at the same place, within half its side.
            x, y = (each.centre / (0.5 * each.side)).round().astype(int)
            if not any((each.number, x + dx, y + dy) in found for dx in (-1, 0, 1) for dy in (-1, 0, 1)):
                found[each.number, x, y] = each
        if shrunk == 1.0 or _is_complete(found.values()):
            break
    return list(found.values())


def _is_complete(seen: Iterable[Seen]) -> bool:
    """Whether these are all markers of a sheet."""
    mine = list(seen)
    numbers = {each.number for each in mine}
    return any(
        len(numbers & known) == len(known)
        for known in ({number for number, _ in numbered_places(code)} for code in _codes(mine))
        if known
    )


def _searched(grey: Grey, shrunk: float) -> list[Seen]:
    """The markers that show in a picture shrunk by a factor, measured in the picture itself."""
    import cv2

    small = grey
    if shrunk < 1.0:
        size = (round(grey.shape[1] * shrunk), round(grey.shape[0] * shrunk))
        small = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.uint8)
    parameters = cv2.aruco.DetectorParameters()
    parameters.minMarkerPerimeterRate = _LEAST_SHARE
    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    corners, numbers, _ = cv2.aruco.ArucoDetector(family, parameters).detectMarkers(small)
    if numbers is None:
        return []
    factor = np.array([grey.shape[1] / small.shape[1], grey.shape[0] / small.shape[0]])
    # Pixel centres have whole numbers: the halves keep a corner where it is when the picture is shrunk.
    rough = [(np.asarray(four, np.float64).reshape(4, 2) + 0.5) * factor - 0.5 for four in corners]
    return [
        Seen(int(number), _sharpened(grey, four))
        for number, four in zip(np.ravel(numbers), rough, strict=True)
    ]


def _sharpened(grey: Grey, corners: Floats) -> Floats:
    """Corners moved to where the gradients round them meet."""
    import cv2

    side = float(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).mean())
    reach = int(np.clip(round(0.45 * side / CELLS), 2, 12))
    start = corners.astype(np.float32).reshape(-1, 1, 2)
    ends = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.003)
    moved = cv2.cornerSubPix(grey, start, (reach, reach), (-1, -1), ends)
    return np.asarray(moved, np.float64).reshape(4, 2)


def identify(seen: Sequence[Seen], name: str) -> Found:
    """Return the sheet that most markers agree on.

    Args:
        seen: the markers of a picture.
        name: name of the picture, for messages.

    Raises:
        ScanError: no sheet, too little of one, or two sheets.
    """
    if not seen:
        raise ScanError(
            f"{name}: no markers found. A sheet of templgen has fourteen and more, black squares of 6 mm; "
            "scan it at 300 dpi or more, or fill the picture with it, in even light"
        )
    fits = [found for found in (_fitted(code, seen) for code in _codes(seen)) if found]
    fits.sort(key=lambda found: -len(found.slots))
    if not fits or len(fits[0].slots) < _LEAST_FOUND:
        raise ScanError(
            f"{name}: {len(seen)} markers found, and they do not tell which sheet this is; all of "
            "the sheet must be seen, flat and sharp"
        )
    best = fits[0]
    if len(seen) - len(best.slots) > _MOST_STRAY:
        raise ScanError(
            f"{name}: {len(seen) - len(best.slots)} markers do not belong to sheet {best.code.sheet}: more "
            "than one sheet is in the picture; take them one at a time"
        )
    return best


def _codes(seen: Sequence[Seen]) -> list[SheetCode]:
    """Every code that some pieces make; several only if a marker was misread, or two sheets are seen."""
    pieces: dict[int, set[int]] = defaultdict(set)
    for each in seen:
        slot, piece = divmod(each.number, 64)
        if slot >= SLOTS:
            continue
        pieces[slot % PIECES].add(piece)
    places = sorted(pieces)
    ways = product(*(sorted(pieces[place]) for place in places))
    codes = (code_of(dict(zip(places, way, strict=True))) for way in islice(ways, _MOST_CODES))
    return [code for code in codes if code is not None]


def _fitted(code: SheetCode, seen: Sequence[Seen]) -> Found | None:
    """The markers that stand where a code says, up to a perspective."""
    import cv2

    known = numbered_places(code)
    places = [place for _, place in known]
    slots = {number: slot for slot, (number, _) in enumerate(known)}
    mine = sorted((each for each in seen if each.number in slots), key=lambda each: slots[each.number])
    if len(mine) < _LEAST_FOUND:
        return None
    nominal = np.array(
        [_nominal(places[slots[each.number]].x, places[slots[each.number]].y) for each in mine]
    )
    pixels = np.array([each.corners for each in mine])
    side = float(np.linalg.norm(pixels - np.roll(pixels, 1, axis=1), axis=2).mean())
    _, mask = cv2.findHomography(nominal.mean(axis=1), pixels.mean(axis=1), cv2.RANSAC, _MISPLACED * side)
    if mask is None:
        return None
    kept = np.ravel(mask).astype(bool)
    found = Found(code, tuple(slots[each.number] for each in mine), nominal, pixels).only(kept)
    return found if len(set(found.slots)) == len(found.slots) else None


def _nominal(x: float, y: float) -> Floats:
    half = MARKER_SIZE / 2
    return np.array([(x - half, y + half), (x + half, y + half), (x + half, y - half), (x - half, y - half)])
