"""Previews, and the plain word where they can not be made."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from templgen.errors import ExportError
from templgen.exporters.png import PreviewUnavailable, png_bytes


def test_without_libcairo_a_preview_is_refused_in_plain_words(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "cairosvg.py").write_text("raise OSError('no library called \"cairo-2\" was found')\n")
    for name in [name for name in sys.modules if name.partition(".")[0] == "cairosvg"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.syspath_prepend(str(tmp_path))
    with pytest.raises(PreviewUnavailable, match="libcairo is not installed"):
        png_bytes(b"<svg/>")


def test_it_is_an_export_error() -> None:
    assert issubclass(PreviewUnavailable, ExportError)
