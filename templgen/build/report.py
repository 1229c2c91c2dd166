"""What the checks said, as lines for a person and as JSON for a script."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from templgen.layout.finding import Finding, Severity, Verdict

if TYPE_CHECKING:
    from templgen.build.check import Judged
    from templgen.build.readback import Proven

__all__ = ["JSON_SCHEMA_NAME", "check_json", "check_lines", "summary_line"]

JSON_SCHEMA_NAME = "templgen-check/1"


def check_lines(judged: Judged, *, every: bool = True, short_names: bool = False) -> list[str]:
    """Return one line for each finding, the gravest first, then a summary.

    With `every` False, results that ask nothing of the builder (passes, not applicable) are only counted.
    With `short_names` files are named without their folder, so that a report reads the same everywhere.
    """
    told = [finding for finding in judged.findings if every or _asks_something(finding)]
    return [*(finding_line(finding, short_names=short_names) for finding in told), summary_line(judged)]


def finding_line(finding: Finding, *, short_names: bool = False) -> str:
    """Return `file:line:column: word rule: message; cure (source)`."""
    at = finding.at
    file = _file_name(at.file, short_names)
    parts = [f"{file}:{at.line}:{at.column}: {_word(finding)} {finding.rule}: {finding.message}"]
    if finding.cure:
        parts.append(f"; {finding.cure}")
    if finding.source:
        parts.append(f" [{finding.source}]")
    if finding.accepted is not None:
        who = finding.accepted
        parts.append(f" -- accepted by {who.who}, {who.when}: {who.reason}")
    return "".join(parts)


def summary_line(judged: Judged) -> str:
    """Return the counts of all results in words, and whether cut files may be written."""
    counts = Counter(_word(finding) for finding in judged.findings)
    told = ", ".join(f"{count} {word}" for word, count in counts.items()) or "nothing to check"
    verdict = "cut files may be written" if judged.may_cut else "NO cut files: errors stand"
    return f"checks: {told}; {verdict}"


def check_json(judged: Judged, proven: Proven | None = None, *, short_names: bool = False) -> str:
    """Return the findings as JSON, schema `templgen-check/1` (described in DEVELOPERS.md).

    `proven` is what reading the files of a build back has shown; without it that part is null.
    """
    document = {
        "schema": JSON_SCHEMA_NAME,
        "job": {
            "file": _file_name(str(judged.job.file), short_names),
            "digest": judged.job.digest,
            "title": judged.job.title,
        },
        "may_cut": judged.may_cut,
        "findings": [_finding_dict(finding, short_names) for finding in judged.findings],
        "read_back": None if proven is None else _proven_dict(proven),
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def _proven_dict(proven: Proven) -> dict[str, Any]:
    return {
        "files": proven.files,
        "shapes": proven.shapes,
        "words": proven.words,
        "largest_deviation_mm": round(proven.largest_deviation_mm, 7),
    }


def _asks_something(finding: Finding) -> bool:
    return finding.verdict in (Verdict.FAIL, Verdict.DOUBTFUL, Verdict.NOT_CHECKED, Verdict.TOLD)


def _word(finding: Finding) -> str:
    if finding.accepted is not None:
        return "accepted"
    if finding.verdict is Verdict.FAIL:
        return finding.severity.value
    return {
        Verdict.PASS: "pass",
        Verdict.DOUBTFUL: "doubtful",
        Verdict.NOT_APPLICABLE: "not applicable",
        Verdict.NOT_CHECKED: "not checked",
        Verdict.TOLD: "information",
    }[finding.verdict]


def _file_name(file: str, short: bool) -> str:
    return PurePath(file).name if short else file


def _finding_dict(finding: Finding, short_names: bool) -> dict[str, Any]:
    place = finding.place
    accepted = finding.accepted
    return {
        "rule": finding.rule,
        "verdict": finding.verdict.name.lower(),
        "severity": (Severity.WARNING if finding.verdict is Verdict.DOUBTFUL else finding.severity).value,
        "message": finding.message,
        "file": _file_name(finding.at.file, short_names),
        "line": finding.at.line,
        "column": finding.at.column,
        "feature": finding.feature,
        "face": finding.face,
        "place_mm": None if place is None else [round(place.x, 4), round(place.y, 4)],
        "measured": finding.measured,
        "limit": finding.limit,
        "doubt": finding.doubt,
        "unit": finding.unit,
        "count": finding.count,
        "cure": finding.cure,
        "source": finding.source,
        "stops_cut_files": finding.stops_cut_files,
        "accepted": None
        if accepted is None
        else {
            "who": accepted.who,
            "when": accepted.when,
            "reason": accepted.reason,
            "down_to_mm": accepted.down_to,
        },
    }
