"""A verdict in words: what was read, what follows from it, and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.proof.explain import Advice
from templgen.proof.measured import FeatureError, Outcome, Verdict
from templgen.proof.stretch import Reading, Solved
from templgen.units import MM_PER_INCH, Unit, format_length, format_mm, format_number

OTHER_SHEETS = "not checked: other sheets of this print; lay the rule on one ruler of each"

__all__ = ["OTHER_SHEETS", "error_table", "outcome_line", "verdict_lines"]

_TOOLS = (
    (0.5, "a steel rule, read to its divisions"),
    (0.2, "a steel rule with 0.5 mm or 1/64 in divisions, read between them under a magnifier"),
    (0.1, "a caliper, its points set into the centres of the crosses under a magnifier"),
)
"""What a length on paper can be read to, mm either way, and with what (common practice, no source)."""


def verdict_lines(verdict: Verdict, seen: Solved, advice: Advice, unit: Unit) -> list[str]:
    """Return a verdict as lines.

    Args:
        verdict: the verdict.
        seen: the stretch as seen on the sheet that was measured.
        advice: what most likely happened and what to do.
        unit: the job's unit, which stands first.
    """
    lines = [*_reading_lines(verdict.readings, unit), *_scale_lines(seen, verdict.readings)]
    lines += [*error_table(verdict.errors), outcome_line(verdict, unit)]
    if not seen.square_known:
        lines.append("not checked: squareness; measure A to C and D to B too, and give each as --diagonal")
    if verdict.outcome is Outcome.INSIDE:
        lines.append(OTHER_SHEETS)
    if verdict.outcome is Outcome.CANNOT_JUDGE:
        lines.append(f"do: {_needs(verdict, unit)}")
    lines.append(f"most likely: {advice.happened}")
    if advice.do and verdict.outcome is not Outcome.CANNOT_JUDGE:
        lines.append(f"do: {advice.do}")
    return lines


def _reading_lines(readings: Sequence[Reading], unit: Unit) -> Iterator[str]:
    for each in readings:
        percent = _signed(100.0 * (each.ratio - 1.0), 2)
        told = f"{format_length(each.measured, unit)} of {format_length(each.nominal, unit)}"
        yield f"  {each.what:<8} {told}, {percent} %"


def _scale_lines(seen: Solved, readings: Sequence[Reading]) -> Iterator[str]:
    off = max(each.off for each in readings)
    parts = [f"scale x {_with_doubt(seen, 'x', 4)}", f"scale y {_with_doubt(seen, 'y', 4)}"]
    if seen.square_known:
        parts.append(f"skew {_with_doubt(seen, 'skew', 2)} degrees")
    yield f"  {', '.join(parts)} (every reading {format_mm(off)} either way)"


def _with_doubt(seen: Solved, name: str, places: int) -> str:
    low, high = seen.span(name)
    best = getattr(seen.best, name)
    return f"{format_number(best, places)} +- {format_number(max(high - best, best - low), places)}"


def error_table(errors: Sequence[FeatureError]) -> Iterator[str]:
    """Yield every feature with its size, its error in mm and its error in thousandths of an inch."""
    rows = [("error over", "size", "mm", "0.001 in")]
    for each in errors:
        doubt = each.uncertainty
        rows.append(
            (
                each.feature.name,
                format_mm(each.feature.span, 1),
                f"{_signed(each.error, 2)} +- {doubt:.2f}",
                f"{_signed(1000.0 * each.error / MM_PER_INCH, 0)} +- {1000.0 * doubt / MM_PER_INCH:.0f}",
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    for name, *rest in rows:
        cells = [cell.rjust(width) for cell, width in zip(rest, widths[1:], strict=True)]
        yield f"  {'  '.join([name.ljust(widths[0]), *cells])}"


def _signed(value: float, places: int) -> str:
    text = format_number(value, places)
    return text if text.startswith("-") else f"+{text}"


def outcome_line(verdict: Verdict, unit: Unit) -> str:
    """Return the verdict in one line; lengths in the job's unit first."""
    worst, tolerance = verdict.worst, format_length(verdict.tolerance, unit)
    name, most = worst.feature.name, format_length(worst.most, unit)
    match verdict.outcome:
        case Outcome.INSIDE:
            square = "" if verdict.solved.square_known else ", if the print is square"
            return f"INSIDE the tolerance of {tolerance}: nothing is off by more than {most}{square}"
        case Outcome.OUTSIDE:
            least = format_length(worst.certain, unit)
            return (
                f"OUTSIDE the tolerance of {tolerance}: {name} is off by at least {least}. DO NOT CUT by it."
            )
        case Outcome.CANNOT_JUDGE:
            return f"CANNOT JUDGE to {tolerance}: by these readings {name} may be off by up to {most}"


def _needs(verdict: Verdict, unit: Unit) -> str:
    """The reading, the length or the tool that would tell."""
    off = max(each.off for each in verdict.readings)
    if verdict.needed is None:
        return "the print stands on the tolerance itself, and no rule tells: print it again"
    length = min(each.nominal for each in verdict.readings) * off / verdict.needed
    needed = format_length(verdict.needed, unit)
    tool = next((words for reads_to, words in _TOOLS if reads_to <= verdict.needed), "")
    if not tool:
        return (
            f"this would need readings to {needed}, finer than ink on paper can be read: print on larger "
            "paper, whose crosses stand farther apart"
        )
    longer = format_length(length, unit, 1)
    return f"read the same lengths to {needed} ({tool}), or with this rule lengths of {longer} or more"
