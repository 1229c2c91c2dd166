"""Reads PDF (ISO 32000-1): pikepdf opens the file, its pages are walked with their matrices."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import Any

from templgen.errors import ReadError
from templgen.proof.readers.model import Page
from templgen.proof.readers.pdf_content import Content

__all__ = ["PdfFile", "read_pdf"]

_MM_PER_POINT = 25.4 / 72.0
_BOXES = ("MediaBox", "CropBox", "TrimBox")


@dataclass(frozen=True, slots=True)
class PdfFile:
    """A whole document."""

    pages: tuple[Page, ...]
    title: str
    subject: str
    keywords: str
    print_scaling: str
    bookmarks: tuple[str, ...]


def _stream(page: Any) -> bytes:
    import pikepdf

    if "/Contents" not in page:
        return b""
    contents = page.Contents
    parts = contents if isinstance(contents, pikepdf.Array) else [contents]
    return b"\n".join(part.read_bytes() for part in parts)


def _read_page(page: Any, *, layered: bool) -> Page:
    boxes: dict[str, tuple[float, float, float, float]] = {}
    for name in _BOXES:
        if f"/{name}" in page:
            left, bottom, right, top = (float(value) * _MM_PER_POINT for value in page[f"/{name}"])
            boxes[name] = (left, bottom, right, top)
    if "MediaBox" not in boxes:
        raise ReadError("a page without a MediaBox")
    left, bottom, right, top = boxes["MediaBox"]
    content = Content((_MM_PER_POINT, 0.0, 0.0, _MM_PER_POINT, -left, -bottom))
    content.walk(_stream(page), page.get("/Resources", {}))
    turn, unit = int(page.get("/Rotate", 0)) % 360, float(page.get("/UserUnit", 1))
    if turn:
        content.oddities.append(f"the page is shown turned by {turn} degrees")
    if unit != 1.0:
        content.oddities.append(f"the page has a unit of its own: {unit:g} times a point")
    if layered:
        content.oddities.append("the document has layers, which may be switched off")
    if "/Annots" in page and len(page.Annots):
        content.oddities.append(f"{len(page.Annots)} annotations")
    outlines, words = tuple(content.outlines), tuple(content.words)
    return Page(right - left, top - bottom, outlines, words, boxes, oddities=tuple(content.oddities))


def read_pdf(data: bytes) -> PdfFile:
    """Read a PDF document. Raises ReadError for what is no PDF, or one that is locked or broken."""
    import pikepdf

    try:
        with pikepdf.open(BytesIO(data)) as document:
            return _read(document)
    except pikepdf.PasswordError as error:
        raise ReadError("the PDF is locked with a password") from error
    except (pikepdf.PdfError, ValueError, TypeError, KeyError, AttributeError, RuntimeError) as error:
        # The library names the buffer by its address in memory.
        why = str(error).rpartition("BytesIO object at ")[2].partition(">: ")[2] or str(error)
        raise ReadError(f"not a PDF that can be read: {why}") from error


def _read(document: Any) -> PdfFile:
    info = document.docinfo
    preferences = document.Root.get("/ViewerPreferences", {})
    with document.open_outline() as outline:
        bookmarks = tuple(str(item.title) for item in outline.root)
    layered = len(document.Root.get("/OCProperties", {}).get("/OCGs", [])) > 0
    return PdfFile(
        tuple(_read_page(page, layered=layered) for page in document.pages),
        str(info.get("/Title", "")),
        str(info.get("/Subject", "")),
        str(info.get("/Keywords", "")),
        str(preferences.get("/PrintScaling", "")).removeprefix("/"),
        bookmarks,
    )
