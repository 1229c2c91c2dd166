"""The README's part about the proof of a print: the program is run on a simulated printer.

`proof_block()` is the generated part, `proof_picture()` the corrected sheet.
"""

from __future__ import annotations

import contextlib
import io
import shutil
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from templgen import cli
from templgen.build.demo import demo_job
from tests.printer import Printer, lengths

__all__ = ["proof_block", "proof_picture"]

PRINTER = Printer(0.9994, 0.9952, 0.0003, 0.4)
"""Short of 0.5 % along the long side of the paper: the feed."""
READ_TO = "0.1mm"
USING = ["--printer", "garage", "--records", "printers"]


def proof_block() -> str:
    """Commands and answers from the print to the corrected reprint, as the program gives them."""
    return _run()[0]


def proof_picture() -> bytes:
    """The first sheet, corrected for the printer, as SVG."""
    return _run()[1]


@cache
def _run() -> tuple[str, bytes]:
    with TemporaryDirectory() as folder, contextlib.chdir(folder):
        shutil.copy(demo_job(), "mast.toml")
        _told("build", "mast.toml", "--no-previews")
        first = _readings(Path("out/mast/sheets.pdf"))
        judged = ["proof", "measured", "mast.toml", *first, "--read-to", READ_TO, *USING, "--save"]
        lines = ["```text", *_shown(judged)]
        build = ["build", "mast.toml", *USING, "--out", "out/mast-garage"]
        lines += [*_shown(build, ("note: the sheets are CORRECTED",), "--no-previews")]
        second = _readings(Path("out/mast-garage/sheets.pdf"))
        again = ["proof", "measured", "mast.toml", *second, "--read-to", READ_TO, *USING, "--corrected", "1"]
        lines += [*_shown(again, ("  scale", "  Part:", "INSIDE", "OUTSIDE", "CANNOT")), "```", ""]
        svg = next(Path("out/mast-garage/sheets").glob("01-*.svg")).read_bytes()
    return "\n".join(lines), svg


def _readings(pdf: Path) -> list[str]:
    """What a rule shows on the printed sheet, to the nearest 0.2 mm: off by 0.1 mm at most."""
    names = ("--x", "--y", "--diagonal", "--diagonal")
    found = zip(names, lengths(pdf, PRINTER), strict=True)
    return [part for name, value in found for part in (name, f"{round(value * 5) / 5:.1f}mm")]


def _shown(command: Sequence[str], prefixes: tuple[str, ...] = (), *more: str) -> Iterator[str]:
    """A command and its answer; with prefixes only the lines that begin so, dots for the rest."""
    yield f"$ templgen {' '.join(command)}"
    answer = _told(*command, *more)
    chosen = [line for line in answer if not prefixes or line.startswith(prefixes)]
    yield from chosen
    if len(chosen) < len(answer):
        yield "..."


def _told(*command: str) -> list[str]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        code = cli.run(list(command))
    if code not in (cli.EXIT_DONE, cli.EXIT_FINDINGS):
        raise RuntimeError(f"{command} ended with {code}")
    return out.getvalue().splitlines()
