"""A point or a direction in the plane."""

from __future__ import annotations

import math

from msgspec import Struct

from templgen.errors import GeometryError

__all__ = ["ORIGIN", "Vec", "cos_sin"]

_QUARTER_TURNS = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))


def cos_sin(degrees: float) -> tuple[float, float]:
    """Return cosine and sine of an angle in degrees, exact at whole quarter turns.

    >>> cos_sin(90)
    (0.0, 1.0)
    """
    turns, rest = divmod(degrees, 90.0)
    if rest == 0.0:
        return _QUARTER_TURNS[int(turns) % 4]
    radians = math.radians(degrees)
    return math.cos(radians), math.sin(radians)


class Vec(Struct, frozen=True):
    """A point (mm) or a direction; x to the right, y up.

    >>> Vec(3, 4).length
    5.0
    """

    x: float
    y: float

    @classmethod
    def polar(cls, radius: float, degrees: float) -> Vec:
        """Return the vector of length ``radius`` at ``degrees`` counter-clockwise from +x."""
        cosine, sine = cos_sin(degrees)
        return cls(radius * cosine, radius * sine)

    def __add__(self, other: Vec) -> Vec:
        return Vec(self.x + other.x, self.y + other.y)

    def __sub__(self, other: Vec) -> Vec:
        return Vec(self.x - other.x, self.y - other.y)

    def __mul__(self, factor: float) -> Vec:
        return Vec(self.x * factor, self.y * factor)

    __rmul__ = __mul__

    def __truediv__(self, divisor: float) -> Vec:
        return Vec(self.x / divisor, self.y / divisor)

    def __neg__(self) -> Vec:
        return Vec(-self.x, -self.y)

    def __str__(self) -> str:
        return f"({self.x:.4f}, {self.y:.4f}) mm"

    def dot(self, other: Vec) -> float:
        """Return the scalar product."""
        return self.x * other.x + self.y * other.y

    def cross(self, other: Vec) -> float:
        """Return the z part of the vector product; positive when ``other`` is to the left."""
        return self.x * other.y - self.y * other.x

    @property
    def length(self) -> float:
        """Length in mm."""
        return math.hypot(self.x, self.y)

    @property
    def angle(self) -> float:
        """Angle from +x in degrees, in (-180, 180]."""
        return math.degrees(math.atan2(self.y, self.x))

    @property
    def is_finite(self) -> bool:
        """Whether neither number is NaN or infinite."""
        return math.isfinite(self.x) and math.isfinite(self.y)

    def unit(self) -> Vec:
        """Return the vector of length 1 in this direction; GeometryError for the zero vector."""
        length = self.length
        if not 0.0 < length < math.inf:
            raise GeometryError(f"a vector of length {length:g} mm has no direction")
        return Vec(self.x / length, self.y / length)

    def perp(self) -> Vec:
        """Return the vector turned 90 degrees counter-clockwise."""
        return Vec(-self.y, self.x)

    def turned(self, degrees: float) -> Vec:
        """Return the vector turned counter-clockwise by ``degrees``."""
        cosine, sine = cos_sin(degrees)
        return Vec(cosine * self.x - sine * self.y, sine * self.x + cosine * self.y)

    def distance_to(self, other: Vec) -> float:
        """Return the distance between two points in mm."""
        return math.hypot(self.x - other.x, self.y - other.y)

    def towards(self, other: Vec, t: float) -> Vec:
        """Return the point at fraction ``t`` of the way to ``other``."""
        return Vec(self.x + (other.x - self.x) * t, self.y + (other.y - self.y) * t)


ORIGIN = Vec(0.0, 0.0)
