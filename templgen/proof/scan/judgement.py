"""One picture of one sheet: what it shows, how far its print is off, and whether that can be told."""

from __future__ import annotations

import math
from enum import Enum

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from templgen.geometry import Vec
from templgen.proof.measured import Outcome, Verdict, judge
from templgen.proof.scan.card import find_card
from templgen.proof.scan.fit import FlatFit, LensFit, fit_flat, fit_lens
from templgen.proof.scan.hidden import LIMITS
from templgen.proof.scan.lengths import CARD_THICKNESS, Card, Rule
from templgen.proof.scan.markers import Found, find_markers, identify
from templgen.proof.scan.picture import Picture, ScanError
from templgen.proof.scan.scale import Known, PixelSize, pixel_size
from templgen.proof.scan.stretches import (
    Measured,
    camera_height,
    flat_stretch,
    focal_of,
    photo_stretch,
)
from templgen.proof.stretch import Reading, Solved
from templgen.sheets.markers import crosses_of_code
from templgen.sheets.proving import Feature

__all__ = ["Doubt", "Kind", "References", "Sighted", "Wanted", "default_features", "sight", "verdict_of"]

Floats = NDArray[np.float64]

_NOT_FLAT = 0.12
_MUCH_BETTER = 0.2
"""A file that states a resolution is a photo only if as a scan it is so uneven, mm, as a photo far less."""
_SURELY_FLAT = 0.03
"""A file that states none is a scan only if it is as even as this, mm."""
_BENT = 0.3
"""A sheet with a marker so far off, mm, is no sheet that lies flat: it proves nothing."""
_PIXELS_OFF = 1.0
"""How far a mark of a rule may be off the pixel that was given, either way (own default)."""
_RULE_OFF = 0.05
"""How far two marks of a steel rule may be off, mm either way (common practice, no source)."""
_EDGE_OFF = 0.03
"""How far two edges of a card together may be off as they are seen, mm either way (own default)."""
_RULE_THICKNESS = (0.5, 0.5)
"""Thickness of a steel rule, and how far off that may be, mm."""
_HEIGHT_OFF = 0.5
"""Share by which the height of a camera of unknown focal length may be off."""
_PROVEN = 0.006
_OTHER_SCALES = 61


class Kind(Enum):
    """How the picture was taken."""

    SCAN = "scan"
    PHOTO = "photo"


class Doubt(Enum):
    """What keeps a picture from being judged."""

    SCALE = "scale"
    UNEVEN = "uneven"
    NOISE = "noise"
    EDGE = "edge"


class References(Struct, frozen=True):
    """What is known of sizes in a picture, beside what its file says."""

    rules: tuple[Rule, ...] = ()
    card: Card | None = None
    scanner: PixelSize | None = None


class Sighted(Struct, frozen=True):
    """A picture, measured.

    Attributes:
        name: the picture's file.
        kind: scan or photo.
        fit: the fit of its markers; `fit.leftovers` are the residuals.
        found: all markers of the sheet.
        measured: the stretch of the print; None where nothing is known of its scale.
        proven: whether the scale rests on more than the file's word.
        source: where the scale comes from.
        size: of a pixel, for a scan.
        card: corners of the card on the page, nominal mm, if there was one.
    """

    name: str
    kind: Kind
    fit: FlatFit | LensFit
    found: Found
    measured: Measured | None
    proven: bool
    source: tuple[str, ...]
    size: PixelSize | None = None
    card: Floats | None = None


class Wanted(Struct, frozen=True):
    """What must come out right: features, how far any may be off (mm), and how their page lies."""

    features: tuple[Feature, ...]
    tolerance: float
    on_its_side: bool = False


def sight(picture: Picture, references: References, kind: Kind | None = None) -> Sighted:
    """Return what a picture shows.

    Args:
        picture: the picture.
        references: known sizes in it.
        kind: how it was taken; None: found out.

    Raises:
        ScanError: no sheet, too little of it, no card, or sizes that contradict one another.
    """
    found = identify(find_markers(picture), picture.name)
    fit = _fit(picture, found, references, kind)
    if isinstance(fit, FlatFit):
        return _scan(picture, found, fit, references)
    return _photo(picture, found, fit, references)


def _fit(picture: Picture, found: Found, references: References, kind: Kind | None) -> FlatFit | LensFit:
    """The fit of a scan or of a photo, as it was asked for or as the picture looks."""
    name = picture.name
    if kind is Kind.PHOTO or (kind is None and picture.facts.focal and not references.scanner):
        return fit_lens(found, picture.width, picture.height, name)
    flat = fit_flat(found, name)
    is_stated = _plausible_dpi(picture, flat) is not None
    even = max(flat.spread.uneven)
    if kind is Kind.SCAN or references.scanner or even < (_NOT_FLAT if is_stated else _SURELY_FLAT):
        return flat
    lens = fit_lens(found, picture.width, picture.height, name)
    better = _MUCH_BETTER if is_stated else 1.0
    return lens if max(lens.spread.uneven) < better * even else flat


def _scan(picture: Picture, found: Found, fit: FlatFit, references: References) -> Sighted:
    up = np.array([1.0, -1.0])
    # What is not even moves both ends of a known length too.
    moved = math.sqrt(2.0) * max(fit.spread.uneven)
    lengths = [
        Known(
            f"steel rule {rule.text}", (rule.ends[1] - rule.ends[0]) * up, rule.length, _rule_u(rule, moved)
        )
        for rule in references.rules
    ]
    card = None
    if references.card:
        card = find_card(picture, fit, references.card, fit.leftovers.places)
        lengths += _card_lengths(fit.to_pixels(card) * up, references.card, moved)
    size = pixel_size(_plausible_dpi(picture, fit), lengths, references.scanner, picture.name)
    if size is None or not all(np.isfinite(size.u)):
        return Sighted(picture.name, Kind.SCAN, fit, found, None, False, (), size, card)
    measured = flat_stretch(fit, size)
    return Sighted(picture.name, Kind.SCAN, fit, found, measured, all(size.proven), size.source, size, card)


def _plausible_dpi(picture: Picture, fit: FlatFit) -> tuple[float, float] | None:
    """The resolution in the file, unless it is one that programs write when they know none."""
    dpi = picture.facts.dpi
    if dpi is None:
        return None
    ratio = fit.pixels_per_mm * 25.4 / float(np.sqrt(dpi[0] * dpi[1]))
    return dpi if 0.6 < ratio < 1.6 else None


def _rule_u(rule: Rule, moved: float) -> float:
    pixels = float(np.linalg.norm(rule.ends[1] - rule.ends[0]))
    read = _even(_PIXELS_OFF) * math.sqrt(2.0) / pixels
    return math.hypot(read, _even(_RULE_OFF) / rule.length, moved / rule.length)


def _even(off: float) -> float:
    """Standard uncertainty of what may be off by so much either way, evenly (JCGM 100:2008, 4.3.7)."""
    return off / math.sqrt(3.0)


def _card_lengths(corners: Floats, card: Card, moved: float, shrink: float = 1.0) -> list[Known]:
    """The sides of a card between the middles of the opposite edges; `shrink` puts it down on the paper."""
    a, b, c, d = corners
    sides = ((b + c - a - d) / 2.0, (c + d - a - b) / 2.0)
    names = ("card, long side", "card, short side")
    return [
        Known(name, along * shrink, size, math.hypot(_even(off), _even(_EDGE_OFF), moved) / size)
        for name, along, size, off in zip(names, sides, card.sides, card.off, strict=True)
    ]


def _photo(picture: Picture, found: Found, fit: LensFit, references: References) -> Sighted:
    focal = focal_of(picture.facts.focal, picture.width, picture.height)
    height = camera_height(fit, focal)
    thickness, thickness_off = _RULE_THICKNESS
    moved = math.sqrt(2.0) * max(fit.spread.uneven)
    lengths, card, square = [], None, None
    # How far the height over the paper is off counts alike for all lengths.
    common = thickness_off / height if references.rules else 0.0
    for rule in references.rules:
        ends = fit.to_page(rule.ends)
        along = (ends[1] - ends[0]) * (1.0 - thickness / height)
        lengths.append(Known(f"steel rule {rule.text}", along, rule.length, _rule_u(rule, moved)))
    if references.card:
        card = find_card(picture, fit, references.card, fit.leftovers.places)
        share = CARD_THICKNESS / height
        common = max(common, share * (LIMITS * focal.u if picture.facts.focal else _HEIGHT_OFF))
        lengths += _card_lengths(card, references.card, moved, 1.0 - share)
        square = (lengths[-2].along, lengths[-1].along)
    measured = photo_stretch(fit, focal, lengths, square, common)
    _require_plausible(measured, picture.name)
    source = tuple(each.what for each in lengths)
    proven = bool(lengths) and max(measured.limits[:2]) < _PROVEN
    return Sighted(picture.name, Kind.PHOTO, fit, found, measured, proven, source, None, card)


def _require_plausible(measured: Measured, name: str) -> None:
    """A misread rule or card shows as a print that no print setting makes."""
    x, y, _ = measured.best
    if not (0.4 < x < 2.2 and 0.4 < y < 2.2):
        raise ScanError(
            f"{name}: by what lies in the picture the print would be {100 * x:.0f} % by {100 * y:.0f} %"
        )


def default_features(found: Found) -> Wanted:
    """What is judged without a job: that no length between the crosses is off by more than the default."""
    box = crosses_of_code(found.code)
    feature = Feature("between the crosses", found.code.sheet, box.corners, False)
    return Wanted((feature,), 0.254 if found.code.inches else 0.25)


def verdict_of(sighted: Sighted, wanted: Wanted) -> tuple[Verdict | None, Doubt | None]:
    """Return the verdict on a sheet, and what is in the way where none can be given."""
    measured = sighted.measured
    if measured is None:
        return None, Doubt.SCALE
    if not measured.scale_known:
        return _by_shape(sighted, measured, wanted), Doubt.SCALE
    verdict = judge(
        _upright(measured.solved, wanted), _readings(sighted, measured), wanted.features, wanted.tolerance
    )
    if verdict.outcome is not Outcome.OUTSIDE and not sighted.proven:
        return replace(verdict, outcome=Outcome.CANNOT_JUDGE), Doubt.SCALE
    if verdict.outcome is Outcome.INSIDE and sighted.fit.leftovers.largest > _BENT:
        return replace(verdict, outcome=Outcome.CANNOT_JUDGE), Doubt.UNEVEN
    if verdict.outcome is not Outcome.CANNOT_JUDGE:
        return verdict, None
    return verdict, _doubt(sighted, measured, verdict)


def _upright(solved: Solved, wanted: Wanted) -> Solved:
    """As seen from a page that stands upright, which is what features are judged by."""
    return solved.turned() if wanted.on_its_side else solved


def _readings(sighted: Sighted, measured: Measured) -> tuple[Reading, ...]:
    """The distances of the crosses as they are printed."""
    box = crosses_of_code(sighted.found.code)
    sides = (("A to B", Vec(box.width, 0.0)), ("A to D", Vec(0.0, box.height)))
    return tuple(
        Reading(what, along, along.length * scale, along.length * limit)
        for (what, along), scale, limit in zip(sides, measured.best[:2], measured.limits[:2], strict=True)
    )


def _by_shape(sighted: Sighted, measured: Measured, wanted: Wanted) -> Verdict:
    """Outside if x and y differ so much that no scale mends it; else it can not be told."""
    verdicts: list[Verdict] = []
    for scale in np.linspace(0.94, 1.06, _OTHER_SCALES):
        x, y, skew = measured.best
        scaled = replace(measured, best=(x * scale, y * scale, skew))
        solved = _upright(scaled.solved, wanted)
        verdicts.append(judge(solved, _readings(sighted, scaled), wanted.features, wanted.tolerance))
    if all(verdict.outcome is Outcome.OUTSIDE for verdict in verdicts):
        return min(verdicts, key=lambda verdict: verdict.worst.certain)
    middle = verdicts[len(verdicts) // 2]
    return replace(middle, outcome=Outcome.CANNOT_JUDGE)


def _doubt(sighted: Sighted, measured: Measured, verdict: Verdict) -> Doubt:
    """The largest part of the limits."""
    if abs(verdict.worst.error) > 0.85 * verdict.tolerance:
        return Doubt.EDGE
    uneven = max(sighted.fit.spread.hidden)
    own = max(measured.own[:2])
    scale = max(measured.limits[:2]) - uneven - own
    return max(((scale, 0, Doubt.SCALE), (uneven, 1, Doubt.UNEVEN), (own, 2, Doubt.NOISE)))[2]
