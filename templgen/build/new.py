"""Starter jobs, and the measuring sheet that goes with a mast."""

from __future__ import annotations

from pathlib import Path

from templgen.errors import FolderError

__all__ = ["starter_text", "write_starter"]

_WITH_MEASURING_SHEET = ("mast",)


def starter_text(kind: str) -> str:
    """Return a commented starter job. Raises TemplgenError naming the kinds there are."""
    from templgen.job.starters import starter

    return starter(kind)


def write_starter(kind: str, target: Path, *, paper: str = "letter") -> tuple[Path, ...]:
    """Write a starter job to `target`, and for a mast its measuring sheet (PDF) beside it.

    Nothing that is there is overwritten: raises FolderError. Returns the files written.
    """
    files = {target: starter_text(kind).encode()}
    if kind in _WITH_MEASURING_SHEET:
        files[target.with_name(f"{target.stem}-measuring-sheet.pdf")] = _measuring_pdf(paper)
    for path in files:
        if path.exists():
            raise FolderError(f"{path} is there already; give another name with --to")
    for path, content in files.items():
        try:
            path.write_bytes(content)
        except OSError as error:
            raise FolderError(f"can not write {path}: {error.strerror or error}") from error
    return tuple(files)


def _measuring_pdf(paper: str) -> bytes:
    from templgen.build.readback import Written, prove
    from templgen.exporters.pdf import pdf_bytes
    from templgen.sheets import measuring_sheet
    from templgen.trade.paper import find_paper

    drawings = tuple(sheet.drawing for sheet in measuring_sheet(find_paper(paper), "in"))
    data = pdf_bytes(drawings)
    prove([Written("the measuring sheet", "pdf", data, drawings)])
    return data
