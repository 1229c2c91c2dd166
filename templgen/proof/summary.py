"""Many differences of one sort in few lines: a layer that is lost is one fact, not one per hole."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from templgen.proof.difference import Difference, Kind, both

__all__ = ["summed"]

_MOST = 6
"""So many of one sort are told one by one; of more, the largest few and the count."""

_SHOWN = 3


def summed(differences: Iterable[Difference], totals: Mapping[str, int]) -> tuple[Difference, ...]:
    """Return the differences, with long rows of one sort on one layer put together.

    `totals` counts the shapes and words that the drawing has on each layer.
    """
    rows: dict[tuple[Kind, str, str], list[Difference]] = defaultdict(list)
    for difference in differences:
        rows[difference.kind, difference.layer, difference.to].append(difference)
    told: list[Difference] = []
    for (kind, layer, to), row in rows.items():
        whole = bool(layer) and len(row) == totals.get(layer)
        if kind is Kind.MISSING and whole:
            told.append(Difference(kind, f"the layer {layer!r} is lost: {_marks(row)}", layer=layer))
        elif kind is Kind.LAYER and whole:
            words = f"the layer {layer!r} has become {to!r}: {_marks(row)}"
            told.append(Difference(kind, words, layer=layer, to=to))
        else:
            told += _shortened(row)
    return tuple(told)


def _marks(row: Sequence[Difference]) -> str:
    return f"{len(row)} {'mark' if len(row) == 1 else 'marks'}"


def _shortened(row: list[Difference]) -> list[Difference]:
    if len(row) <= _MOST:
        return row
    by_size = sorted(row, key=lambda each: -(each.size or 0.0))
    shown, rest = by_size[:_SHOWN], by_size[_SHOWN:]
    first = rest[0]
    where = f" on the layer {first.layer!r}" if first.layer else ""
    size = f", by up to {both(first.size)}" if first.size else ""
    words = f"{len(rest)} more of this sort ({first.kind.value}){where}{size}"
    return [*shown, Difference(first.kind, words, first.size, first.layer, first.to, page=first.page)]
