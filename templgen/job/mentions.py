"""Fasteners and nutplates that are mentioned and not there, wherever they stand in the file.

Sense leaves out tables whose form is wrong; what they mention is looked up here, so that one run tells it
too.
Only a fault of form asks for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from templgen.errors import JobError
from templgen.job.around import mention
from templgen.job.fields import AT_KEY, KEYS_KEY, NOWHERE
from templgen.job.names import Names
from templgen.trade.nutplates import all_nutplates

__all__ = ["mention_faults"]


def mention_faults(tables: Mapping[str, Any], names: Names) -> Iterator[JobError]:
    """Yield the faults of all tables of a job file, sound or not.

    Args:
        tables: the file as written, every table with the places of its keys.
        names: what the job has.
    """
    plates = (*names.nutplate, *dict.fromkeys(each.standard for each in all_nutplates()))
    waiting: list[tuple[str, Any]] = [("", tables)]
    while waiting:
        key, table = waiting.pop()
        if isinstance(table, list):
            waiting += [(key, each) for each in table]
        if not isinstance(table, dict):
            continue
        at, fastener, plate = table.get(KEYS_KEY, {}), table.get("fastener"), table.get("kind")
        if isinstance(fastener, str):
            yield from mention("fastener", fastener, names.fastener, at.get("fastener", NOWHERE))
        if key == "nutplates" and isinstance(plate, str):
            yield from mention("nutplate", plate, plates, at.get("kind", NOWHERE))
        waiting += [(name, each) for name, each in table.items() if name not in (KEYS_KEY, AT_KEY)]
