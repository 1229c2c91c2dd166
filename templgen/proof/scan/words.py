"""What a picture of a sheet tells, in lines."""

from __future__ import annotations

import math
from collections.abc import Iterator

from templgen.proof.measured import Outcome, Verdict
from templgen.proof.scan.fit import LensFit
from templgen.proof.scan.hidden import LIMITS
from templgen.proof.scan.judgement import Doubt, Kind, Sighted
from templgen.proof.scan.stretches import Numbers
from templgen.proof.verdict_words import OTHER_SHEETS, error_table, outcome_line
from templgen.units import Unit, format_number

__all__ = ["residual_lines", "sighted_lines"]

_MICRONS = 1000.0


def sighted_lines(
    sighted: Sighted, verdict: Verdict | None, doubt: Doubt | None, unit: Unit, paper_side: str
) -> list[str]:
    """Return what was seen and judged as lines.

    Args:
        sighted: the picture, measured.
        verdict: the verdict; None where nothing is known of the scale.
        doubt: what is in the way of a verdict.
        unit: the unit that stands first.
        paper_side: what the sheet is, in words.
    """
    lines = [_sheet_line(sighted, paper_side), *_fit_lines(sighted), *_scale_lines(sighted)]
    if verdict is not None and _knows_sizes(sighted, verdict):
        lines += [*error_table(verdict.errors), outcome_line(verdict, unit)]
        if verdict.outcome is Outcome.INSIDE:
            lines.append(OTHER_SHEETS)
    elif verdict is not None:
        lines.append("CANNOT JUDGE: this picture tells the shape and x : y only, and no size")
    else:
        lines.append("CANNOT JUDGE: nothing is known of the scale of this picture")
    if doubt is not None:
        lines.append(f"do: {_advice(sighted, doubt, verdict)}")
    if sighted.found.code.corrected:
        lines.append(
            "this print is corrected for a printer already: what is off here comes on top of that correction"
        )
    return lines


def _knows_sizes(sighted: Sighted, verdict: Verdict) -> bool:
    """Whether errors in mm mean anything: the scale is known, or no scale at all makes the print true."""
    return verdict.outcome is not Outcome.CANNOT_JUDGE or bool(
        sighted.measured and sighted.measured.scale_known
    )


def _sheet_line(sighted: Sighted, paper_side: str) -> str:
    code = sighted.found.code
    return (
        f"{sighted.name}: {sighted.kind.value} of sheet {code.sheet}, job digest {code.digest}...{paper_side}"
    )


def _fit_lines(sighted: Sighted) -> Iterator[str]:
    left, spread = sighted.fit.leftovers, sighted.fit.spread
    ids = sighted.found.numbers
    used = f"{len(left.slots)} of {len(ids)} markers"
    out = ", ".join(str(ids[slot]) for slot in left.left_out)
    used += f" ({out} left out: torn, smeared or covered)" if out else ""
    worst = f"largest residual {_MICRONS * left.largest:.0f} um"
    yield f"  {used}, {worst}, noise of one {_MICRONS * spread.noise:.0f} um"
    if isinstance(sighted.fit, LensFit):
        yield f"  lens: k1 {format_number(sighted.fit.k1, 4)} (half diagonals)"
    elif sighted.fit.carriage:
        bow = sighted.fit.carriage / sighted.fit.pixels_per_mm
        yield f"  carriage: runs unevenly by up to {_MICRONS * bow:.0f} um along the scan"


def _scale_lines(sighted: Sighted) -> Iterator[str]:
    measured = sighted.measured
    if measured is None:
        return
    if measured.scale_known:
        yield f"  scale from: {', '.join(sighted.source)}"
        size = sighted.size
        if size is not None:
            told = " x ".join(
                f"{25.4 / mm:.2f} (+- {LIMITS * 100 * u:.2f} %)"
                for mm, u in zip(size.mm, size.u, strict=True)
            )
            yield f"  pixels: {told} dpi"
        yield f"  {_told(measured.best, measured.limits)}"
    else:
        x, y, skew = measured.best
        ratio, off = x / y, measured.limits[0] + measured.limits[1]
        yield (
            f"  x : y {format_number(ratio, 4)} +- {format_number(off, 4)}, skew {format_number(skew, 2)} +- "
            f"{format_number(measured.limits[2], 2)} degrees; the scale itself is not known"
        )
    own = measured.own
    yield (
        f"  the estimator's own error: x {100 * own[0]:.4f} %, y {100 * own[1]:.4f} %, skew {own[2]:.4f} "
        "degrees (two standard deviations, part of the above)"
    )


def _told(best: Numbers, limits: Numbers) -> str:
    parts = [
        f"scale {name} {format_number(value, 4)} +- {format_number(limit, 4)}"
        for name, value, limit in zip("xy", best[:2], limits[:2], strict=True)
    ]
    return f"{', '.join(parts)}, skew {format_number(best[2], 2)} +- {format_number(limits[2], 2)} degrees"


def _advice(sighted: Sighted, doubt: Doubt, verdict: Verdict | None) -> str:
    """What would tell."""
    if doubt is Doubt.UNEVEN:
        return (
            f"the sheet is not flat or the picture not even: markers stand off by up to "
            f"{_MICRONS * sighted.fit.leftovers.largest:.0f} um (see the picture of residuals); press it "
            "flat and take it again, or measure it: templgen proof measured"
        )
    if doubt is Doubt.NOISE:
        return "the picture is too coarse or too noisy: scan at 300 dpi or more, sharp, as PNG or TIFF"
    if doubt is Doubt.EDGE:
        return "the print stands on the tolerance itself: print it again, or correct it by a printer record"
    if sighted.kind is Kind.PHOTO and verdict is not None and verdict.outcome is Outcome.OUTSIDE:
        return "x and y are not alike, and no scale mends that: print it again at 100 %"
    if sighted.kind is Kind.PHOTO:
        return (
            "a photo has no scale of its own: lay a steel rule along x and one along y (--rule, twice) or a "
            "card (--card) flat beside the drawing, and take it again; a scan tells more"
        )
    is_bare = not sighted.source or sighted.source == ("resolution in the file",)
    rule = "a steel rule" if is_bare else "a longer or better known steel rule"
    return (
        f"the scanner is a suspect too: put {rule} along x and one along y into the scan "
        "(--rule, twice) or a card (--card, measured with calipers), or name a measured scanner (--scanner)"
    )


def residual_lines(sighted: Sighted) -> list[str]:
    """Return the residual of every marker as lines: its number, its place, how far it is off."""
    left, ids = sighted.fit.leftovers, sighted.found.numbers
    lines = ["  marker      x      y  off x  off y (mm from the lower left cross; um)"]
    for slot, (x, y), (dx, dy) in zip(left.slots, left.places, left.residuals, strict=True):
        off = f"{_MICRONS * dx:+6.0f} {_MICRONS * dy:+6.0f}"
        lines.append(f"  {ids[slot]:6d} {x:6.1f} {y:6.1f} {off}   {_MICRONS * math.hypot(dx, dy):.0f}")
    return lines
