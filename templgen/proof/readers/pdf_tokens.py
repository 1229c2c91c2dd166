"""The words of a PDF content stream (ISO 32000-1, 7.8.2): operands as Python values, then their operator."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TypeAlias

from templgen.errors import ReadError

__all__ = ["Name", "Operand", "steps"]


class Name(str):
    """A name such as /F1, without its slash."""

    __slots__ = ()


Operand: TypeAlias = "float | bytes | Name | list[Operand]"

_TOKEN = re.compile(
    rb"""%[^\r\n]*
    | (?P<number>[-+]?(?:\d+\.?\d*|\.\d+))(?=[\s\[\]()<>/%]|$)
    | (?P<operator>[A-Za-z'"][A-Za-z0-9*'"]*)
    | /(?P<name>[^\s\[\]()<>{}/%]*)
    | \((?P<text>(?:[^()\\]|\\.|\((?:[^()\\]|\\.)*\))*)\)
    | (?P<open><<|\[) | (?P<close>>>|\])
    | <(?P<hex>[0-9A-Fa-f\s]*)>
    | \s+
    | (?P<other>.)
    """,
    re.VERBOSE | re.DOTALL,
)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|.)", re.DOTALL)
_SIGNS = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


def _unescaped(text: bytes) -> bytes:
    def sign(match: re.Match[bytes]) -> bytes:
        inside = match[1]
        if inside[:1].isdigit():
            return bytes([int(inside, 8) & 0xFF])
        return b"" if inside in (b"\n", b"\r", b"\r\n") else _SIGNS.get(inside, inside)

    return _ESCAPE.sub(sign, text) if b"\\" in text else text


def steps(stream: bytes) -> Iterator[tuple[str, list[Operand]]]:
    """Yield each operator with its operands, in order; ReadError for what is no content stream."""
    operands: list[Operand] = []
    nested: list[list[Operand]] = []
    for match in _TOKEN.finditer(stream):
        kind = match.lastgroup
        if kind == "number":
            operands.append(float(match[0]))
        elif kind == "operator":
            yield match[0].decode("latin-1"), operands
            operands = []
        elif kind == "text":
            operands.append(_unescaped(match["text"]))
        elif kind == "name":
            operands.append(Name(match["name"].decode("latin-1")))
        elif kind == "hex":
            digits = re.sub(rb"\s", b"", match["hex"])
            operands.append(bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode()))
        elif kind == "open":
            nested.append(operands)
            operands = []
        elif kind == "close":
            operands, inside = (nested.pop() if nested else []), operands
            operands.append(inside)
        elif kind == "other":
            raise ReadError(f"the sign {match[0]!r} in the page's content")
    if nested or operands:
        raise ReadError("the page's content is cut off")
