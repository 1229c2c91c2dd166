"""What most likely happened to a print that is off, and what to do about it.

The ratios of print settings are computed from the paper table. That one axis is set by the motion of the
paper and the other by the scan clock was seen in a public archive of typesetters; the rest is common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from templgen.proof.stretch import Solved
from templgen.trade.paper import Paper, papers, printer_margin

__all__ = ["LARGEST_CORRECTION", "Advice", "Feed", "explain"]

LARGEST_CORRECTION = 0.03
"""A print that is off by more than this share is a wrong print setting, never a printer (own default)."""

Feed = str
"""The side of the paper along which a printer moves it: "long side", "short side", "" if it is not known."""

_OTHER_PAPERS = ("letter", "legal", "tabloid", "a4", "a3")
_LEAST_MARGIN = 3.0
"""The narrowest strip along the edges, mm, that a printer leaves blank (common practice, no source)."""
_TWO_UP = 0.5**0.5
_NEAR_SIZE = 0.9
"""Papers that differ by less are taken for one another: letter and A4, tabloid and A3."""

AT_FULL_SIZE = (
    'Print it again at 100 % ("actual size"), with fit, shrink and scale to fit off, and with {paper} set as '
    "paper in "
    "the program and in the printer. Then measure again. Do not correct this: it is a setting, not the "
    "printer."
)
KEEP_RECORD = (
    "Print once more with every setting at 100 %. If it stays, it is the printer: keep it by `templgen "
    "proof measured` with --printer NAME --save, and print what `templgen build JOB --printer NAME` makes."
)


class Advice(Struct, frozen=True):
    """What most likely happened, and what to do: whole sentences.

    `is_printer` says that it may be the printer itself, so that its record is of use.
    """

    happened: str
    do: str
    is_printer: bool = False


_TRUE = Advice("The print is true, as far as these readings tell.", "")


class _Setting(Struct, frozen=True):
    """A print setting and the factors that it makes, least and greatest."""

    words: str
    low: float
    high: float

    def how_far(self, low: float, high: float) -> float:
        """How far the range of a print is from these factors; 0 where they meet."""
        return max(self.low - high, low - self.high, 0.0)

    def is_nearer_than_none(self, factor: float) -> bool:
        """Whether a factor is nearer to this setting than to a true print."""
        return self.how_far(factor, factor) < abs(factor - 1.0)


def explain(solved: Solved, paper: Paper, feed: Feed = "") -> Advice:
    """Return what most likely happened and what to do.

    Args:
        solved: the stretch, seen from a page that stands upright.
        paper: the paper the sheet was made for.
        feed: along which side of the paper the printer moves it, if that is known.
    """
    is_square = not solved.square_known or _holds(solved, "skew", 0.0)
    true_x, true_y = _holds(solved, "x", 1.0), _holds(solved, "y", 1.0)
    if true_x and true_y:
        return _TRUE if is_square else _askew(solved)
    if true_x != true_y and not _is_alike_rather(solved, true_x):
        advice = _one_axis(solved, "y" if true_x else "x", paper, feed)
    elif _is_alike(solved):
        advice = _alike(solved, paper)
    else:
        advice = _both(solved, paper)
    return advice if is_square else replace(advice, happened=f"{advice.happened} {_askew(solved).happened}")


def _holds(solved: Solved, name: str, value: float) -> bool:
    low, high = solved.span(name)
    return low <= value <= high


def _is_alike(solved: Solved) -> bool:
    """Whether both axes may be off by the same share."""
    x, y = solved.span("x"), solved.span("y")
    return max(x[0], y[0]) <= min(x[1], y[1])


def _is_alike_rather(solved: Solved, true_x: bool) -> bool:
    """Whether an axis that may be true is rather off like the other one."""
    best = solved.best
    off = abs((best.x if true_x else best.y) - 1.0)
    return _is_alike(solved) and abs(best.x - best.y) < off


def _is_large(solved: Solved) -> bool:
    best = solved.best
    return max(abs(best.x - 1.0), abs(best.y - 1.0)) > LARGEST_CORRECTION


def _alike(solved: Solved, paper: Paper) -> Advice:
    """Both axes by the same share: a setting, if one makes this share, else the driver."""
    start = "Both axes are off by the same share"
    x, y = solved.span("x"), solved.span("y")
    middle = (solved.best.x + solved.best.y) / 2.0
    settings = [
        setting
        for setting in _settings(paper)
        if setting.how_far(max(x[0], y[0]), min(x[1], y[1])) == 0.0 and setting.is_nearer_than_none(middle)
    ]
    settings.sort(key=lambda setting: setting.high - setting.low)
    if settings:
        words = ", or ".join(setting.words for setting in settings[:2])
        return Advice(f"{start}: {words}.", AT_FULL_SIZE.format(paper=paper.title))
    if _is_large(solved):
        return Advice(
            f"{start}, and by more than a printer is: a scale was set.",
            AT_FULL_SIZE.format(paper=paper.title),
        )
    return Advice(f"{start}: the driver, or the program that printed, scales a little.", KEEP_RECORD, True)


def _both(solved: Solved, paper: Paper) -> Advice:
    """Each axis by its own share."""
    start = "Both axes are off, each by its own share"
    if _is_large(solved):
        return Advice(
            f"{start}, and by more than a printer is: the page was stretched to fill the paper, or the sheet "
            "is a photocopy.",
            f"Print originals, never photocopy. {AT_FULL_SIZE.format(paper=paper.title)}",
        )
    return Advice(
        f"{start}. One is set by the motion of the paper, the other by the scan clock; a photocopy does the "
        "same.",
        f"Print the original, never photocopy. {KEEP_RECORD}",
        True,
    )


def _settings(paper: Paper) -> Iterator[_Setting]:
    """The print settings that make a page smaller or larger by a share that can be computed."""
    margin, _ = printer_margin()
    yield _Setting(
        "the page was fitted to the printable area (fit to page)",
        _fit(paper, paper, margin),
        _fit(paper, paper, _LEAST_MARGIN),
    )
    for other in (papers()[name] for name in _OTHER_PAPERS if name != paper.name):
        whole = _fit(paper, other, 0.0)
        if abs(whole - 1.0) < 0.005:
            continue
        start = f"the {paper.title} page was fitted to"
        yield _Setting(f"{start} {other.title} paper", whole - 0.0005, whole + 0.0005)
        if _NEAR_SIZE < whole < 1.0:
            least, most = _fit(paper, other, margin), _fit(paper, other, _LEAST_MARGIN)
            yield _Setting(f"{start} the printable area of {other.title} paper", least, most)
    yield _Setting("two pages were put on one sheet", _TWO_UP - 0.01, _TWO_UP + 0.01)


def _fit(page: Paper, onto: Paper, margin: float) -> float:
    """The factor that fits a page into a paper less its margins, mm; a factor of 1 stays 1."""
    return min(
        (onto.width_mm - 2.0 * margin) / page.width_mm, (onto.height_mm - 2.0 * margin) / page.height_mm
    )


def _one_axis(solved: Solved, axis: str, paper: Paper, feed: Feed) -> Advice:
    """One axis only: the feed, if that is the axis along which the paper moves."""
    side = "long side" if axis == "y" else "short side"
    start = f"Only lengths along the {side} of the paper are off"
    if _is_large(solved):
        return Advice(
            f"{start}, and by more than a printer is: the page was stretched to fill the paper.",
            AT_FULL_SIZE.format(paper=paper.title),
        )
    known = "" if feed else " (if the printer moves the paper along its long side, as most do)"
    if side == (feed or "long side"):
        return Advice(f"{start}: the feed, which moves the paper that way{known}.", KEEP_RECORD, True)
    happened = f"{start}: the scan across the paper{known}, or damp paper, which grows across its grain."
    return Advice(happened, KEEP_RECORD, True)


def _askew(solved: Solved) -> Advice:
    lean = abs(solved.best.skew)
    return Advice(
        f"The print is not square, it leans by {lean:.2f} degrees: the paper ran askew while it was printed, "
        "or the sheet is a copy.",
        f"Straighten the paper guides of the tray. {KEEP_RECORD}",
        True,
    )
