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
    rb"""[^\s\[\]()<>/%{}]+
    | \((?:[^()\\]|\\.|\((?:[^()\\]|\\.)*\))*\)
    | /[^\s\[\]()<>/%{}]*
    | << | >> | <[0-9A-Fa-f\s]*>
    | %[^\r\n]*
    | \S
    """,
    re.VERBOSE | re.DOTALL,
)
_NUMERIC = frozenset(b"+-.0123456789")
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
    for token in _TOKEN.findall(stream):
        first = token[0]
        if first in _NUMERIC:
            try:
                operands.append(float(token))
            except ValueError as error:
                raise ReadError(f"the number {token.decode('latin-1')!r} in the page's content") from error
        elif first in b"[<>]" and token in (b"[", b"<<"):
            nested.append(operands)
            operands = []
        elif first in b"[<>]" and token in (b"]", b">>"):
            inside, operands = operands, (nested.pop() if nested else [])
            operands.append(inside)
        elif first in b"(</":
            operands.append(_word(token))
        elif first in b"){}>":
            raise ReadError(f"the sign {chr(first)!r} in the page's content")
        elif first != ord("%"):
            yield token.decode("latin-1"), operands
            operands = []
    if nested or operands:
        raise ReadError("the page's content is cut off")


def _word(token: bytes) -> Operand:
    """Return a name, a string in brackets or one in hexadecimal digits."""
    if token.startswith(b"/"):
        return Name(token[1:].decode("latin-1"))
    if len(token) < 2:
        raise ReadError("a string without an end in the page's content")
    if token.startswith(b"("):
        return _unescaped(token[1:-1])
    digits = re.sub(rb"\s", b"", token[1:-1])
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode())
