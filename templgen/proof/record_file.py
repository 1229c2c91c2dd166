"""The file of a printer record: TOML that a person can read and, with care, edit.

A record is written whole or not at all, and read with the place of whatever is wrong in it.
"""

from __future__ import annotations

import json
import math
import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli

from templgen.drawing import Correction
from templgen.errors import near_names
from templgen.proof.records import (
    FEEDS,
    PrinterRecord,
    Proof,
    RecordError,
    Taken,
    require_printer,
    too_large,
)
from templgen.proof.stretch import Stretch
from templgen.trade.paper import papers
from templgen.units import format_number

__all__ = [
    "ENVIRONMENT",
    "known_record",
    "read_record",
    "record_text",
    "records_folder",
    "write_record",
]

ENVIRONMENT = "TEMPLGEN_PRINTERS"
_DEFAULT_FOLDER = Path("~", ".templgen", "printers")
_HEAD = """\
# What templgen knows of a printer. Lengths in mm. sx, sy and skew (degrees) are what the printer does to a
# page that stands upright, x across it and y along it. The correction undoes them; its number is that of the
# proof.
"""


def records_folder(given: Path | None, environment: Mapping[str, str]) -> Path:
    """The folder of the records: the given one, else that of the environment, else one in the home folder."""
    if given is not None:
        return given
    named = environment.get(ENVIRONMENT, "").strip()
    return Path(named) if named else _DEFAULT_FOLDER.expanduser()


def read_record(folder: Path, name: str) -> PrinterRecord | None:
    """Return the record of a printer; None where there is none.

    Raises:
        RecordError: the file can not be read or is no record.
    """
    require_printer(name)
    path = folder / f"{name}.toml"
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    except UnicodeDecodeError:
        raise RecordError(f"{path}: not UTF-8 text") from None
    except OSError as error:
        raise RecordError(f"{path}: {error.strerror or error}") from None
    record = _parsed(text, path)
    if record.name != name:
        raise RecordError(f'{path}: it is the record of "{record.name}", not of "{name}"')
    return record


def known_record(folder: Path, name: str) -> PrinterRecord:
    """Return the record of a printer.

    Raises:
        RecordError: there is none; the nearest name is told.
    """
    record = read_record(folder, name)
    if record is not None:
        return record
    names = sorted(path.stem for path in folder.glob("*.toml")) if folder.is_dir() else []
    near = near_names(name, names)
    hint = f"; did you mean {near[0]}?" if near else f"; there are: {', '.join(names)}" if names else ""
    raise RecordError(f"no record of printer {name} in {folder}{hint}")


def write_record(folder: Path, record: PrinterRecord) -> Path:
    """Write a record, whole or not at all, and return where.

    Raises:
        RecordError: it can not be written.
    """
    path = folder / f"{record.name}.toml"
    fresh = path.with_name(f".{path.name}.new")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        fresh.write_text(record_text(record), encoding="utf-8", newline="\n")
        os.replace(fresh, path)
    except OSError as error:
        raise RecordError(f"can not write {path}: {error.strerror or error}") from None
    return path


def record_text(record: PrinterRecord) -> str:
    """The record as its file's text."""
    lines = [
        _HEAD,
        f"name = {_quoted(record.name)}",
        f"paper = {_quoted(record.paper)}",
        f"feed = {_quoted(record.feed)}                # the side along which the printer moves the paper",
    ]
    for proof in record.proofs:
        lines += ["", *_proof_lines(proof)]
    return "\n".join(lines) + "\n"


def _proof_lines(proof: Proof) -> list[str]:
    lines = [
        "[[proof]]",
        f"number = {proof.number}",
        f"date = {_quoted(proof.date)}",
        f"job = {_quoted(proof.job)}",
        f"digest = {_quoted(proof.digest)}",
        f"sheet = {_quoted(proof.sheet)}",
        f"corrected = {proof.corrected}            # number of the correction on this print, 0: none",
        f"read_to = {_number(proof.off)}",
        "readings = [",
        *(_reading_line(taken) for taken in proof.readings),
        "]",
        f"verdict = {_quoted(proof.verdict)}",
    ]
    if proof.printer is None:
        return lines
    factors = proof.printer.correction()
    undone = _undone(factors)
    return [
        *lines,
        *(f"{key} = {format_number(value, 6)}" for key, value in zip(_FACTORS, undone, strict=True)),
    ]


def _reading_line(taken: Taken) -> str:
    measured, nominal = _number(taken.measured), _number(taken.nominal)
    return f"  {{ what = {_quoted(taken.what)}, measured = {measured}, nominal = {nominal} }},"


_FACTORS = ("sx", "sy", "skew")


def _undone(correction: Correction) -> tuple[float, float, float]:
    """The factors and the skew, as Correction defines them, that a correction undoes."""
    a, _, c, d = correction.matrix
    return 1.0 / a, 1.0 / d, math.degrees(math.atan2(-c, a))


def _quoted(text: str) -> str:
    """A basic string of TOML: that of JSON, but for the one control character that JSON lets stand."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _number(value: float) -> str:
    text = format_number(value, 4, trim=True)
    return text if "." in text else f"{text}.0"


def _parsed(text: str, path: Path) -> PrinterRecord:
    try:
        table = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        raise RecordError(_toml_complaint(path, str(error))) from None
    reader = _Reader(path, text)
    proofs = table.get("proof", [])
    if not isinstance(proofs, list) or not all(isinstance(each, dict) for each in proofs):
        raise RecordError(f"{path}: proof is a list of tables, [[proof]]")
    reader.require_keys(table, {"name", "paper", "feed", "proof"}, 0)
    paper, feed = reader.words(table, "paper", 0), reader.words(table, "feed", 0)
    reader.require(paper in papers(), f'no paper "{paper}"; allowed: {", ".join(papers())}', "paper", 0)
    reader.require(feed in FEEDS, f'feed "{feed}"; allowed: "long side", "short side", ""', "feed", 0)
    name = reader.words(table, "name", 0)
    found = tuple(reader.proof(each, number) for number, each in enumerate(proofs, 1))
    return PrinterRecord(name, paper, feed, found)


def _toml_complaint(path: Path, words: str) -> str:
    """tomli tells the place behind its words; it belongs in front."""
    found = re.fullmatch(r"(.*) \(at line (\d+), column (\d+)\)", words)
    return f"{path}:{found[2]}:{found[3]}: {found[1]}" if found else f"{path}: {words}"


class _Reader:
    """Takes values out of a record and says in which line they are wrong."""

    def __init__(self, path: Path, text: str) -> None:
        self.path = path
        self.lines = text.splitlines()

    def _place(self, key: str, proof: int) -> str:
        """file:line:column of a key of the top (0) or of a proof, or of the proof's head."""
        at, head = 0, 0
        for number, line in enumerate(self.lines, 1):
            if re.match(r"\s*\[\[\s*proof\s*\]\]", line):
                at += 1
                head = number if at == proof else head
            elif at == proof and re.match(rf"\s*{re.escape(key)}\s*=", line):
                return f"{self.path}:{number}:{len(line) - len(line.lstrip()) + 1}"
        return f"{self.path}:{head or 1}:1"

    def require(self, holds: bool, complaint: str, key: str, proof: int) -> None:
        if not holds:
            raise RecordError(f"{self._place(key, proof)}: {complaint}")

    def require_keys(self, table: Mapping[str, Any], allowed: set[str], proof: int) -> None:
        for key in table:
            near = near_names(key, sorted(allowed))
            hint = f"; did you mean {near[0]}?" if near else f"; allowed: {', '.join(sorted(allowed))}"
            self.require(key in allowed, f"unknown key {key}{hint}", key, proof)

    def _value(self, table: Mapping[str, Any], key: str, proof: int) -> Any:
        self.require(key in table, f"{key} is missing", key, proof)
        return table[key]

    def words(self, table: Mapping[str, Any], key: str, proof: int) -> str:
        value = self._value(table, key, proof)
        self.require(isinstance(value, str), f"{key} = {value!r}: words are needed", key, proof)
        return str(value)

    def number(self, table: Mapping[str, Any], key: str, proof: int, *, positive: bool = True) -> float:
        value = self._value(table, key, proof)
        is_number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
        self.require(is_number, f"{key} = {value!r}: a number is needed", key, proof)
        self.require(not positive or value > 0, f"{key} = {value!r}: must be above 0", key, proof)
        return float(value)

    def whole(self, table: Mapping[str, Any], key: str, proof: int) -> int:
        value = self._value(table, key, proof)
        is_whole = isinstance(value, int) and not isinstance(value, bool) and value >= 0
        self.require(is_whole, f"{key} = {value!r}: a whole number is needed", key, proof)
        return int(value)

    def proof(self, table: Mapping[str, Any], number: int) -> Proof:
        self.require_keys(table, _PROOF_KEYS, number)
        found = self.whole(table, "number", number)
        self.require(
            found == number, f"number = {found}: this is proof {number} of the file", "number", number
        )
        return Proof(
            number,
            self.words(table, "date", number),
            self.words(table, "job", number),
            self.words(table, "digest", number),
            self.words(table, "sheet", number),
            self.whole(table, "corrected", number),
            self.number(table, "read_to", number),
            self._readings(table, number),
            self.words(table, "verdict", number),
            self._printer(table, number),
        )

    def _readings(self, table: Mapping[str, Any], proof: int) -> tuple[Taken, ...]:
        values = self._value(table, "readings", proof)
        is_list = isinstance(values, list) and all(isinstance(each, dict) for each in values)
        self.require(is_list, "readings is a list of tables", "readings", proof)
        return tuple(
            Taken(
                self.words(each, "what", proof),
                self.number(each, "measured", proof),
                self.number(each, "nominal", proof),
            )
            for each in values
        )

    def _printer(self, table: Mapping[str, Any], proof: int) -> Stretch | None:
        """What the printer does; a correction of more than the largest is refused here too."""
        if not any(key in table for key in _FACTORS):
            return None
        x, y = self.number(table, "sx", proof), self.number(table, "sy", proof)
        printer = Stretch.of(x, y, self.number(table, "skew", proof, positive=False))
        large = too_large(printer.correction())
        self.require(not large, f"{large}: a wrong print setting, not a printer", "sx", proof)
        return printer


_PROOF_KEYS = {
    "number", "date", "job", "digest", "sheet", "corrected", "read_to", "readings", "verdict", *_FACTORS
}  # fmt: skip
