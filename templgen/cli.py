"""The command line: options in, messages and an exit code out. click lives here and nowhere else."""

from __future__ import annotations

import gc
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, NoReturn

import click

from templgen import __version__
from templgen.errors import ExportError, GeometryError, TemplgenError

if TYPE_CHECKING:
    from templgen.build.write import Built
    from templgen.units import Unit

__all__ = ["main"]

EXIT_DONE = 0
EXIT_FINDINGS = 1
EXIT_CANNOT_RUN = 2
EXIT_OUR_BUG = 3
EXIT_CANNOT_JUDGE = 4

# Looking for garbage while modules load takes a fifth of a cold start, and finds none.
_GARBAGE_THRESHOLD = 100_000

PAPERS = ("letter", "legal", "tabloid", "a4", "a3")
_JOB = click.argument("job", type=click.Path(path_type=Path))
_PREVIEWS = click.option(
    "--previews/--no-previews", default=True, help="Draw PNG previews, or leave them out."
)
_RECORDS = click.option(
    "--records",
    type=click.Path(path_type=Path),
    help="Folder of the printer records; else $TEMPLGEN_PRINTERS, else .templgen/printers at home.",
)


class _PaperName(click.ParamType[str]):
    """A paper that is sold for printers, a roll by its width, each with a printer's own margin."""

    name = "paper"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        from templgen.trade.paper import find_paper

        try:
            find_paper(value, PAPERS)
        except TemplgenError as error:
            self.fail(str(error), param, ctx)
        return value


_PAPER = click.option(
    "--paper",
    type=_PaperName(),
    metavar="PAPER",
    help=f'{", ".join(PAPERS)} or "roll 36 in"; with a printer\'s margin: "a4, margin 10 mm".',
)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="templgen")
def cli() -> None:
    """1:1 templates, cut files and checks for parts that go through an aircraft's skin.

    A template is a drawing aid, not approved data. Exit codes: 0 done; 1 a check of error severity
    fails; 2 cannot run; 3 our own bug; 4 cannot judge.
    """


@cli.command()
@click.argument("name", default="mast")
@click.option("--out", type=click.Path(path_type=Path), help="Result folder; out/demo if left out.")
@_PREVIEWS
def demo(name: str, out: Path | None, previews: bool) -> int:
    """Build a job that ships with the program, in an invented aircraft."""
    from templgen.build.demo import DEFAULT_DEMO, demo_job

    folder = out or Path("out", "demo" if name == DEFAULT_DEMO else f"demo-{name}")
    return _build(demo_job(name), folder, previews=previews)


@cli.command()
@_JOB
@click.option("--out", type=click.Path(path_type=Path), help="Result folder; out/JOB if left out.")
@_PAPER
@click.option("--printer", help="Correct the sheets, never the cut files, for this printer's record.")
@_RECORDS
@click.option("--many-pages", is_flag=True, help="Tile a template even if that takes over 50 pages.")
@_PREVIEWS
def build(job: Path, out: Path | None, previews: bool, **asked: Any) -> int:
    """Build a job: sheets, cut files, drill schedule and report, as one complete new folder.

    A template too large for the paper is drawn at 1:1 on tiles, with targets to join them by.
    """
    return _build(job, out or Path("out", job.stem), previews=previews, **asked)


@cli.command()
@_JOB
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON (schema templgen-check/1).")
@click.option("--all", "every", is_flag=True, help="Also what passed and what does not apply.")
def check(job: Path, as_json: bool, every: bool) -> int:
    """Judge a job by every rule; write nothing."""
    from templgen.build.check import check_job
    from templgen.build.report import check_json, check_lines

    with _progress() as progress:
        judged = check_job(job, progress)
    if as_json:
        click.echo(check_json(judged), nl=False)
    else:
        click.echo("\n".join(check_lines(judged, every=every)))
    return EXIT_DONE if judged.may_cut else EXIT_FINDINGS


@cli.group()
def proof() -> None:
    """Is a print true? Judge it from lengths that were measured on it."""


@proof.command()
@_JOB
@click.option("--x", multiple=True, required=True, help="A to B: MEASURED or MEASURED/NOMINAL, with units.")
@click.option("--y", multiple=True, required=True, help="A to D, in the same way.")
@click.option("--diagonal", multiple=True, help="A to C; given again: D to B. They tell the skew.")
@click.option("--read-to", default="0.5 mm", help="How far a reading may be off, either way (0.5 mm).")
@click.option("--sheet", type=int, help="Number of the sheet that was measured; the first template.")
@_PAPER
@click.option("--sure", is_flag=True, help="The readings were looked at again: ask nothing.")
@click.option("--printer", default="", help="Name of the printer.")
@click.option(
    "--corrected", type=click.IntRange(min=0), help="Number of the correction on the print; 0: none."
)
@click.option("--save", is_flag=True, help="Keep the proof in the printer's record.")
@_RECORDS
@click.option("--feed", type=click.Choice(["long", "short"]), help="Side along which the paper moves.")
@click.option("--date", default="", help="Date of the proof, for the record.")
def measured(job: Path, records: Path | None, feed: str | None, **asked: Any) -> int:
    """Judge a print from lengths between its crosses, or along its rulers.

    Exit code 0: inside the job's tolerance; 1: outside; 4: these readings can not tell.
    """
    from templgen.build.proof import Asked, prove_measured
    from templgen.proof.record_file import records_folder

    asked["diagonals"] = asked.pop("diagonal")
    side = f"{feed} side" if feed else ""
    told = prove_measured(job, Asked(**asked, records=records_folder(records, os.environ), feed=side))
    click.echo("\n".join(told.lines))
    return {"inside": EXIT_DONE, "outside": EXIT_FINDINGS}.get(told.outcome.value, EXIT_CANNOT_JUDGE)


@proof.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
@click.option("--job", type=click.Path(path_type=Path), help="The job it is of; judges what the job cuts.")
@click.option("--rule", "rules", multiple=True, help="A steel rule in the picture: LENGTH:X,Y:X,Y (pixels).")
@click.option("--card", default="", help='A card in the picture: id-1, or as measured "85.57x53.96mm".')
@click.option("--scanner", default="", help="Name of a scanner that was measured before.")
@click.option("--save-scanner", default="", help="Keep what rules or card tell of the scanner by this name.")
@click.option("--scanners", type=click.Path(path_type=Path), help="Folder of the scanner records.")
@click.option("--photo/--scan", default=None, help="How the picture was taken; found out if left out.")
@click.option("--chart", type=click.Path(path_type=Path), help="PNG to write: residuals of all markers.")
@click.option("--residuals", is_flag=True, help="Tell the residual of every marker.")
@click.option("--date", default="", help="Date, for the scanner record.")
def scan(files: tuple[Path, ...], scanners: Path | None, **asked: Any) -> int:
    """Judge prints from scans or photos of them, by the square markers round every sheet.

    Exit code 0: inside the tolerance; 1: outside; 4: these pictures can not tell.
    """
    from templgen.build.scan import AskedScan, prove_scan, scanners_folder

    folder = scanners_folder(scanners, dict(os.environ))
    told = prove_scan(files, AskedScan(**asked, scanners=folder))
    click.echo("\n".join(told.lines))
    return {"inside": EXIT_DONE, "outside": EXIT_FINDINGS}.get(told.outcome.value, EXIT_CANNOT_JUDGE)


@cli.command()
@click.argument("name", required=False)
@click.option("--unit", type=click.Choice(["in", "mm"]), default="mm", help="Unit of the lengths shown.")
@click.option("--folder", type=click.Path(path_type=Path), help="A shapes folder of your own, shown as well.")
def shapes(name: str | None, unit: Unit, folder: Path | None) -> int:
    """List the shape library, or one shape: picture, parameters, ranges."""
    from templgen.build.describe import shape_text, shapes_text

    click.echo(shape_text(name, unit, folder) if name else shapes_text(unit, folder))
    return EXIT_DONE


@cli.command()
@click.argument("name", required=False)
def rules(name: str | None) -> int:
    """List the rule catalogue, or one rule: formula, source, example, cure."""
    from templgen.build.describe import rule_text, rules_text

    click.echo(rule_text(name) if name else rules_text())
    return EXIT_DONE


@cli.command()
@click.argument("kind", default="mast")
@click.option(
    "--to", "target", type=click.Path(path_type=Path), help="File to write; standard output if left out."
)
@_PAPER
def new(kind: str, target: Path | None, paper: str | None) -> int:
    """Print or write a commented starter job that builds as it stands (a mast: with its measuring sheet)."""
    from templgen.build.new import starter_text, write_starter

    if target is None:
        click.echo(starter_text(kind), nl=False)
        return EXIT_DONE
    for path in write_starter(kind, target, paper=paper or "letter"):
        click.echo(f"wrote {path}")
    return EXIT_DONE


@cli.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--against", "job", type=click.Path(path_type=Path), required=True, help="The job it is of.")
@_PAPER
@click.option("--printer", help="The sheets were corrected for this printer.")
@_RECORDS
def readback(file: Path, job: Path, paper: str | None, printer: str | None, records: Path | None) -> int:
    """Compare an SVG, PDF or DXF file that came back from a shop or a mail program with its job.

    Exit code 0: it holds what the job draws; 1: it differs; 2: it can not be read.
    """
    from templgen.build.readback import read_returned, returned_lines

    with _progress() as progress:
        returned = read_returned(file, job, paper=paper, printer=printer, records=records, progress=progress)
    click.echo("\n".join(returned_lines(returned)))
    return EXIT_DONE if returned.same else EXIT_FINDINGS


def _build(
    job: Path,
    folder: Path,
    *,
    paper: str | None = None,
    printer: str | None = None,
    records: Path | None = None,
    many_pages: bool = False,
    previews: bool,
) -> int:
    from templgen.build.report import check_lines
    from templgen.build.write import build_job

    with _progress() as progress:
        built = build_job(
            job,
            folder,
            paper=paper,
            printer=printer,
            records=records,
            many_pages=many_pages,
            previews=previews,
            progress=progress,
        )
    click.echo("\n".join(check_lines(built.judged, every=False)))
    _tell_written(built)
    return EXIT_DONE if built.judged.may_cut else EXIT_FINDINGS


def _tell_written(built: Built) -> None:
    click.echo(str(built.proven))
    click.echo(f"wrote {built.folder}:")
    for name in built.files:
        click.echo(f"  {name}")
    for note in built.notes:
        click.echo(f"note: {note}")
    if built.superseded is not None:
        click.echo(f"the older result is superseded and was moved to {built.superseded}")
    if not built.judged.may_cut:
        click.echo("no cut file was written: the sheets are stamped DO NOT CUT")


class _Progress:
    """A bar on a terminal, for anything that takes over a second; silent otherwise."""

    def __init__(self, stream: IO[str]) -> None:
        self.stream = stream
        self.started = time.monotonic()
        self.shown = stream.isatty()
        self.drawn = False

    def __call__(self, label: str, done: int, total: int) -> None:
        if not self.shown or time.monotonic() - self.started < 1.0:
            return
        width = 24
        full = width * done // max(total, 1)
        self.stream.write(f"\r[{'#' * full}{'.' * (width - full)}] {label:<28.28}")
        self.stream.flush()
        self.drawn = True

    def clear(self) -> None:
        """Take the bar away, if it was drawn."""
        if self.drawn:
            self.stream.write("\r" + " " * 56 + "\r")
            self.stream.flush()


@contextmanager
def _progress() -> Iterator[_Progress]:
    """A bar on the terminal for as long as something runs, also if that ends in a fault."""
    bar = _Progress(sys.stderr)
    try:
        yield bar
    finally:
        bar.clear()


def main() -> NoReturn:
    """Run the command line and leave with its exit code."""
    gc.set_threshold(_GARBAGE_THRESHOLD)
    # Else pydantic reads the entry points of every package on the machine, looking for plugins of its own.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Else numpy starts a thread for every core, for products of matrices larger than any here.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _leave(run(sys.argv[1:]))


def _leave(code: int) -> NoReturn:
    """End the process at once: every file is closed, and to free what was loaded takes long."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, AttributeError):  # a pipe that nobody reads, or no stream at all
            stream.flush()
    os._exit(code)


def run(arguments: list[str]) -> int:
    """Run the command line and return its exit code; the one place where errors become exit codes."""
    try:
        code = cli.main(args=arguments, prog_name="templgen", standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("stopped; nothing was written", err=True)
        return EXIT_CANNOT_RUN
    except click.ClickException as error:
        error.show()
        return EXIT_CANNOT_RUN
    except (ExportError, GeometryError) as error:  # what is wrong with a job is said with its place
        return _our_bug(error)
    except TemplgenError as error:
        click.echo(str(error), err=True)
        return EXIT_CANNOT_RUN
    except (BrokenPipeError, SystemExit):  # click makes an exit of the first
        return EXIT_CANNOT_RUN  # whoever read went away: what was not told is no pass
    except Exception as error:
        return _our_bug(error)
    return int(code or EXIT_DONE)


def _our_bug(error: Exception) -> int:
    """Keep the traceback in a file and say in one line where it is."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="templgen-", suffix=".traceback.txt", delete=False) as file:
        traceback.print_exception(error, file=file)
    message = str(error).splitlines()[0] if str(error) else ""
    told = f"{type(error).__name__}: {message}" if message else type(error).__name__
    click.echo(f"this is a fault of templgen, not yours: {told}; traceback in {file.name}", err=True)
    return EXIT_OUR_BUG
