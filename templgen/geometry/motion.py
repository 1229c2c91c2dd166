"""Rigid motions of the plane: move, turn, mirror. There is no scaling."""

from __future__ import annotations

from msgspec import Struct

from templgen.geometry.vector import ORIGIN, Vec, cos_sin

__all__ = ["Motion"]


class Motion(Struct, frozen=True):
    """A rigid motion: first y -> -y when mirrored, then a turn, then a shift.

    Attributes:
        cos: Cosine of the turn.
        sin: Sine of the turn.
        shift: The shift in mm.
        is_mirrored: Whether left and right change places.
    """

    cos: float
    sin: float
    shift: Vec
    is_mirrored: bool = False

    @classmethod
    def identity(cls) -> Motion:
        """Return the motion that leaves everything where it is."""
        return cls(1.0, 0.0, ORIGIN)

    @classmethod
    def translation(cls, shift: Vec) -> Motion:
        """Return the motion that moves every point by ``shift`` mm."""
        return cls(1.0, 0.0, shift)

    @classmethod
    def rotation(cls, degrees: float, about: Vec = ORIGIN) -> Motion:
        """Return the counter-clockwise turn by ``degrees`` about a point.

        >>> Motion.rotation(90).apply(Vec(1, 0))
        Vec(x=0.0, y=1.0)
        """
        cosine, sine = cos_sin(degrees)
        return cls(cosine, sine, about - about.turned(degrees))

    @classmethod
    def mirror_x(cls) -> Motion:
        """Return the mirror image in the y axis (x -> -x)."""
        return cls(-1.0, 0.0, ORIGIN, True)

    @classmethod
    def mirror(cls, point: Vec, direction: Vec) -> Motion:
        """Return the mirror image in the line through ``point`` along ``direction``."""
        along = direction.unit()
        cosine, sine = along.x * along.x - along.y * along.y, 2 * along.x * along.y
        turned = cls(cosine, sine, ORIGIN, True)
        return cls(cosine, sine, point - turned.apply(point), True)

    def then(self, other: Motion) -> Motion:
        """Return the motion that does this one first and ``other`` after it."""
        sine = -self.sin if other.is_mirrored else self.sin
        return Motion(
            other.cos * self.cos - other.sin * sine,
            other.sin * self.cos + other.cos * sine,
            other.apply(self.shift),
            self.is_mirrored != other.is_mirrored,
        )

    def inverse(self) -> Motion:
        """Return the motion that undoes this one."""
        sine = self.sin if self.is_mirrored else -self.sin
        turned = Motion(self.cos, sine, ORIGIN, self.is_mirrored)
        return Motion(self.cos, sine, -turned.apply(self.shift), self.is_mirrored)

    @property
    def angle(self) -> float:
        """The turn in degrees, in (-180, 180]."""
        return Vec(self.cos, self.sin).angle

    def apply(self, point: Vec) -> Vec:
        """Return where a point goes."""
        return self.apply_direction(point) + self.shift

    def apply_direction(self, direction: Vec) -> Vec:
        """Return where a direction goes: turned and mirrored, not shifted."""
        y = -direction.y if self.is_mirrored else direction.y
        return Vec(self.cos * direction.x - self.sin * y, self.sin * direction.x + self.cos * y)

    def apply_angle(self, degrees: float) -> float:
        """Return the angle a direction has afterwards, in degrees in [0, 360)."""
        turned = self.angle + (-degrees if self.is_mirrored else degrees)
        return turned % 360.0
