"""A module with an `EXPORTER` is found by being there; a name given twice is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

import templgen.exporters
from templgen.errors import ExportError
from templgen.exporters.registry import EXPORTERS, find_exporters

NEW = """
from templgen.exporters.base import Exporter
EXPORTER = Exporter(name={name!r}, suffix=".txt", reads="table", paper=False, write=lambda table: b"")
"""


def drop_in(monkeypatch: pytest.MonkeyPatch, folder: Path, module: str, name: str) -> None:
    (folder / f"{module}.py").write_text(NEW.format(name=name), encoding="utf-8")
    monkeypatch.setattr(templgen.exporters, "__path__", [*templgen.exporters.__path__, str(folder)])


def test_the_formats_that_ship() -> None:
    assert list(EXPORTERS) == ["dxf", "pdf", "png", "svg", "csv"]
    assert {exporter.suffix for exporter in EXPORTERS.values()} == {".dxf", ".pdf", ".png", ".svg", ".csv"}


def test_a_new_module_is_found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    drop_in(monkeypatch, tmp_path, "contract_new", "new")
    assert set(find_exporters()) == {*EXPORTERS, "new"}


def test_a_name_given_twice_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    drop_in(monkeypatch, tmp_path, "contract_twin", "svg")
    with pytest.raises(ExportError, match="two exporters are named 'svg'"):
        find_exporters()
