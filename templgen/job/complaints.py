"""Plain words for what is wrong with the form of a job file.

pydantic finds every fault with the path to it; here each becomes one line: what was given, what is allowed,
the nearest name. Where a table or a key stands comes from the reader.
"""

from __future__ import annotations

import re
import typing
from collections.abc import Callable, Mapping
from typing import Annotated, Any, Literal

from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from templgen.errors import JobError, Location, UnitError
from templgen.job.features import WIDEST_TAGS
from templgen.job.fields import Node
from templgen.job.late import Late
from templgen.job.model import Job
from templgen.job.names import NAMED_TABLES
from templgen.job.wording import shown
from templgen.shapes.names import nearest
from templgen.trade.drills import nearest_drill_names

__all__ = ["Path", "complaint", "key_words", "nearest_drills", "place_words", "table_words"]

Path = tuple[str | int, ...]
Find = Callable[[Path], Location]

_MOST_NAMES = 14
_NEEDED: dict[str, str] = {
    "string_type": "a text in quotes is needed",
    "int_type": "a whole number is needed",
    "int_from_float": "a whole number is needed",
    "int_parsing_size": "a whole number is needed",
    "float_type": "a number is needed",
    "finite_number": "a finite number is needed",
    "bool_type": "true or false is needed, without quotes",
    "list_type": "a list in [ ] is needed",
    "tuple_type": "a point [x, y] is needed",
    "model_type": "a table { key = value } is needed",
    "dict_type": "a table { key = value } is needed",
}
_LIMITS: dict[str, tuple[str, str]] = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}


def complaint(error: ErrorDetails, data: Any, find: Find) -> JobError:
    """One fault of form as a line for the builder.

    Args:
        error: one entry of pydantic's list of faults, validated against `Job`.
        data: the tables of the file, to name things as the builder named them.
        find: where a path of keys and places stands in the file.
    """
    path = _real_path(error["loc"])
    kind = error["type"]
    if kind == "missing":
        return _missing(path, data, find)
    if kind == "extra_forbidden":
        return _unknown_key(path, data, find)
    given = _dig(data, path)
    message, hint = _wrong_value(kind, error, path, error.get("input") if given is None else given)
    return JobError(f"{place_words(path, data)}{message}", at=find(path), hint=hint)


def table_words(path: Path, data: Any) -> str:
    """A table in the builder's words: `structure "rib 7"`, `[skin]`, `fastener "plate"`, `the job`.

    >>> table_words(("structure", 0), {"structure": [{"name": "rib 7"}]})
    'structure "rib 7"'
    >>> table_words(("skin",), {}), table_words((), {})
    ('[skin]', 'the job')
    """
    if not path:
        return "the job"
    head = str(path[0])
    if head in NAMED_TABLES and len(path) > 1:
        label, rest = f"{head} {shown(path[1])}", path[2:]
    elif len(path) > 1 and isinstance(path[1], int):
        label, rest = f"{head} {_given_name(data, head, path[1])}", path[2:]
    else:
        label, rest = f"[{head}]", path[1:]
    return f"{label}, {dotted(rest)}" if rest else label


def place_words(path: Path, data: Any) -> str:
    """A key in the builder's words, followed by " = " or ": ", to stand before what is wrong with it."""
    if not path:
        return ""
    depth = len(path)
    table = 2 if depth > 2 and (isinstance(path[1], int) or path[0] in NAMED_TABLES) else 1
    if depth <= table:
        return f"{dotted(path)} = "
    return f"{table_words(path[:table], data)}: {dotted(path[table:])} = "


def dotted(path: Path) -> str:
    """Keys with dots, places in a list counted from 1.

    >>> dotted(("flange", "holes", 0, "fastener"))
    'flange.holes[1].fastener'
    """
    text = ""
    for part in path:
        text += (
            f"[{part + 1}]" if isinstance(part, int) else f".{key_words(part)}" if text else key_words(part)
        )
    return text


def keys_of(node: type[Node]) -> dict[str, FieldInfo]:
    """The keys that a table may have, as written in the file, in the order of the model."""
    keys = {field.alias or name: field for name, field in node.model_fields.items()}
    return {key: field for key, field in keys.items() if not key.startswith("__")}


def _missing(path: Path, data: Any, find: Find) -> JobError:
    table, key = path[:-1], str(path[-1])
    node = _node_at(table)
    field = keys_of(node).get(key) if node else None
    meaning = f": {field.description}" if field is not None and field.description else ""
    example = (field.examples or [None])[0] if field is not None else None
    hint = None
    if example is not None:
        hint = f"write {example}" if str(example).startswith("a table") else f"for example {key} = {example}"
    return JobError(f"{table_words(table, data)} needs {key}{meaning}", at=find(table), hint=hint)


def _unknown_key(path: Path, data: Any, find: Find) -> JobError:
    table, key = path[:-1], str(path[-1])
    node = _node_at(table)
    allowed = list(keys_of(node)) if node else []
    like = nearest(key.replace("-", "_"), allowed)
    if like is not None:
        hint = f"nearest: {like}"
    elif table and key in keys_of(Job):
        hint = f"{key} belongs to the job itself: put it above the first [table]"
    else:
        given = _dig(data, table)
        free = [name for name in allowed if not isinstance(given, dict) or name not in given]
        hint = _allowed(free or allowed) + (" besides those that are given" if free and given else "")
    return JobError(f"{table_words(table, data)} has no key {key_words(key)}", at=find(path), hint=hint)


def _wrong_value(kind: str, error: ErrorDetails, path: Path, value: Any) -> tuple[str, str | None]:
    """What was given (as written) and what is allowed, and a hint."""
    limits = error.get("ctx", {})
    if kind == "value_error":
        cause = limits.get("error")
        if not isinstance(cause, UnitError):
            return f"{shown(value)}: {cause}", None
        return str(cause), nearest_drills(value, str(cause))
    if kind in ("literal_error", "union_tag_invalid"):
        return _wrong_choice(value, path)
    if kind in _LIMITS:
        name, words = _LIMITS[kind]
        return f"{shown(value)}: {words} {limits.get(name):g} is needed", None
    if kind in ("too_short", "too_long"):
        words = (
            f"at least {limits.get('min_length')}"
            if kind == "too_short"
            else f"at most {limits.get('max_length')}"
        )
        return f"{shown(value)}: {words} needed in this list", None
    return f"{shown(value)}: {_NEEDED.get(kind, 'this can not stand here')}", _type_hint(kind, value, path)


def nearest_drills(value: Any, complaint: str) -> str | None:
    """The hint for what might be the name of a drill there is not."""
    if "drill name such as" not in complaint or not isinstance(value, str):
        return None
    names = nearest_drill_names(value)
    return f"nearest drills: {', '.join(names)}" if names else None


def _type_hint(kind: str, value: Any, path: Path) -> str | None:
    if kind == "list_type" and isinstance(value, dict):
        key = path[-1] if path else ""
        return (
            f"write [[{key}]] with two brackets, there may be several"
            if len(path) == 1
            else "put [ ] round it"
        )
    if kind == "list_type" and isinstance(value, str):
        return _list_hint(value, path)
    if kind == "int_type" and isinstance(value, str) and (numbers := _numbers_in(value)):
        return f"write {numbers}"
    if kind == "string_type" and isinstance(value, int | float) and not isinstance(value, bool):
        return f'write "{shown(value)}"'
    if kind in ("model_type", "dict_type") and isinstance(value, list) and len(path) == 1:
        return f"write [{path[-1]}] with one bracket, there is only one"
    return None


def _list_hint(value: str, path: Path) -> str | None:
    """What to write for a text where a list is needed: the text in brackets, or the numbers in it."""
    node = _node_at(path[:-1])
    field = keys_of(node).get(str(path[-1])) if node and path else None
    items = _list_items(field.annotation) if field is not None else None
    if items is int:
        numbers = _numbers_in(value)
        return f"write [{numbers}]" if numbers else None
    return f"write [{shown(value)}]" if items is str else None


def _numbers_in(text: str) -> str:
    """The whole numbers of a text as they stand in a list; "" where it has none, or others."""
    return ", ".join(re.findall(r"[0-9]+", text)) if not re.search(r"[0-9][.,/][0-9]|-[0-9]", text) else ""


def _list_items(annotation: Any) -> Any:
    """What stands in the list that an annotation asks for, None where it asks for none."""
    if typing.get_origin(annotation) is Annotated:
        return _list_items(typing.get_args(annotation)[0])
    if typing.get_origin(annotation) is list:
        item = typing.get_args(annotation)[0]
        return typing.get_args(item)[0] if typing.get_origin(item) is Annotated else item
    found = (_list_items(inner) for inner in typing.get_args(annotation))
    return next((items for items in found if items is not None), None)


def _wrong_choice(value: Any, path: Path) -> tuple[str, str | None]:
    node = _node_at(path[:-1])
    field = keys_of(node).get(str(path[-1])) if node and path else None
    choices = _choices(field.annotation) if field is not None else []
    message = f"{shown(value)}: allowed: {', '.join(shown(choice) for choice in choices)}"
    near = _equally_near(value, [str(choice) for choice in choices]) if isinstance(value, str) else []
    like = [choice for choice in choices if str(choice) in near]
    if _takes_shape(field):
        message += ", or a shape { shape = ... }"
    return message, f"nearest: {' or '.join(map(shown, like))}" if like else None


def _equally_near(value: str, choices: list[str]) -> list[str]:
    """The choice nearest to a word, and those that are the same word but for a sign in front."""
    like = nearest(value, choices)
    return [each for each in choices if like and each.lstrip("+-") == like.lstrip("+-")]


def _takes_shape(field: FieldInfo | None) -> bool:
    return field is not None and _node_of(field) is not None


def _choices(annotation: Any) -> list[str | int]:
    if typing.get_origin(annotation) is Literal:
        return list(typing.get_args(annotation))
    return [choice for inner in typing.get_args(annotation) for choice in _choices(inner)]


def _node_at(path: Path) -> type[Node] | None:
    """The model of the table at a path, None where the model knows no table there."""
    node: type[Node] | None = Job
    for place, part in enumerate(path):
        if isinstance(part, int) or node is None or (place == 1 and path[0] in NAMED_TABLES):
            continue
        field = keys_of(node).get(part)
        node = _node_of(field) if field is not None else None
    return node


def _node_of(field: FieldInfo) -> type[Node] | None:
    """The model of the table that a key holds, also of one that is loaded late."""
    late = next((each for each in field.metadata if isinstance(each, Late)), None)
    return late.node if late is not None else _inner_node(field.annotation)


def _inner_node(annotation: Any) -> type[Node] | None:
    if isinstance(annotation, type) and issubclass(annotation, Node):
        return annotation
    found = (_inner_node(inner) for inner in typing.get_args(annotation))
    return next((node for node in found if node is not None), None)


def _real_path(loc: tuple[str | int, ...]) -> Path:
    """The path without the name that pydantic gives to the branch of a choice; only `widest` has one."""
    real: list[str | int] = []
    behind_choice = False
    for part in loc:
        is_branch = behind_choice and part in WIDEST_TAGS
        behind_choice = part == "widest" and not is_branch
        if not is_branch:
            real.append(part)
    return tuple(real)


def _dig(data: Any, path: Path) -> Any:
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _given_name(data: Any, head: str, place: int) -> str:
    table = _dig(data, (head, place))
    name = table.get("name") if isinstance(table, Mapping) else None
    return shown(name) if isinstance(name, str) else f"number {place + 1}"


def key_words(key: str) -> str:
    plain = key.isascii() and key.replace("-", "").replace("_", "").isalnum()
    return key if plain and len(key) <= 60 else shown(key)


def _allowed(names: list[str]) -> str:
    if not names:
        return "nothing may stand here"
    tail = ", ..." if len(names) > _MOST_NAMES else ""
    return f"allowed: {', '.join(names[:_MOST_NAMES])}{tail}"
