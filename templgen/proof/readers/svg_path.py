"""The path data of SVG 1.1, chapter 8.3: every letter, absolute or relative, arcs by annex F.6."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import lru_cache
from typing import TypeAlias

from templgen.errors import ReadError
from templgen.proof.readers.model import (
    Bezier,
    Bow,
    Matrix,
    Piece,
    Point,
    Straight,
    apply,
    inverse,
    times,
)

__all__ = ["NUMBER", "Chain", "Step", "absolute_steps", "chains", "letters", "numbers"]

Chain: TypeAlias = tuple[list[Piece], bool]
"""Pieces, and whether they return to where they began."""

Step: TypeAlias = tuple[str, tuple[float, ...]]
"""One of M, L, C, Q, A, Z with its numbers, all places absolute."""

NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_NUMBER = re.compile(NUMBER)
_LETTER = re.compile(r"([MmLlHhVvCcSsQqTtAaZz])([^MmLlHhVvCcSsQqTtAaZz]*)")
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "A": 7, "Q": 4, "T": 2, "C": 6, "S": 4, "Z": 0}
# Flags of arcs may stand without a space before what follows (SVG 1.1, 8.3.9).
_ARC = re.compile(
    rf"({NUMBER})[\s,]*({NUMBER})[\s,]*({NUMBER})[\s,]*([01])[\s,]*([01])[\s,]*({NUMBER})[\s,]*({NUMBER})"
)
_PLACED = re.compile(rf"\s*({NUMBER})[\s,]+({NUMBER})\s*(.*)", re.S)


def numbers(text: str) -> list[float]:
    """Return the numbers of a list; ReadError when anything else stands between them."""
    if _NUMBER.sub("", text).strip(" ,\t\r\n"):
        raise ReadError(f"{text[:40]!r} is no list of numbers")
    return [float(word) for word in _NUMBER.findall(text)]


def _arguments(letter: str, inside: str) -> list[tuple[float, ...]]:
    kind = letter.upper()
    if kind == "A":
        if _ARC.sub("", inside).strip(" ,\t\r\n"):
            raise ReadError(f"path letter {letter!r} with {inside[:40]!r}")
        return [tuple(float(word) for word in found) for found in _ARC.findall(inside)]
    values, count = numbers(inside), _COUNT[kind]
    if (len(values) % count if count else len(values)) or (count and not values):
        raise ReadError(f"path letter {letter!r} with {len(values)} numbers")
    return [tuple(values[i : i + count]) for i in range(0, len(values) or 1, count or 1)]


class _Walk:
    """Turns letters into steps with absolute places."""

    def __init__(self) -> None:
        self.here: Point = (0.0, 0.0)
        self.first: Point = (0.0, 0.0)
        self.control: tuple[str, Point] = ("", (0.0, 0.0))  # the last one, for S and T

    def step(self, kind: str, values: tuple[float, ...], relative: bool) -> Step:
        x0, y0 = self.here if relative else (0.0, 0.0)
        if kind == "Z":
            self.here = self.first
            return "Z", ()
        if kind == "H":
            return self._to("L", (x0 + values[0], self.here[1]))
        if kind == "V":
            return self._to("L", (self.here[0], y0 + values[0]))
        if kind == "A":
            return self._to("A", *values[:5], x0 + values[5], y0 + values[6])
        places = [value + (y0 if index % 2 else x0) for index, value in enumerate(values)]
        if kind in "ST":
            curve = "C" if kind == "S" else "Q"
            return self._to(curve, *self._mirrored_control(curve), *places)
        return self._to(kind, *places)

    def _mirrored_control(self, curve: str) -> Point:
        letter, (x, y) = self.control
        return (2 * self.here[0] - x, 2 * self.here[1] - y) if letter == curve else self.here

    def _to(self, kind: str, *values: float | Point) -> Step:
        flat = tuple(float(v) for value in values for v in (value if isinstance(value, tuple) else (value,)))
        self.control = (kind, (flat[-4], flat[-3])) if kind in "CQ" else ("", (0.0, 0.0))
        self.here = (flat[-2], flat[-1])
        if kind == "M":
            self.first = self.here
        return kind, flat


def absolute_steps(path: str) -> Iterator[Step]:
    """Yield the steps of a path one by one, all places absolute; ReadError for what is no path."""
    if path.strip() and path.lstrip()[0] not in "Mm":
        raise ReadError(f"a path begins with {path.lstrip()[:10]!r}")
    walk = _Walk()
    for letter, inside in _LETTER.findall(path):
        kind = letter.upper()
        for index, values in enumerate(_arguments(letter, inside)):
            # Pairs after the first of a moveto are lines (SVG 1.1, 8.3.2).
            yield walk.step("L" if kind == "M" and index else kind, values, letter.islower())


def chains(path: str, matrix: Matrix) -> list[Chain]:
    """Return the chains of a path after a matrix; a chain without pieces leaves no mark and is left out."""
    found: list[Chain] = []
    here = first = (0.0, 0.0)
    pieces: list[Piece] = []
    for kind, values in absolute_steps(path):
        if kind == "Z":
            if here != first:
                pieces.append(_piece("L", first, here, first, matrix))
            found.append((pieces, True))
            pieces, here = [], first
            continue
        end = (values[-2], values[-1])
        if kind == "M":
            found.append((pieces, False))
            pieces, first = [], end
        elif kind != "A" or here != end:  # an arc without length is left out (SVG 1.1, F.6.2)
            pieces.append(_piece(kind, values, here, end, matrix))
        here = end
    found.append((pieces, False))
    return [chain for chain in found if chain[0]]


def _piece(kind: str, values: tuple[float, ...], here: Point, end: Point, matrix: Matrix) -> Piece:
    if kind == "L" or (kind == "A" and not (values[0] and values[1])):
        return Straight(apply(matrix, here), apply(matrix, end))
    if kind == "A":
        return _bow(here, values, end, matrix)
    (x0, y0), (x1, y1) = here, end
    if kind == "Q":  # a quadratic curve raised to a cubic one
        cx, cy = values[0], values[1]
        first = (x0 + 2 / 3 * (cx - x0), y0 + 2 / 3 * (cy - y0))
        second = (x1 + 2 / 3 * (cx - x1), y1 + 2 / 3 * (cy - y1))
    else:
        first, second = (values[0], values[1]), (values[2], values[3])
    return Bezier(apply(matrix, here), apply(matrix, first), apply(matrix, second), apply(matrix, end))


def _bow(start: Point, values: tuple[float, ...], end: Point, matrix: Matrix) -> Bow:
    """SVG 1.1 F.6.5: from the ends to the centre; F.6.6 grows a radius that is too small."""
    rx, ry, large, positive = abs(values[0]), abs(values[1]), values[3] != 0.0, values[4] != 0.0
    if rx != ry:
        turn, stretch = math.radians(values[2]), rx / ry
        across = (math.cos(turn), math.sin(turn))
        inner: Matrix = (stretch * across[0], stretch * across[1], -across[1], across[0], 0.0, 0.0)
        back = inverse(inner)
        start, end, matrix = apply(back, start), apply(back, end), times(inner, matrix)
    half = ((start[0] - end[0]) / 2, (start[1] - end[1]) / 2)
    chord = math.hypot(*half)
    radius = max(ry, chord)
    factor = math.sqrt(max(0.0, radius * radius - chord * chord)) / chord
    if large == positive:
        factor = -factor
    centre = (
        (start[0] + end[0]) / 2 + factor * half[1],
        (start[1] + end[1]) / 2 - factor * half[0],
    )
    first = math.degrees(math.atan2(start[1] - centre[1], start[0] - centre[0]))
    last = math.degrees(math.atan2(end[1] - centre[1], end[0] - centre[0]))
    sweep = (last - first) % 360.0 if positive else -((first - last) % 360.0)
    return Bow(centre, radius, first, sweep, matrix)


def letters(path: str) -> list[tuple[float, float, str]] | None:
    """Cut a path into parts, each with its own place (x, y) and steps relative to it.

    Words are many; written this way, equal letters have equal steps and need to be looked at once only.
    None when the path is written in another way.
    """
    found = []
    for part in path.split("M")[1:]:
        match = _PLACED.fullmatch(part)
        if match is None or not _is_relative(match[3]):
            return None
        found.append((float(match[1]), float(match[2]), match[3]))
    return found


@lru_cache(maxsize=4096)
def _is_relative(steps: str) -> bool:
    return re.search(r"[A-DF-Z]", steps) is None
