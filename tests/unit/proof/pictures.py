"""Scans and photos of a real sheet, distorted as they are in life, with the truth known.

The demo's template is written as PDF, drawn by pypdfium2 and then warped by OpenCV: each pixel of the picture
is followed back through scanner or camera to the paper, and through the printer to the page.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
import pypdfium2
from numpy.typing import NDArray

from templgen.build.check import Judged, check_job
from templgen.build.demo import demo_job
from templgen.drawing import Correction
from templgen.exporters.pdf import pdf_bytes
from templgen.geometry import Bounds
from templgen.proof.measured import feature_error
from templgen.proof.scan.judgement import Wanted
from templgen.proof.scan.metadata import FileFacts
from templgen.proof.scan.picture import Picture
from templgen.proof.scan.scale import PixelSize
from templgen.proof.stretch import Solved, Stretch
from templgen.sheets import Sheet, build_sheets
from templgen.sheets.markers import MARKER_SIZE, marker_places, sheet_code
from templgen.sheets.proving import crosses_of, features_of, tolerance_of
from templgen.trade.paper import find_paper

Floats = NDArray[np.float64]
Grey = NDArray[np.uint8]

CARD = (85.60, 53.98, 0.76)  # ISO/IEC 7810 ID-1, mm; from memory, confidence high
WHITE = 250


@cache
def judged_demo(job: str = "mast") -> Judged:
    """A demo job, laid out."""
    return check_job(demo_job(job))


@cache
def sheets(correction: Correction | None = None, job: str = "mast") -> tuple[Sheet, ...]:
    """All sheets of a demo on its own paper, as they are or as they are corrected for a printer."""
    judged = judged_demo(job)
    paper = find_paper(judged.job.paper)
    return build_sheets(judged.job, judged.assembly, judged.findings, paper, correction)


@dataclass(frozen=True)
class Raster:
    """A page as pixels; `step` is the size of a pixel along x and y in mm."""

    grey: Grey
    step: tuple[float, float]
    width: float
    height: float
    crosses: Bounds


@cache
def raster(dpi: int, number: int = 1, correction: Correction | None = None, job: str = "mast") -> Raster:
    """A sheet of a demo at a resolution, as the PDF reader draws it, corrected for a printer or not."""
    drawing = sheets(correction, job)[number - 1].drawing
    document = pypdfium2.PdfDocument(pdf_bytes([drawing]))
    found = document[0].render(scale=dpi / 72, grayscale=True).to_numpy()
    grey = np.ascontiguousarray(found.reshape(found.shape[:2]))
    document.close()
    width, height, crosses = drawing.width, drawing.height, crosses_of(drawing)
    assert width is not None
    assert height is not None
    assert crosses is not None
    # The reader stretches the page to whole pixels.
    return Raster(grey, (width / grey.shape[1], height / grey.shape[0]), width, height, crosses)


def wanted(tolerance: float | None = None, correction: Correction | None = None) -> Wanted:
    """What must come out right on the demo's template, by its own tolerance or another one (mm)."""
    judged = judged_demo()
    own = tuple(f for f in features_of(sheets(correction), judged.assembly) if f.sheet == 1)
    page = raster(300, 1, correction)
    return Wanted(own, tolerance or tolerance_of(judged.job), page.width > page.height)


@dataclass(frozen=True)
class Print:
    """What a printer did: factors along x and y of the page, and how the page leans, degrees."""

    x: float = 1.0
    y: float = 1.0
    skew: float = 0.0

    @property
    def matrix(self) -> Floats:
        """From the page to the paper."""
        lean = math.radians(self.skew)
        return np.array([[self.x, math.sin(lean) * self.y], [0.0, math.cos(lean) * self.y]])

    def is_outside(self, aim: Wanted) -> bool:
        """Whether some feature truly is off by more than the tolerance."""
        m = self.matrix
        stretch = Stretch.of_matrix(m[0, 0], m[1, 0], m[0, 1], m[1, 1])
        solved = Solved(stretch, (), True)
        upright = solved.turned() if aim.on_its_side else solved
        return any(feature_error(upright, feature).most > aim.tolerance for feature in aim.features)


@dataclass(frozen=True)
class Damage:
    """What happens to paper and picture.

    Attributes:
        blur: of the lens, standard deviation in pixels.
        noise: of the sensor, standard deviation in grey levels.
        light: how much darker one side is, share.
        jpeg: quality of the file, 100 for none.
        fold: (y on the paper, mm; how far the part above it is drawn down, mm; how dark the crease is).
        torn: side of the torn-off upper right corner, mm.
        missing: slots of markers that are painted over.
        wave: (height, mm; length, mm; phase) of a carriage that runs unevenly.
    """

    blur: float = 0.7
    noise: float = 3.0
    light: float = 0.0
    jpeg: int = 100
    fold: tuple[float, float, float] | None = None
    torn: float = 0.0
    missing: tuple[int, ...] = ()
    wave: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Scanner:
    """A scanner: what its file says, and how many pixels an inch of it truly has, as factors of that.

    `turn` is how the sheet lies on its glass, degrees.
    """

    dpi: int = 300
    x: float = 1.0
    y: float = 1.0
    turn: float = 0.4

    def record(self, u: float = 0.00005) -> PixelSize:
        """What a record says that knows the scanner."""
        size = tuple(25.4 / (self.dpi * factor) for factor in (self.x, self.y))
        return PixelSize((size[0], size[1]), (u, u), (True, True), ("record",))


@dataclass
class Taken:
    """A picture and where points of the paper are in it (mm, y up; height over the paper in mm)."""

    picture: Picture
    to_pixels: Callable[[Floats, float], Floats]
    card: Floats | None = field(default=None)


def _page_damaged(page: Raster, damage: Damage) -> Grey:
    """The print with markers painted over and a corner torn off."""
    if not damage.missing and not damage.torn:
        return page.grey
    grey = page.grey.copy()
    code = sheet_code(page.crosses, judged_demo().job.unit, 1, judged_demo().job.digest, False)
    assert code is not None
    places = marker_places(code)
    for slot in damage.missing:
        x, y = places[slot].x + page.crosses.xmin, places[slot].y + page.crosses.ymin
        half = MARKER_SIZE / 2 + 0.4
        columns = slice(int((x - half) / page.step[0]), int((x + half) / page.step[0]) + 1)
        rows = slice(
            int((page.height - y - half) / page.step[1]), int((page.height - y + half) / page.step[1]) + 1
        )
        grey[rows, columns] = 255
    if damage.torn:
        side = damage.torn
        right, down = grey.shape[1], side / page.step[1]
        pixels = np.array([(right - side / page.step[0], 0.0), (right, 0.0), (right, down)])
        cv2.fillPoly(grey, [pixels.round().astype(np.int32)], 120)
    return grey


def _net(
    paper: Callable[[Floats, Floats], tuple[Floats, Floats]], columns: int, rows: int
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Points of the paper at every pixel, from a net of them with knots 12 pixels apart."""
    across, down = (np.linspace(0.0, size - 1.0, size // 12 + 2) for size in (columns, rows))
    knots = paper(*np.meshgrid(across, down))
    right, low = (_spread(knot, size) for knot, size in ((across, columns), (down, rows)))
    x, y = (low @ values.astype(np.float32) @ right.T for values in knots)
    return x, y


def _spread(knots: Floats, size: int) -> NDArray[np.float32]:
    """The matrix that interpolates values at knots to whole pixels."""
    pixels = np.arange(size)
    left = np.clip(np.searchsorted(knots, pixels, side="right") - 1, 0, len(knots) - 2)
    part = (pixels - knots[left]) / (knots[left + 1] - knots[left])
    matrix = np.zeros((size, len(knots)), np.float32)
    matrix[pixels, left] = 1.0 - part
    matrix[pixels, left + 1] = part
    return matrix


def _source(
    page: Raster, x: NDArray, y: NDArray, printed: Print, damage: Damage
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Pixels of the page at points of the paper."""
    if damage.fold is not None:
        y = np.where(y > damage.fold[0], y + damage.fold[1], y)
    inverse = np.linalg.inv(printed.matrix)
    u = inverse[0, 0] * x + inverse[0, 1] * y
    v = inverse[1, 0] * x + inverse[1, 1] * y
    return (
        (u / page.step[0] - 0.5).astype(np.float32),
        ((page.height - v) / page.step[1] - 0.5).astype(np.float32),
    )


def _remapped(grey: Grey, across: NDArray, down: NDArray, way: int, beside: int) -> Grey:
    return cv2.remap(grey, across, down, way, borderMode=cv2.BORDER_CONSTANT, borderValue=(beside,))


def _finished(grey: Grey, damage: Damage, rng: np.random.Generator, crease: NDArray | None) -> Grey:
    """Light, lens, sensor and file."""
    shown = cv2.convertScaleAbs(grey, alpha=WHITE / 255.0)
    if damage.blur:
        shown = cv2.GaussianBlur(shown, (0, 0), damage.blur)
    rows, columns = shown.shape
    value = shown.astype(np.float32)
    if damage.light:
        fall = (
            1.0
            - damage.light
            * np.linspace(0, 1, columns, dtype=np.float32)[None, :]
            * np.linspace(0.4, 1, rows, dtype=np.float32)[:, None]
        )
        value *= fall
    if crease is not None:
        value *= crease
    if damage.noise:
        value += damage.noise * rng.standard_normal(shown.shape, dtype=np.float32)
    done = np.clip(value, 0, 255).astype(np.uint8)
    if damage.jpeg < 100:
        _, data = cv2.imencode(".jpg", done, [cv2.IMWRITE_JPEG_QUALITY, damage.jpeg])
        done = cv2.imdecode(data, cv2.IMREAD_GRAYSCALE)
    return done


def scanned(
    page: Raster,
    printed: Print,
    scanner: Scanner,
    damage: Damage,
    seed: int = 0,
    card: tuple[float, float, float] | None = None,
    card_size: tuple[float, float] = CARD[:2],
) -> Taken:
    """A scan; `card` lies at (x, y, angle) on the paper, its size as given."""
    rng = np.random.default_rng(seed)
    turn = np.radians(scanner.turn)
    spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    corners = np.array([(x, y) for x in (0, page.width) for y in (0, page.height)])
    glass = corners @ printed.matrix.T @ spin.T
    low, high = glass.min(axis=0) - 3.0, glass.max(axis=0) + 3.0
    per_mm = np.array([scanner.x, scanner.y]) * scanner.dpi / 25.4
    columns, rows = ((high - low) * per_mm).round().astype(int)

    def wave(y: Floats) -> Floats:
        if damage.wave is None:
            return np.zeros_like(y)
        height, length, phase = damage.wave
        return height * np.sin(2 * math.pi * y / length + phase)

    def paper(across: Floats, down: Floats) -> tuple[Floats, Floats]:
        # Pixel to glass: the carriage stands at y + wave when the row for y is written.
        gx = (across + 0.5) / per_mm[0] + low[0]
        gy = high[1] - (down + 0.5) / per_mm[1]
        gy = gy + wave(gy)
        return spin[0, 0] * gx + spin[1, 0] * gy, spin[0, 1] * gx + spin[1, 1] * gy

    x, y = _net(paper, columns, rows)
    across, down = _source(page, x, y, printed, damage)
    flat = _remapped(_page_damaged(page, damage), across, down, cv2.INTER_CUBIC, 255)
    if card is not None:
        flat = _with_card(flat, x, y, card, card_size)
    crease = _crease(y, damage)
    grey = _finished(flat, damage, rng, crease)

    def to_pixels(paper: Floats, height: float = 0.0) -> Floats:
        at = paper @ spin.T
        # Invert y -> y + wave(y) by a few steps.
        row = at[:, 1]
        for _ in range(20):
            row = at[:, 1] - wave(row)
        return np.column_stack([(at[:, 0] - low[0]) * per_mm[0] - 0.5, (high[1] - row) * per_mm[1] - 0.5])

    picture = Picture("scan.png", grey, FileFacts((float(scanner.dpi), float(scanner.dpi))))
    return Taken(picture, to_pixels)


def _crease(y: Floats, damage: Damage) -> NDArray | None:
    if damage.fold is None:
        return None
    place, _, dark = damage.fold
    return (1.0 - dark * np.exp(-(((y - place) / 0.8) ** 2))).astype(np.float32)


def _with_card(
    flat: Grey, x: NDArray, y: NDArray, card: tuple[float, float, float], size: tuple[float, float]
) -> Grey:
    """A dark card with round corners of 3.18 mm and some lighter print on it."""
    reach = math.hypot(*size) / 2 + 4.0
    coarse = np.hypot(x[::8, ::8] - card[0], y[::8, ::8] - card[1]) < reach
    rows, columns = np.nonzero(coarse)
    part = np.s_[rows.min() * 8 : rows.max() * 8 + 8, columns.min() * 8 : columns.max() * 8 + 8]
    x, y = x[part], y[part]
    turn = math.radians(card[2])
    u = (x - card[0]) * math.cos(turn) + (y - card[1]) * math.sin(turn)
    v = -(x - card[0]) * math.sin(turn) + (y - card[1]) * math.cos(turn)
    radius = 3.18
    a, b = np.abs(u) - (size[0] / 2 - radius), np.abs(v) - (size[1] / 2 - radius)
    outside = np.hypot(np.maximum(a, 0), np.maximum(b, 0)) + np.minimum(np.maximum(a, b), 0) - radius
    middle = tuple(side // 2 for side in x.shape)
    after = tuple(side + 1 for side in middle)
    pixel = math.hypot(float(x[after] - x[middle]), float(y[after] - y[middle])) / math.sqrt(2.0)
    cover = np.clip(0.5 - outside / pixel, 0.0, 1.0)
    face = np.where((np.abs(v + 8.0) < 3.0) & (np.abs(u) < 30.0), 150, 70)
    done = flat.copy()
    done[part] = (flat[part] * (1.0 - cover) + face * cover).round()
    return done


@dataclass(frozen=True)
class Camera:
    """A camera over the sheet.

    Attributes:
        width, height: of the picture, pixels.
        film: focal length, mm on film of 36 mm.
        over: distance from the middle of the sheet, mm.
        tilt: how far it looks aslant, degrees, and in which direction.
        turn: how the picture is turned, degrees.
        k1: radial distortion by half diagonals; below 0 is barrel.
        tells: whether the file says the focal length.
    """

    width: int = 4000
    height: int = 3000
    film: float = 27.0
    over: float = 330.0
    tilt: tuple[float, float] = (6.0, 30.0)
    turn: float = 2.0
    k1: float = -0.02
    tells: bool = True


def photographed(
    page: Raster,
    printed: Print,
    camera: Camera,
    damage: Damage,
    seed: int = 0,
    card: tuple[float, float, float] | None = None,
    card_size: tuple[float, float] = CARD[:2],
) -> Taken:
    """A photo; a card lies as in `scanned`, its face 0.76 mm over the paper."""
    rng = np.random.default_rng(seed)
    focal = camera.film / 36.0 * max(camera.width, camera.height)
    centre = np.array([(camera.width - 1) / 2, (camera.height - 1) / 2])
    unit = math.hypot(camera.width, camera.height) / 2
    middle = np.array([page.width / 2, page.height / 2]) @ printed.matrix.T
    rotation, place = _pose(camera, middle)

    def paper(z: float) -> Callable[[Floats, Floats], tuple[Floats, Floats]]:
        def at(columns: Floats, rows: Floats) -> tuple[Floats, Floats]:
            dx, dy = (columns - centre[0]) / unit, (rows - centre[1]) / unit
            height = np.hypot(dx, dy)
            straight = height.copy()
            for _ in range(8):
                straight -= (straight + camera.k1 * straight**3 - height) / (1 + 3 * camera.k1 * straight**2)
            factor = unit / focal * np.where(height > 0, straight / np.maximum(height, 1e-12), 1.0)
            world = np.tensordot(rotation.T, np.stack([dx * factor, dy * factor, np.ones_like(dx)]), axes=1)
            reach = (z - place[2]) / world[2]
            return place[0] + reach * world[0], place[1] + reach * world[1]

        return at

    x, y = _net(paper(0.0), camera.width, camera.height)
    across, down = _source(page, x, y, printed, damage)
    flat = _remapped(_page_damaged(page, damage), across, down, cv2.INTER_LINEAR, 215)
    if card is not None:
        flat = _with_card(flat, *_net(paper(CARD[2]), camera.width, camera.height), card, card_size)
    grey = _finished(flat, damage, rng, _crease(y, damage))

    def to_pixels(points: Floats, z: float = 0.0) -> Floats:
        seen = (np.column_stack([points, np.full(len(points), z)]) - place) @ rotation.T
        flat_at = seen[:, :2] / seen[:, 2:] * focal / unit
        r2 = (flat_at**2).sum(axis=1, keepdims=True)
        return flat_at * (1 + camera.k1 * r2) * unit + centre

    facts = FileFacts(None, camera.film if camera.tells else None)
    return Taken(Picture("photo.jpg", grey, facts), to_pixels)


def _pose(camera: Camera, middle: Floats) -> tuple[Floats, Floats]:
    """Rotation from the world to the camera (x right, y down, z ahead), and the camera's place."""
    tilt, towards, turn = (math.radians(v) for v in (*camera.tilt, camera.turn))
    aside = math.sin(tilt)
    ahead = np.array([aside * math.cos(towards), aside * math.sin(towards), -math.cos(tilt)])
    right = np.array([math.cos(turn), math.sin(turn), 0.0])
    right = right - (right @ ahead) * ahead
    right /= np.linalg.norm(right)
    down = np.cross(ahead, right)
    return np.array([right, down, ahead]), np.append(middle, 0.0) - camera.over * ahead
