"""The fonts of a PDF page: the characters of their codes, their widths, and whether the file has them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

__all__ = ["Font", "font_of"]


@dataclass(frozen=True, slots=True)
class Font:
    """A font as text is set with it.

    Attributes:
        name: its name without the tag of a subset.
        characters: code -> characters; empty when the font can not be searched.
        widths: code -> advance width in ems.
        code_bytes: bytes that make one code.
        embedded: whether its outlines are in the file.
    """

    name: str
    characters: dict[int, str]
    widths: dict[int, float]
    code_bytes: int
    embedded: bool

    def codes(self, text: bytes) -> list[int]:
        """Return the codes of a string."""
        size = self.code_bytes
        return [int.from_bytes(text[i : i + size], "big") for i in range(0, len(text), size)]


def font_of(font: Any) -> Font:
    """Return a font of the resources of a page (ISO 32000-1, 9.6 and 9.7)."""
    inner = font.DescendantFonts[0] if "/DescendantFonts" in font else font
    name = str(font.get("/BaseFont", "")).removeprefix("/")
    name = name.partition("+")[2] or name
    descriptor = inner.get("/FontDescriptor", {})
    embedded = any(f"/FontFile{tail}" in descriptor for tail in ("", "2", "3"))
    widths: dict[int, float] = {}
    if "/Widths" in font:
        first = int(font.get("/FirstChar", 0))
        widths = {first + i: float(width) / 1000.0 for i, width in enumerate(font.Widths)}
    table = font.ToUnicode.read_bytes().decode("latin-1") if "/ToUnicode" in font else ""
    return Font(name, _characters(table), widths, 1 if inner is font else 2, embedded)


def _characters(table: str) -> dict[int, str]:
    """Return the characters that a ToUnicode table gives codes (ISO 32000-1, 9.10.3)."""
    found: dict[int, str] = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", table, re.S):
        for code, text in re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block):
            found[int(code, 16)] = _utf16(text)
    for block in re.findall(r"beginbfrange(.*?)endbfrange", table, re.S):
        for low, high, inside in re.findall(r"<(\w+)>\s*<(\w+)>\s*(\[[^]]*\]|<\w+>)", block):
            texts = re.findall(r"<(\w+)>", inside)
            for index, code in enumerate(range(int(low, 16), int(high, 16) + 1)):
                if inside.startswith("["):
                    found[code] = _utf16(texts[index])
                else:
                    found[code] = chr(int(texts[0], 16) + index)
    return found


def _utf16(digits: str) -> str:
    return bytes.fromhex(digits).decode("utf-16-be", errors="replace")
