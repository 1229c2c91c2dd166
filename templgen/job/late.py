"""Tables whose model is loaded when a job first has one.

pydantic takes longer to build the tables of an opening than the program takes to judge a mast, and most jobs
have none of them.
"""

from __future__ import annotations

import importlib
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any

from pydantic_core import core_schema

if TYPE_CHECKING:
    from pydantic import TypeAdapter, ValidationInfo
    from pydantic.annotated_handlers import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic.json_schema import JsonSchemaValue

    from templgen.job.fields import Node

__all__ = ["Late", "late_dict", "late_list"]


class Late:
    """Stands beside a key in the model: what its value is, by the names of the module and the class."""

    def __init__(self, module: str, table: str, holder: type[list[Any]] | type[dict[str, Any]]) -> None:
        self.module, self.table, self.holder = module, table, holder

    @cached_property
    def node(self) -> type[Node]:
        """The model of one table; its module is loaded now."""
        found: type[Node] = getattr(importlib.import_module(self.module), self.table)
        return found

    @cached_property
    def _adapter(self) -> TypeAdapter[Any]:
        from pydantic import TypeAdapter

        held: Any = dict[str, self.node] if self.holder is dict else list[self.node]  # type: ignore[name-defined]
        return TypeAdapter(held)

    def _validated(self, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, self.holder) and not value:
            return value
        return self._adapter.validate_python(value, context=info.context, by_alias=True, by_name=False)

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """What pydantic asks: how the value is checked."""
        return core_schema.with_info_plain_validator_function(self._validated)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """What pydantic asks for the JSON Schema: the whole table."""
        return handler(self._adapter.core_schema)


def late_list(module: str, table: str) -> Any:
    """Return the type of a key with a list of tables, [[key]]."""
    return Annotated[list[Any], Late(module, table, list)]


def late_dict(module: str, table: str) -> Any:
    """Return the type of a key with tables by name, [key.NAME]."""
    return Annotated[dict[str, Any], Late(module, table, dict)]
