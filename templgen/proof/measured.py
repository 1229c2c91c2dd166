"""Is a print true? Lengths measured on it against the tolerance of the job, with their uncertainty.

The measure of a feature is how far the distance of any two of its points comes out wrong:

    error = |M v| - |v|    for the nominal v from one point to the other

It does not depend on how the paper is laid. It is evaluated for the likeliest stretch and for every corner of
what the readings allow (see `stretch`), so that the truth lies within the limits given here if no reading is
off by more than was said.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.proof.stretch import Reading, Solved, Stretch
from templgen.sheets.proving import Feature

__all__ = ["FeatureError", "Outcome", "Verdict", "judge"]


class Outcome(Enum):
    """What can be said of a print; the value is the words of it."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    CANNOT_JUDGE = "cannot judge"


class FeatureError(Struct, frozen=True):
    """How far a feature comes out wrong, mm; longer is positive.

    Attributes:
        feature: the feature.
        error: of the two points that come out worst by the likeliest stretch.
        low: the least that the readings allow for these two points.
        high: the greatest.
        certain: what some two points are off at least, whatever the readings allow; never below 0.
        most: what no two points are off by more than.
    """

    feature: Feature
    error: float
    low: float
    high: float
    certain: float
    most: float

    @property
    def uncertainty(self) -> float:
        """The larger of the two sides of `error` within its limits, mm."""
        return max(self.high - self.error, self.error - self.low)


class Verdict(Struct, frozen=True):
    """The answer, and what would have made one possible.

    `needed` is the reading error, mm either way, with which these readings would have told; None where they
    do tell, or where the print stands on the tolerance itself and no reading tells.
    """

    outcome: Outcome
    solved: Solved
    readings: tuple[Reading, ...]
    tolerance: float
    errors: tuple[FeatureError, ...]
    needed: float | None = None

    @property
    def may_be_true(self) -> bool:
        """Whether the print is inside the tolerance, or every reading allows its nominal."""
        return self.outcome is Outcome.INSIDE or all(
            abs(each.measured - each.nominal) <= each.off for each in self.readings
        )

    @property
    def worst(self) -> FeatureError:
        """The feature that may be off most."""
        return max(self.errors, key=lambda error: (error.certain, error.most))


def judge(
    solved: Solved, readings: Sequence[Reading], features: Sequence[Feature], tolerance: float
) -> Verdict:
    """Return whether all features of a print are inside the tolerance.

    Args:
        solved: the stretch, seen from a page that stands upright.
        readings: what it came from.
        features: what must come out right; at least one.
        tolerance: how far any two points of a feature may be off, mm.
    """
    errors = tuple(feature_error(solved, feature) for feature in features)
    if all(error.most <= tolerance for error in errors):
        outcome = Outcome.INSIDE
    elif any(error.certain > tolerance for error in errors):
        outcome = Outcome.OUTSIDE
    else:
        outcome = Outcome.CANNOT_JUDGE
    needed = _needed(errors, readings, tolerance) if outcome is Outcome.CANNOT_JUDGE else None
    return Verdict(outcome, solved, tuple(readings), tolerance, errors, needed)


_Numbers = NDArray[np.float64]


def feature_error(solved: Solved, feature: Feature) -> FeatureError:
    """Return how far a feature comes out wrong; `solved` is seen from an upright page."""
    seen = solved.turned() if feature.on_its_side else solved
    pairs = _pairs(feature)
    best = _changes(seen.best, pairs)
    found = np.array([best, *(_changes(corner, pairs) for corner in seen.corners)])
    low, high = found.min(axis=0), found.max(axis=0)
    worst = int(np.argmax(np.abs(best)))
    certain = np.maximum(np.maximum(low, -high), 0.0)
    most = np.maximum(np.abs(low), np.abs(high))
    return FeatureError(
        feature,
        float(best[worst]),
        float(low[worst]),
        float(high[worst]),
        float(certain.max()),
        float(most.max()),
    )


def _pairs(feature: Feature) -> _Numbers:
    """The vectors between all points of a feature."""
    places = np.array([(point.x, point.y) for point in feature.points])
    first, second = np.triu_indices(len(places), k=1)
    vectors: _Numbers = places[second] - places[first]
    return vectors


def _changes(stretch: Stretch, vectors: _Numbers) -> _Numbers:
    """How much longer than nominal each vector is printed, mm."""
    x, y = vectors[:, 0], vectors[:, 1]
    printed = np.sqrt(stretch.xx * x * x + 2.0 * stretch.xy * x * y + stretch.yy * y * y)
    changes: _Numbers = printed - np.hypot(x, y)
    return changes


def _needed(errors: Sequence[FeatureError], readings: Sequence[Reading], tolerance: float) -> float | None:
    """The reading error with which the same readings would tell.

    What the readings leave open grows with the reading error: to first order in proportion. The print must be
    shown to be inside at every feature, or outside at one.
    """
    off = max(each.off for each in readings)
    outside = [
        (abs(each.error) - tolerance) / (abs(each.error) - each.certain)
        for each in errors
        if abs(each.error) > tolerance and abs(each.error) > each.certain
    ]
    if outside:
        share = max(outside)
    else:
        share = min(
            (tolerance - abs(e.error)) / (e.most - abs(e.error)) for e in errors if e.most > tolerance
        )
    return off * share if share > 0.0 else None
