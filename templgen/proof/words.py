"""The words of a file against those of the drawing: as one set, and each in its place, size and letters."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Hashable, Iterator, Sequence

from msgspec import Struct, field

from templgen.geometry import Vec
from templgen.proof.difference import Difference, Kind, both
from templgen.proof.letters import letters_deviation
from templgen.proof.readers.model import Words
from templgen.proof.wanted import CUT_LAYERS, WantedWords

__all__ = ["WordsCompared", "compare_words"]

_ROUNDED_WIDTH = 0.0006  # ems: a PDF gives widths in whole thousandths of the em
_BLACK = "#000000"
_LONGEST = 40
_SAME_SPOT = 1.0  # mm: other words as near as this stand in place of those that were drawn


class WordsCompared(Struct):
    """Lines of words that are as drawn, the greatest deviation of their places, and what differs."""

    found: int = 0
    largest: float = 0.0
    differences: list[Difference] = field(default_factory=list)


def compare_words(wanted: Sequence[WantedWords], read: Sequence[Words], within: float) -> WordsCompared:
    """Compare all words of a page or a part."""
    compared = WordsCompared()
    pairs, missing, added = _paired(wanted, read, within)
    for drawn, there in pairs:
        told = list(_told(drawn, there, within))
        if told:
            compared.differences += told
        else:
            compared.found += 1
            compared.largest = max(compared.largest, _deviation(drawn, there))
    compared.differences += _exchanged(missing, added)
    compared.differences += [_missing(drawn) for drawn in missing]
    compared.differences += [_added(there) for there in added]
    return compared


def _paired(
    wanted: Sequence[WantedWords], read: Sequence[Words], within: float
) -> tuple[list[tuple[WantedWords, Words]], list[WantedWords], list[Words]]:
    """Pair equal texts: those in place first, then each with the nearest that is left."""
    queues: dict[Hashable, list[Words]] = defaultdict(list)
    for words in read:
        queues[words.text].append(words)
    pairs: list[tuple[WantedWords, Words]] = []
    rest: list[WantedWords] = []
    for drawn in wanted:
        queue = queues[drawn.text]
        # The words of a file come in the order of the drawing, so the first is nearly always the one.
        place = next((i for i, words in enumerate(queue) if _deviation(drawn, words) <= within), None)
        if place is None:
            rest.append(drawn)
        else:
            pairs.append((drawn, queue.pop(place)))
    missing: list[WantedWords] = []
    for drawn in rest:
        queue = queues[drawn.text]
        if queue:
            near = min(range(len(queue)), key=lambda i: math.dist(queue[i].at, (drawn.at.x, drawn.at.y)))
            pairs.append((drawn, queue.pop(near)))
        else:
            missing.append(drawn)
    return pairs, missing, [words for queue in queues.values() for words in queue]


def _deviation(drawn: WantedWords, there: Words) -> float:
    """Return how far the start, the end or the height of a line of words is from its place, in mm."""
    dx, dy = there.at[0] - drawn.at.x, there.at[1] - drawn.at.y
    ax, ay = there.along[0] - drawn.along[0], there.along[1] - drawn.along[1]
    ux, uy = there.up[0] - drawn.up[0], there.up[1] - drawn.up[1]
    wide, high = drawn.wide, drawn.high
    return max(
        math.hypot(dx, dy),
        math.hypot(dx + ax * wide, dy + ay * wide),
        math.hypot(dx + ux * high, dy + uy * high),
    )


def _short(text: str) -> str:
    return f"“{text}”" if len(text) <= _LONGEST else f"“{text[: _LONGEST - 3]}...”"


def _told(drawn: WantedWords, there: Words, within: float) -> Iterator[Difference]:
    """Tell what is different about words that are there."""
    name, layer = f"the words {_short(drawn.text)}", drawn.layer
    if there.layer != drawn.layer:
        yield _other_layer(drawn, there)
    if there.anchor != drawn.anchor:
        words = f"{name} stand by another point: {there.anchor}, not {drawn.anchor}"
        yield Difference(Kind.WORDS, words, layer=layer, place=drawn.at)
    if _deviation(drawn, there) > within:
        yield _moved(name, drawn, there, within)
    if there.ink != _BLACK:
        yield Difference(Kind.STYLE, f"{name} are not black but {there.ink}", layer=layer, place=drawn.at)
    if drawn.font and there.font != drawn.font:
        words = f"{name} are set in {there.font or 'a font without a name'}, not in {drawn.font}"
        yield Difference(Kind.WORDS, words, layer=layer, place=drawn.at)
    size = math.hypot(*drawn.along)
    if there.run is not None and abs(there.run - drawn.wide * size) > _ROUNDED_WIDTH * size * len(drawn.text):
        off = abs(there.run - drawn.wide * size)
        words = f"{name} run {both(there.run)}, not {both(drawn.wide * size)}"
        yield Difference(Kind.WORDS, words, off, layer, place=drawn.at)
    if drawn.outlined:
        off = letters_deviation(there.steps, drawn.text, drawn.bold) * size
        if off > within:
            how = f"by {both(off)}" if math.isfinite(off) else "altogether"
            words = f"the letters of {_short(drawn.text)} have another form {how}"
            yield Difference(Kind.WORDS, words, layer=layer, place=drawn.at)


def _other_layer(drawn: WantedWords, there: Words) -> Difference:
    warning = ": a machine would cut them" if there.layer in CUT_LAYERS else ""
    words = (
        f"the words {_short(drawn.text)} lie on the layer {there.layer!r}, not on {drawn.layer!r}{warning}"
    )
    return Difference(Kind.LAYER, words, layer=drawn.layer, to=there.layer, place=drawn.at)


def _moved(name: str, drawn: WantedWords, there: Words, within: float) -> Difference:
    far = math.dist(there.at, (drawn.at.x, drawn.at.y))
    mirrored = there.along[0] * there.up[1] - there.along[1] * there.up[0] < 0.0
    ratio = math.hypot(*there.along) / math.hypot(*drawn.along)
    turn = math.remainder(there.angle - math.degrees(math.atan2(drawn.along[1], drawn.along[0])), 360.0)
    words = []
    if mirrored:
        words.append("are mirrored")
    elif abs(math.radians(turn)) * drawn.wide * math.hypot(*drawn.along) > within:
        words.append(f"are turned by {turn:.3f} degrees")
    if abs(ratio - 1.0) * drawn.wide * math.hypot(*drawn.along) > within:
        words.append(f"are set {ratio:.4f} times as large")
    if far > within or not words:
        words.append(f"moved {both(far or _deviation(drawn, there))}")
    return Difference(Kind.WORDS, f"{name} {' and '.join(words)}", far, drawn.layer, place=drawn.at)


def _exchanged(missing: list[WantedWords], added: list[Words]) -> list[Difference]:
    """Tell words that stand where others were drawn, and take both from the lists."""
    told = []
    for drawn in list(missing):
        place = (drawn.at.x, drawn.at.y)
        near = min(added, key=lambda words: math.dist(words.at, place), default=None)
        if near is None or math.dist(near.at, place) > _SAME_SPOT:
            continue
        words = f"the words {_short(near.text)} stand in place of {_short(drawn.text)}"
        told.append(Difference(Kind.WORDS, words, layer=drawn.layer, place=drawn.at))
        missing.remove(drawn)
        added.remove(near)
    return told


def _missing(drawn: WantedWords) -> Difference:
    words = f"the words {_short(drawn.text)} are missing"
    return Difference(Kind.MISSING, words, layer=drawn.layer, place=drawn.at)


def _added(there: Words) -> Difference:
    where = f" on the layer {there.layer!r}" if there.layer else ""
    warning = ": a machine would cut them" if there.layer in CUT_LAYERS else ""
    words = f"the words {_short(there.text)} are there that were not drawn{where}{warning}"
    return Difference(Kind.ADDED, words, layer=there.layer, place=Vec(*there.at))
