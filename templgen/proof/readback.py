"""Read-back: a written file is read by code that shares nothing with its writer, and compared.

Compared are all lines, circles and outlines by place, size and kind; the layer (SVG, DXF), line width, dashes
and colour (SVG, PDF); all words by place, size and layer, in an SVG letter by letter; the size of the page
and its boxes, the unit, and what the file says about itself. Not compared are the outlines of the font that
is embedded in a PDF, bookmarks, and the colours and widths of the layers of a DXF file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from templgen.drawing import Drawing
from templgen.errors import ReadBackError
from templgen.proof.compare import Compared, compare
from templgen.proof.difference import Difference, Kind, ReadBack, both
from templgen.proof.readers.dxf import Part, read_dxf
from templgen.proof.readers.model import Matrix, Page
from templgen.proof.readers.pdf import PdfFile, read_pdf
from templgen.proof.readers.svg import read_svg
from templgen.proof.tolerance import WITHIN

__all__ = ["compare_dxf", "compare_pdf", "compare_svg", "read_back"]

_MILLIMETRES = 4
# $INSUNITS of the DXF reference: what the numbers of the file count, in mm.
_DXF_UNITS: dict[int, tuple[str, float]] = {
    1: ("inches", 25.4),
    2: ("feet", 304.8),
    4: ("millimetres", 1.0),
    5: ("centimetres", 10.0),
    6: ("metres", 1000.0),
    8: ("microinches", 25.4e-6),
    9: ("mils", 0.0254),
    10: ("yards", 914.4),
    13: ("microns", 0.001),
    14: ("decimetres", 100.0),
}


def read_back(kind: str, data: bytes, drawings: Drawing | Sequence[Drawing]) -> ReadBack:
    """Read a file of the format `kind` ("svg", "pdf", "dxf") and compare it with what it should hold.

    A PDF is compared with its pages in order, the others with one drawing. Raises ReadError when the file
    can not be read, and ReadBackError for a format that has no reader.
    """
    pages = (drawings,) if isinstance(drawings, Drawing) else tuple(drawings)
    if kind == "pdf":
        return compare_pdf(read_pdf(data), pages)
    if len(pages) != 1:
        raise ReadBackError(f"{len(pages)} drawings for one {kind} file")
    if kind == "svg":
        return compare_svg(read_svg(data), pages[0])
    if kind == "dxf":
        return compare_dxf(read_dxf(data), pages[0])
    raise ReadBackError(f"a file of the format {kind!r} can not be read back")


def compare_svg(page: Page, drawing: Drawing) -> ReadBack:
    """Compare an SVG page with its drawing."""
    told = list(_about(drawing, page.title, page.about))
    if page.unit != "mm":
        unit = f"in {page.unit}" if page.unit else "without a unit: numbers count as pixels of 1/96 in"
        told.append(Difference(Kind.UNITS, f"the size of the page is given {unit}, not in mm"))
    told += _page_size(page, drawing)
    compared = compare(drawing, "svg", page.outlines, page.words, WITHIN["svg"])
    return _result([compared], [*told, *_oddities(page.oddities)])


def compare_pdf(document: PdfFile, drawings: Sequence[Drawing]) -> ReadBack:
    """Compare the pages of a PDF with their drawings, in order."""
    told = list(_about(drawings[0], document.title, f"{document.subject}; {document.keywords}"))
    if document.print_scaling != "None":
        words = "the document does not ask to be printed without scaling (PrintScaling None)"
        told.append(Difference(Kind.PAGE, words))
    if len(document.pages) != len(drawings):
        words = f"the document has {len(document.pages)} pages, not {len(drawings)}"
        told.append(Difference(Kind.PAGE, words))
    compared, by_page = [], []
    for page, drawing in zip(document.pages, drawings, strict=False):
        each = compare(drawing, "pdf", page.outlines, page.words, WITHIN["pdf"])
        by_page.append(
            [*_page_size(page, drawing), *_boxes(page), *_oddities(page.oddities), *each.differences]
        )
        compared.append(replace(each, differences=()))
    return _result(compared, [*told, *_over_pages(by_page)])


def _over_pages(by_page: Sequence[Sequence[Difference]]) -> Iterator[Difference]:
    """Yield the differences with their pages; what is the same on every page, as a whole, is told once."""
    rows: dict[tuple[Kind, str], list[Difference]] = {}
    for number, differences in enumerate(by_page, 1):
        for difference in differences:
            key = (difference.kind, difference.message.partition(":")[0])
            rows.setdefault(key, []).append(replace(difference, page=number))
    for row in rows.values():
        if len(by_page) > 1 and [each.page for each in row] == list(range(1, len(by_page) + 1)):
            worst = max(row, key=lambda each: each.size or 0.0)
            yield replace(worst, page=0, message=f"every page: {worst.message}")
        else:
            yield from row


def compare_dxf(part: Part, drawing: Drawing) -> ReadBack:
    """Compare a DXF file with its drawing; its numbers count what its header says, or else millimetres."""
    title, *about = (*part.comments, "")
    told = list(_about(drawing, title.removeprefix("templgen: "), "; ".join(about)))
    name, factor = _DXF_UNITS.get(part.units, ("", 1.0))
    if part.units != _MILLIMETRES:
        said = f"counts in {name}" if name else "does not say its unit; its numbers are taken for millimetres"
        told.append(Difference(Kind.UNITS, f"the file {said}, not in millimetres ($INSUNITS {part.units})"))
    elif part.measurement != 1:
        told.append(Difference(Kind.UNITS, "the file asks for inch line types and hatches ($MEASUREMENT 0)"))
    outlines, words = part.outlines, part.words
    if factor != 1.0:
        scale: Matrix = (factor, 0.0, 0.0, factor, 0.0, 0.0)
        outlines = tuple(outline.moved(scale) for outline in outlines)
        words = tuple(text.moved(scale) for text in words)
    compared = compare(drawing, "dxf", outlines, words, WITHIN["dxf"])
    return _result([compared], [*told, *_oddities(part.oddities)])


def _result(compared: Sequence[Compared], told: Sequence[Difference]) -> ReadBack:
    return ReadBack(
        sum(each.shapes for each in compared),
        sum(each.words for each in compared),
        max((each.largest for each in compared), default=0.0),
        (*told, *(difference for each in compared for difference in each.differences)),
    )


def _oddities(oddities: Sequence[str]) -> Iterator[Difference]:
    counts = {oddity: oddities.count(oddity) for oddity in dict.fromkeys(oddities)}
    for oddity, count in counts.items():
        times = f" ({count} times)" if count > 1 else ""
        yield Difference(Kind.UNREAD, f"not as drawn: {oddity}{times}")


def _about(drawing: Drawing, title: str, about: str) -> Iterator[Difference]:
    """Compare what a file says about itself."""
    info = drawing.info
    lines = {line.strip() for line in about.split(";")}
    digests = [line.removeprefix("digest: ") for line in lines if line.startswith("digest: ")]
    if digests and info.digest not in digests:
        words = f"the file is of the digest {digests[0]}, the job is {info.digest}"
        yield Difference(Kind.DIGEST, f"{words}: it was made from another state of the job")
    if title != info.title:
        said = f"its title is {title!r}, not {info.title!r}" if title else "it has no title"
        yield Difference(Kind.ABOUT, f"the file says another thing about itself: {said}")
    facts = [*([f"digest: {info.digest}"] if info.digest and not digests else [])]
    facts += [f"{name}: {value}" for name, value in info.facts]
    lost = [fact for fact in facts if not _says(fact, lines, about)]
    if lost:
        yield Difference(Kind.ABOUT, f"the file no longer says about itself: {', '.join(lost)}")


def _says(fact: str, lines: set[str], about: str) -> bool:
    """Whether a fact stands among the lines; one that holds a semicolon itself, anywhere in the text."""
    return fact in lines or (";" in fact and fact in about)


def _page_size(page: Page, drawing: Drawing) -> Iterator[Difference]:
    wide, high = drawing.width, drawing.height
    if wide is None or high is None:
        raise ReadBackError(f"{drawing.info.title!r} has no page to compare with")
    off = max(abs(page.width - wide), abs(page.height - high))
    if off > WITHIN["svg"]:
        size = f"{both(page.width)} by {both(page.height)}, not {both(wide)} by {both(high)}"
        yield Difference(Kind.PAGE, f"the page is {size}", off)


def _boxes(page: Page) -> Iterator[Difference]:
    """A PDF page is what its boxes say; all three have to be the same, from the origin on."""
    media = page.boxes["MediaBox"]
    for name in ("CropBox", "TrimBox"):
        box = page.boxes.get(name)
        if box is None:
            yield Difference(Kind.PAGE, f"the page has no {name}")
        elif off := _off(box, media):
            yield Difference(Kind.PAGE, f"the {name} of the page is off the MediaBox by {both(off)}", off)
    if off := _off(media[:2], (0.0, 0.0)):
        yield Difference(Kind.PAGE, f"the MediaBox of the page begins {both(off)} off the origin", off)


def _off(box: Sequence[float], other: Sequence[float]) -> float:
    """Return the greatest difference of two boxes in mm; 0.0 when it is within the tolerance."""
    off = max(abs(a - b) for a, b in zip(box, other, strict=True))
    return off if off > WITHIN["svg"] else 0.0
