"""Scanner records: how large the pixels of a scanner are, as measured once with a card or rules in a scan.

A record is a TOML file that a person can read. It holds for one resolution: at another one a scanner moves
its carriage in another way.
"""

from __future__ import annotations

import json
import math
import os
from pathlib import Path

import tomli
from msgspec import Struct

from templgen.proof.records import RecordError, require_printer
from templgen.proof.scan.picture import ScanError
from templgen.proof.scan.scale import PixelSize
from templgen.units import MM_PER_INCH, format_number

__all__ = ["ScannerRecord", "pixel_size_of", "read_scanner", "scanner_text", "write_scanner"]

_HEAD = """\
# What templgen knows of a scanner. dpi is what the scanner says of its files; true_dpi is what was measured,
# along x and y of its glass, and off is how far that may be off, in percent either way.
"""
_KEYS = {"name", "dpi", "true_dpi", "off", "measured_with", "date"}
_SAME_DPI = 0.002
_FARTHEST = 0.03


class ScannerRecord(Struct, frozen=True):
    """What was measured of a scanner.

    Attributes:
        name: its name, which is also the file's.
        dpi: what its files say, along x and y.
        true_dpi: what was measured.
        off: how far that may be off, percent either way.
        measured_with: in words.
        date: as the builder gave it, or empty.
    """

    name: str
    dpi: tuple[float, float]
    true_dpi: tuple[float, float]
    off: tuple[float, float]
    measured_with: str
    date: str = ""


def pixel_size_of(record: ScannerRecord, dpi: tuple[float, float] | None, picture: str) -> PixelSize:
    """Return the size of a pixel by a record.

    Args:
        record: the record.
        dpi: what the file states.
        picture: name of the file, for messages.

    Raises:
        ScanError: the scan was made at another resolution.
    """
    told = f"scanner {record.name} was measured at {record.dpi[0]:g} x {record.dpi[1]:g} dpi"
    if dpi is None:
        raise ScanError(f"{picture}: {told}, and this file does not say at what resolution it was scanned")
    if any(abs(a / b - 1.0) > _SAME_DPI for a, b in zip(dpi, record.dpi, strict=True)):
        raise ScanError(f"{picture}: {told}, this file at {dpi[0]:g} x {dpi[1]:g} dpi; scan it at the former")
    x, y = (MM_PER_INCH / value for value in record.true_dpi)
    u_x, u_y = (off / 100.0 / 2.0 for off in record.off)
    return PixelSize((x, y), (u_x, u_y), (True, True), (f"scanner record {record.name}",))


def scanner_text(record: ScannerRecord) -> str:
    """The record as its file's text."""

    def pair(values: tuple[float, float], places: int) -> str:
        return f"[{', '.join(format_number(value, places) for value in values)}]"

    lines = [
        f"name = {json.dumps(record.name, ensure_ascii=False)}",
        f"dpi = {pair(record.dpi, 2)}",
        f"true_dpi = {pair(record.true_dpi, 4)}",
        f"off = {pair(record.off, 4)}",
        f"measured_with = {json.dumps(record.measured_with, ensure_ascii=False)}",
        f"date = {json.dumps(record.date, ensure_ascii=False)}",
    ]
    return _HEAD + "\n".join(lines) + "\n"


def write_scanner(folder: Path, record: ScannerRecord) -> Path:
    """Write a record, whole or not at all, and return where.

    Raises:
        RecordError: it can not be written, or the name is no file name.
    """
    require_printer(record.name)
    path = folder / f"{record.name}.toml"
    fresh = path.with_name(f".{path.name}.new")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        fresh.write_text(scanner_text(record), encoding="utf-8", newline="\n")
        os.replace(fresh, path)
    except OSError as error:
        raise RecordError(f"can not write {path}: {error.strerror or error}") from None
    return path


def read_scanner(folder: Path, name: str) -> ScannerRecord:
    """Return the record of a scanner.

    Raises:
        RecordError: there is none, or it can not be read.
    """
    require_printer(name)
    path = folder / f"{name}.toml"
    try:
        table = tomli.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        names = sorted(each.stem for each in folder.glob("*.toml")) if folder.is_dir() else []
        known = f"; there are: {', '.join(names)}" if names else ""
        raise RecordError(f"no record of scanner {name} in {folder}{known}") from None
    except (OSError, UnicodeDecodeError, tomli.TOMLDecodeError) as error:
        raise RecordError(f"{path}: {error}") from None
    return _record(table, path)


def _record(table: dict[str, object], path: Path) -> ScannerRecord:
    for key in table.keys() ^ _KEYS:
        raise RecordError(f"{path}: {'unknown key' if key in table else 'missing key'} {key}")
    words = [table[key] for key in ("name", "measured_with", "date")]
    if not all(isinstance(each, str) for each in words):
        raise RecordError(f"{path}: name, measured_with and date are words")
    dpi, true, off = (_pair(table, key, path) for key in ("dpi", "true_dpi", "off"))
    for stated, found in zip(dpi, true, strict=True):
        if abs(found / stated - 1.0) > _FARTHEST:
            raise RecordError(
                f"{path}: true_dpi {found:g} is over {100 * _FARTHEST:.0f} % off dpi {stated:g}"
            )
    name, measured_with, date = (str(each) for each in words)
    return ScannerRecord(name, dpi, true, off, measured_with, date)


def _pair(table: dict[str, object], key: str, path: Path) -> tuple[float, float]:
    value = table[key]
    if isinstance(value, list) and len(value) == 2:
        numbers = [each for each in value if isinstance(each, int | float) and not isinstance(each, bool)]
        if len(numbers) == 2 and all(math.isfinite(each) and each > 0 for each in numbers):
            return float(numbers[0]), float(numbers[1])
    raise RecordError(f"{path}: {key} = {value!r}: two numbers above 0 are needed, along x and y")
