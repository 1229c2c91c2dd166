"""Words of a complaint: how a value of the job file is repeated in one line."""

from __future__ import annotations

import datetime
import json
from typing import Any

__all__ = ["shown"]

_LONGEST = 60


def shown(value: Any) -> str:
    """A value as it might stand in the file, in one line, cut short where it is long.

    >>> shown("rib\\n7"), shown(True), shown([1, 2])
    ('"rib\\\\n7"', 'true', '[1, 2]')
    """
    text = _text(value)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, dict):
        return "{ ... }" if value else "{ }"
    if isinstance(value, list | tuple):
        inner = ", ".join("..." if isinstance(item, list | dict) else _text(item) for item in value[:12])
        return f"[{inner}]" if len(value) <= 12 else f"[{inner}, ...]"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, int) and abs(value) >= 10**18:
        return "a number of very many digits"
    return str(value)


def _quoted(value: str) -> str:
    plain = json.dumps(value[: 2 * _LONGEST], ensure_ascii=False)
    return "".join(char if char.isprintable() else f"\\u{ord(char):04x}" for char in plain)
