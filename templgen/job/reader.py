"""Read a job file: values by tomli, places in the text by tree-sitter, every fault in one run.

This is the only door to tree-sitter. Its columns count bytes; everything here counts characters from 1.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path as FilePath
from typing import Any

import tomli
import tree_sitter_toml
from msgspec import Struct
from pydantic import ValidationError
from tree_sitter import Language, Parser
from tree_sitter import Node as TreeNode

from templgen.errors import JobError, JobFaults, Location, ShapeError
from templgen.job.around import Around
from templgen.job.complaints import Path, complaint, key_words
from templgen.job.fields import AT_KEY, KEYS_KEY, Node
from templgen.job.hardware import HARDWARE_FILE, Hardware, stray_keys
from templgen.job.model import Job
from templgen.job.names import NAMED_TABLES, gather_names, name_faults
from templgen.job.sense import sense_faults
from templgen.job.shape_values import library_for
from templgen.job.syntax import syntax_faults
from templgen.job.text import read_text
from templgen.shapes import ShapeLibrary
from templgen.units import Unit

__all__ = ["read_job", "read_job_text"]

DEEPEST = 16
"""Tables and lists within each other; a job file needs six."""


def read_job(path: str | FilePath) -> Job:
    """Read a job file.

    Args:
        path: the file; a folder named `shapes` beside it adds the builder's own shapes, a file named
            `hardware.toml` the builder's own fasteners and nutplates.

    Raises:
        JobFaults: every fault of the file, each with file:line:column; also where there is no such file.
    """
    name, content, text = read_text(path)
    try:
        library = library_for(path)
    except ShapeError as error:
        raise JobFaults([JobError(f"own shapes: {error}", at=Location(name, 1, 1))]) from None
    beside = FilePath(path).with_name(HARDWARE_FILE)
    hardware = read_text(beside) if beside.is_file() else None
    digest = hashlib.sha256(content if hardware is None else content + hardware[1])
    return _read(text, name, digest.hexdigest(), library, hardware and (hardware[2], hardware[0]))


def read_job_text(text: str, name: str = "<text>", library: ShapeLibrary | None = None) -> Job:
    """Read a job that stands in a text.

    Args:
        text: the whole job file.
        name: the file named in complaints.
        library: the shapes it may use; those that ship with the program unless given.

    Raises:
        JobFaults: every fault of the text.
    """
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return _read(text, name, digest, library or ShapeLibrary.standard())


def _read(
    text: str, name: str, digest: str, library: ShapeLibrary, hardware: tuple[str, str] | None = None
) -> Job:
    """Read a job, and what its hardware table (text and name) adds; what the job gives itself goes before."""
    of_file = {"__file__": FilePath(name).name, "__digest__": digest[:12]}
    main = _load(Job, text, name, of_file)
    extra = None if hardware is None else _load(Hardware, *hardware)
    marked = main.marked
    for kind in NAMED_TABLES if extra is not None else ():
        marked = marked | {kind: {**_table(extra, kind), **_table(main, kind)}}
    names = gather_names(marked)
    faults = [*main.faults, *name_faults(main.marked)]
    for each in (main, extra) if extra is not None else (main,):
        faults += sense_faults(each.sound, Around(names, library, each.unit))
    if main.faults:
        from templgen.job.mentions import mention_faults  # only a fault of form asks for it

        faults += mention_faults(main.marked, names)
    faults += extra.faults if extra is not None else []
    job = main.value
    if not isinstance(job, Job) or faults:
        raise JobFaults({(fault.at, fault.message): fault for fault in faults}.values())
    if extra is None or not isinstance(extra.value, Hardware):
        return job
    own = {kind: {**getattr(extra.value, kind), **getattr(job, kind)} for kind in NAMED_TABLES}
    return job.model_copy(update=own)


class _Loaded(Struct, frozen=True):
    """A file against its model: its value (None where the form is wrong), tables, sound tables, faults."""

    value: Node | None
    marked: dict[str, Any]
    sound: list[Node]
    unit: Unit
    faults: list[JobError]


def _load(model: type[Node], text: str, name: str, of_file: Mapping[str, str] | None = None) -> _Loaded:
    text = text.replace("\r\n", "\n")
    tables = _tables(text, name)
    if not tables and model is Job:
        raise JobFaults([_empty(text, name)])
    places = Places(text, name)
    faults = list(stray_keys(tables, places.find)) if model is Hardware else []
    marked = _marked(tables, (), places, faults) | dict(of_file or {})
    if faults and model is Hardware:
        return _Loaded(None, marked, [], "in", faults)
    unit: Unit = "mm" if tables.get("unit") == "mm" else "in"
    sound: list[Node] = []
    value = None
    try:
        context = {"unit": unit, "sound": sound}
        value = model.model_validate(marked, context=context, by_alias=True, by_name=False)
    except ValidationError as error:
        found = error.errors(include_url=False)
        faults += [complaint(each, tables, places.find) for each in found]
    return _Loaded(value, marked, sound, unit, faults)


def _empty(text: str, name: str) -> JobError:
    words = "holds comments only" if text.strip() else "is empty"
    return JobError(f'the file {words}; start with "templgen new"', at=Location(name, 1, 1))


def _table(loaded: _Loaded | None, kind: str) -> dict[str, Any]:
    table = loaded.marked.get(kind) if loaded is not None else None
    return table if isinstance(table, dict) else {}


def _tables(text: str, name: str) -> dict[str, Any]:
    try:
        tables = tomli.loads(text)
    except ValueError as error:
        raise JobFaults(syntax_faults(error, text, name)) from None
    except RecursionError:
        raise JobFaults([_too_deep(text, name)]) from None
    if _depth_exceeds(tables, DEEPEST):
        raise JobFaults([_too_deep(text, name)])
    return tables


def _depth_exceeds(value: Any, most: int) -> bool:
    level = [value]
    for _ in range(most):
        inner = [list(each.values()) if isinstance(each, dict) else each for each in level]
        level = [item for items in inner for item in items if isinstance(item, dict | list)]
        if not level:
            return False
    return True


def _too_deep(text: str, name: str) -> JobError:
    message = f"tables and lists stand more than {DEEPEST} deep within each other; a job needs six at most"
    return JobError(message, at=Places(text, name).deepest)


def _marked(value: Any, path: Path, places: Places, faults: list[JobError]) -> Any:
    """A copy in which every table knows where it and its keys stand."""
    if isinstance(value, list):
        return [_marked(item, (*path, place), places, faults) for place, item in enumerate(value)]
    if not isinstance(value, dict):
        return value
    reserved = [key for key in value if key.startswith("__")]
    for key in reserved:
        faults.append(
            JobError(f"no key begins with two underscores: {key_words(key)}", at=places.find((*path, key)))
        )
    copy = {
        key: _marked(item, (*path, key), places, faults) for key, item in value.items() if key not in reserved
    }
    if len(path) == 1 and path[0] in NAMED_TABLES:
        return copy
    return copy | {AT_KEY: places.find(path), KEYS_KEY: {key: places.find((*path, key)) for key in value}}


class Places:
    """Where every key and every item of a list stands: a key at its name, the rest at its first sign."""

    def __init__(self, text: str, name: str) -> None:
        self._name = name
        self._lines = text.encode("utf-8", "replace").split(b"\n")
        self._at: dict[Path, tuple[int, int]] = {}
        self._counts: dict[Path, int] = {}
        self.deepest = Location(name, 1, 1)
        root = _parser().parse(text.encode("utf-8", "replace")).root_node
        self._walk(root)

    def find(self, path: Path) -> Location:
        """Where a path stands; what has no place of its own stands where its table does."""
        while path and path not in self._at:
            path = path[:-1]
        row, column = self._at.get(path, (0, 0))
        return self._location(row, column)

    def _location(self, row: int, column: int) -> Location:
        line = self._lines[row] if row < len(self._lines) else b""
        return Location(self._name, row + 1, len(line[:column].decode("utf-8", "replace")) + 1)

    def _walk(self, root: TreeNode) -> None:
        """Visit what is named in the tree, without recursion: a file may be nested as deep as it likes."""
        waiting: list[tuple[TreeNode, Path, int]] = [(root, (), 0)]
        while waiting:
            node, path, depth = waiting.pop()
            if depth == DEEPEST + 1:
                self.deepest = self._location(*node.start_point)
            if depth > DEEPEST:
                continue
            waiting += reversed([(child, under, depth + 1) for child, under in self._children(node, path)])

    def _children(self, node: TreeNode, path: Path) -> Iterator[tuple[TreeNode, Path]]:
        kind = node.type
        if kind in ("table", "table_array_element"):
            path = self._header(node, kind == "table_array_element")
        if kind in ("document", "table", "table_array_element", "inline_table"):
            yield from self._pairs(node, path)
        if kind == "document":
            yield from ((child, ()) for child in node.children if child.type.startswith("table"))
        if kind == "array":
            items = [child for child in node.named_children if child.type != "comment"]
            for place, item in enumerate(items):
                self._at.setdefault((*path, place), item.start_point)
                yield item, (*path, place)

    def _pairs(self, node: TreeNode, path: Path) -> Iterator[tuple[TreeNode, Path]]:
        for pair in node.named_children:
            if pair.type != "pair" or len(pair.children) < 3:
                continue
            at = path
            for key, start in _key_parts(pair.children[0]):
                at = (*at, key)
                self._at.setdefault(at, start)
            yield pair.children[2], at

    def _header(self, node: TreeNode, is_list: bool) -> Path:
        """The path that a [table] or [[table]] opens; a list of tables counts its own."""
        path: Path = ()
        parts = _key_parts(node.children[1]) if len(node.children) > 1 else []
        for key, _ in parts:
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
            path = (*path, key)
            self._at.setdefault(path, node.start_point)
        if is_list:
            self._counts[path] = self._counts.get(path, 0) + 1
            path = (*path, self._counts[path] - 1)
        self._at[path] = node.start_point
        return path


def _key_parts(node: TreeNode) -> list[tuple[str, tuple[int, int]]]:
    """The parts of a key, plain, quoted or with dots, and where each begins."""
    parts: list[tuple[str, tuple[int, int]]] = []
    waiting = [node]
    while waiting:
        part = waiting.pop()
        if part.type == "dotted_key":
            waiting += reversed(part.named_children)
        elif part.type in ("bare_key", "quoted_key"):
            parts.append((_key_text(part.text or b""), part.start_point))
    return parts


def _key_text(source: bytes) -> str:
    text = source.decode("utf-8", "replace")
    if text[:1] not in "\"'":
        return text
    try:
        return next(iter(tomli.loads(f"{text} = 0")))
    except tomli.TOMLDecodeError:
        return text


@cache
def _parser() -> Parser:
    return Parser(Language(tree_sitter_toml.language()))
