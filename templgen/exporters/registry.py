"""Finds the exporters: every module of this folder with an `EXPORTER`, in the order of their names."""

from __future__ import annotations

import pkgutil
from collections.abc import Mapping
from importlib import import_module
from types import MappingProxyType

import templgen.exporters
from templgen.errors import ExportError
from templgen.exporters.base import Exporter

__all__ = ["EXPORTERS", "find_exporters"]


def find_exporters() -> Mapping[str, Exporter]:
    """Return the exporters by name; ExportError when two modules give the same name."""
    found: dict[str, Exporter] = {}
    for module in sorted(info.name for info in pkgutil.iter_modules(templgen.exporters.__path__)):
        if module == "registry":
            continue
        exporter = getattr(import_module(f"templgen.exporters.{module}"), "EXPORTER", None)
        if exporter is None:
            continue
        if exporter.name in found:
            raise ExportError(f"two exporters are named {exporter.name!r}, the second in {module}.py")
        found[exporter.name] = exporter
    return MappingProxyType(found)


EXPORTERS = find_exporters()
