"""How long a build takes: cold, against the imports it needs and bare writing of the same entities."""

from __future__ import annotations

import pickle
import tempfile
from pathlib import Path
from typing import Any

from templgen.build.check import check_job
from templgen.build.demo import demo_job
from templgen.drawing import ArcMark, CircleMark, Drawing, LineMark, PathMark, Text
from templgen.drawing.font import font_path
from templgen.exporters.png import PREVIEW_DPI
from templgen.exporters.svg import svg_bytes
from templgen.geometry import Arc, Line, Segment
from templgen.sheets import build_sheets, cut_drawings
from templgen.trade.paper import find_paper
from tests.bench.timing import cold_medians, python

__all__ = ["plain", "run"]

MOST = 1.5


def run() -> None:
    """Print the ratio of a cold build of the demo to bare work on the same entities, and its page count."""
    judged = check_job(demo_job())
    sheets = build_sheets(judged.job, judged.assembly, judged.findings, find_paper("letter"))
    cuts = cut_drawings(judged.job, judged.assembly, judged.findings)
    drawings = [sheet.drawing for sheet in sheets]
    prepared = (
        [plain(drawing) for drawing in drawings],
        [plain(drawing) for drawing in cuts.values()],
        [svg_bytes(drawing) for drawing in drawings],
        {bold: str(font_path(bold)) for bold in (False, True)},
    )
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "entities.pickle")
        file.write_bytes(pickle.dumps(prepared))
        out = str(Path(folder, "out"))
        times = cold_medians(
            {
                "bare": python("-m", "tests.bench.bare_build", str(file), str(PREVIEW_DPI)),
                "build": python("-m", "templgen", "demo", "--out", out),
            },
            rounds=5,
        )
    ratio = times["build"] / times["bare"]
    print(
        f"cold build of the demo, {len(drawings)} pages, read back: "
        f"{ratio:.2f} x imports + bare writing + bare previews (at most {MOST})"
    )


def plain(drawing: Drawing) -> dict[str, Any]:
    """Return the entities of a drawing as numbers and words that need no more thought."""
    marks = drawing.items
    chains = [_segments(mark) for mark in marks if isinstance(mark, LineMark | ArcMark | PathMark)]
    return {
        "svg_paths": [_steps(chain) for chain, _ in chains],
        "pdf_paths": [(tuple(_xy(chain[0].start)), [_curve(part) for part in chain]) for chain, _ in chains],
        "polylines": [
            ([(*_xy(p.start), getattr(p, "bulge", 0.0)) for p in chain], closed) for chain, closed in chains
        ],
        "circles": [(*_xy(m.centre), m.radius) for m in marks if isinstance(m, CircleMark)],
        "texts": [(m.text, *_xy(m.at), m.height, m.bold) for m in marks if isinstance(m, Text)],
    }


def _segments(mark: LineMark | ArcMark | PathMark) -> tuple[tuple[Segment, ...], bool]:
    if isinstance(mark, PathMark):
        return mark.contour.segments, mark.contour.closed
    return ((mark.line if isinstance(mark, LineMark) else mark.arc),), False


def _xy(point: Any) -> tuple[float, float]:
    return (round(point.x, 5), round(point.y, 5))


def _steps(chain: tuple[Segment, ...]) -> str:
    ends = " ".join(_step(part) for part in chain)
    x, y = _xy(chain[0].start)
    return f"M {x} {y} {ends}"


def _step(part: Segment) -> str:
    x, y = _xy(part.end)
    if isinstance(part, Line):
        return f"L {x} {y}"
    radius = round(part.radius, 5)
    return f"A {radius} {radius} 0 {int(abs(part.sweep) > 180)} {int(part.bulge < 0)} {x} {y}"


def _curve(part: Segment) -> tuple[float, ...]:
    """Return a line's end, or a curve of an arc: bare writing need not be exact."""
    if isinstance(part, Arc):
        return (*_xy(part.point_at(1 / 3)), *_xy(part.point_at(2 / 3)), *_xy(part.end))
    return _xy(part.end)
