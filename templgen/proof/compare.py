"""One page or part that was read against its drawing: every shape and every line of words."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterator, Sequence

from msgspec import Struct

from templgen.drawing import Drawing
from templgen.proof.difference import Difference, Kind, both
from templgen.proof.leftovers import at, told_leftovers
from templgen.proof.matching import Box, Paired, box_of_shape, in_order, wherever
from templgen.proof.placing import Maps, find_maps, placed_outlines
from templgen.proof.readers.model import IDENTITY, Matrix, Outline, Pen, Words, inverse
from templgen.proof.summary import summed
from templgen.proof.tolerance import PEN_WITHIN
from templgen.proof.wanted import Shape, Wanted, wanted_of
from templgen.proof.whole_file import told_map
from templgen.proof.words import compare_words

__all__ = ["Compared", "compare"]

_LOST_SHARE = 0.25
"""With a larger share of its shapes out of place, a whole file or a layer may have been moved or scaled."""

_CLEARLY = 0.2
"""Share of the shapes that such a move has to explain."""

_LEAST_OF_LAYER = 3


class Compared(Struct, frozen=True):
    """Shapes and lines of words that are as drawn, the greatest deviation of their places in mm, and what
    differs."""

    shapes: int
    words: int
    largest: float
    differences: tuple[Difference, ...]


def compare(
    drawing: Drawing, kind: str, outlines: Sequence[Outline], words: Sequence[Words], within: float
) -> Compared:
    """Compare what a file of the format `kind` holds with the drawing it should hold.

    A printer's correction of the drawing is taken back first, so deviations are those of the drawing.
    """
    wanted = wanted_of(drawing, kind)
    if drawing.correction is not None:
        back = inverse((*drawing.correction.matrix, 0.0, 0.0))
        outlines, words = placed_outlines(outlines, back), [each.moved(back) for each in words]
    told = [_empty(outline) for outline in outlines if not outline.pieces]
    outlines = [outline for outline in outlines if outline.pieces]
    comparing = _Comparing(wanted, kind, within)
    moved = comparing.shapes(outlines, words)
    told += comparing.told
    if moved != IDENTITY:
        words = [each.moved(moved) for each in words]
    by_word = compare_words(wanted.words, words, within)
    told += by_word.differences
    totals = Counter([shape.layer for shape in wanted.shapes] + [text.layer for text in wanted.words])
    found = comparing.paired.found
    largest = max((far for _, _, far in found), default=0.0)
    return Compared(len(found), by_word.found, max(largest, by_word.largest), summed(told, totals))


def _empty(outline: Outline) -> Difference:
    return Difference(Kind.ADDED, "an outline without length", layer=outline.layer)


class _Comparing:
    """The shapes of one drawing; what was found of them, and what there is to tell."""

    def __init__(self, wanted: Wanted, kind: str, within: float) -> None:
        self.wanted = wanted
        self.within = within
        self.told: list[Difference] = []
        self.paired = Paired()
        self._by_pen = kind == "pdf"

    def _group_of_shape(self, shape: Shape) -> Hashable:
        pen = shape.pen
        if self._by_pen and pen is not None:
            return _rounded(pen)
        return shape.layer, pen is not None and pen.filled

    def _group_of_outline(self, outline: Outline) -> Hashable:
        return _rounded(outline.pen) if self._by_pen else (outline.layer, outline.pen.filled)

    def shapes(self, outlines: list[Outline], words: Sequence[Words]) -> Matrix:
        """Find every shape; return the map that takes the file back to where it was drawn."""
        back = IDENTITY
        self.paired = self._in_order(self.wanted.shapes, outlines)
        if self.paired.shapes:
            self.paired = wherever(self.paired, self.within, self._same_group)
        if self._share_lost(self.paired) > _LOST_SHARE:
            maps = find_maps(
                self.wanted.shapes,
                outlines,
                (self.wanted.words, words),
                self._group_of_shape,
                self._group_of_outline,
            )
            found = self._best_map(maps, self.wanted.shapes, outlines)
            if found is not None:
                self.told += told_map(found, self._box(self.wanted.shapes), self.within, "the whole file")
                back = inverse(found)
                self.paired = self._in_order(self.wanted.shapes, placed_outlines(outlines, back))
        if self.paired.shapes or self.paired.outlines:
            self._layers()
            self.paired, told = told_leftovers(self.paired, self.within)
            self.told += told
        self.told += self._pens()
        return back

    def _best_map(self, maps: Maps, shapes: Sequence[Shape], outlines: Sequence[Outline]) -> Matrix | None:
        """Return the map that explains where shapes are; None when leaving them in place does as well.

        A slight map has to bring clearly more shapes exactly to their place.
        """
        best = maps.clear
        least = self._share_lost(self._in_order(shapes, outlines)) - _CLEARLY
        for slight in maps.slight:
            lost = self._share_lost(self._in_order(shapes, placed_outlines(outlines, inverse(slight))))
            if lost < least:
                best, least = slight, lost
        return best

    def _share_lost(self, paired: Paired) -> float:
        """Return the share of the shapes that are not found; every kind of line counts alike."""
        lost = Counter(shape.meaning for shape in paired.shapes)
        found = Counter(shape.meaning for shape, _, _ in paired.found)
        shares = [lost[kind] / (lost[kind] + found[kind]) for kind in {*lost, *found}]
        return sum(shares) / max(len(shares), 1)

    def _same_group(self, shape: Shape, outline: Outline) -> bool:
        return self._group_of_shape(shape) == self._group_of_outline(outline)

    def _in_order(self, shapes: Sequence[Shape], outlines: Sequence[Outline]) -> Paired:
        return in_order(shapes, outlines, self.within, self._group_of_shape, self._group_of_outline)

    def _box(self, shapes: Sequence[Shape]) -> Box:
        lefts, lows, rights, highs = zip(*(box_of_shape(shape) for shape in shapes), strict=True)
        return min(lefts), min(lows), max(rights), max(highs)

    def _layers(self) -> None:
        """Find layers that have been moved or scaled as a whole."""
        groups: dict[Hashable, list[Shape]] = defaultdict(list)
        for shape in self.paired.shapes:
            groups[self._group_of_shape(shape)].append(shape)
        totals = Counter(self._group_of_shape(shape) for shape in self.wanted.shapes)
        for group, shapes in groups.items():
            if len(shapes) < _LEAST_OF_LAYER or len(shapes) <= _LOST_SHARE * totals[group]:
                continue
            mine = [outline for outline in self.paired.outlines if self._group_of_outline(outline) == group]
            found = self._best_map(find_maps(shapes, mine), shapes, mine)
            if found is None:
                continue
            again = self._in_order(shapes, placed_outlines(mine, inverse(found)))
            layer = shapes[0].layer
            subject = (
                f"the layer {layer!r}" if layer else f"every {shapes[0].meaning.value} of one line style"
            )
            self.told += told_map(found, self._box(shapes), self.within, subject, layer)
            self._replace(shapes, mine, again)

    def _replace(self, shapes: list[Shape], outlines: list[Outline], again: Paired) -> None:
        """Put what a second look has found in place of a first one."""
        gone, used = {id(shape) for shape in shapes}, {id(outline) for outline in outlines}
        paired = self.paired
        paired.found += again.found
        paired.shapes = [each for each in paired.shapes if id(each) not in gone] + again.shapes
        paired.outlines = [each for each in paired.outlines if id(each) not in used] + again.outlines

    def _pens(self) -> Iterator[Difference]:
        """Tell shapes that are drawn with another line."""
        alike: dict[tuple[Pen, Pen], str] = {}
        for shape, outline, _ in self.paired.found:
            if shape.pen is None:
                continue
            key = (shape.pen, outline.pen)
            words = alike.get(key)
            if words is None:
                words = alike[key] = _pens_differ(*key)
            if words:
                yield Difference(
                    Kind.STYLE,
                    f"{shape.name} {at(shape.place)} {words}",
                    layer=shape.layer,
                    place=shape.place,
                )


def _rounded(pen: Pen) -> Hashable:
    width = None if pen.width is None else round(pen.width, 3)
    return width, tuple(round(part, 2) for part in pen.dash), pen.filled


def _pens_differ(drawn: Pen, read: Pen) -> str:
    """Return in words how two pens differ; "" when they do not."""
    words = []
    if drawn.filled != read.filled:
        words.append("is filled" if read.filled else "is not filled")
    if (drawn.width is None) != (read.width is None):
        words.append("has no line" if read.width is None else "has a line of its own")
    elif drawn.width is not None and read.width is not None and abs(drawn.width - read.width) > PEN_WITHIN:
        words.append(f"has a line {both(read.width)} wide, not {both(drawn.width)}")
    if len(drawn.dash) != len(read.dash) or any(
        abs(a - b) > PEN_WITHIN for a, b in zip(drawn.dash, read.dash, strict=False)
    ):
        words.append(f"has the dashes {_dashes(read)}, not {_dashes(drawn)}")
    if drawn.ink != read.ink:
        words.append(f"is drawn in {read.ink}, not in black")
    if drawn.cap != read.cap:
        words.append(f"has {read.cap} line ends, which make it longer")
    return " and ".join(words)


def _dashes(pen: Pen) -> str:
    return " ".join(f"{part:.2f}" for part in pen.dash) + " mm" if pen.dash else "none"
