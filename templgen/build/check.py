"""Judge a job: read, lay out, run every rule. Nothing is written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from templgen.progress import Progress, untold

if TYPE_CHECKING:
    from templgen.job.model import Job
    from templgen.layout.assembly import Assembly
    from templgen.layout.finding import Finding

__all__ = ["Judged", "check_job"]


class Judged(Struct, frozen=True):
    """A job with its assembly and everything the rules said of it."""

    job: Job
    assembly: Assembly
    findings: tuple[Finding, ...]

    @property
    def may_cut(self) -> bool:
        """False if any finding stops cut files."""
        return not any(finding.stops_cut_files for finding in self.findings)


def check_job(path: Path, progress: Progress = untold) -> Judged:
    """Read, lay out and judge the job file at `path`.

    `progress` is told of every rule: its name, how many are done, how many there are.

    Raises JobFaults (all faults of the file at once) or another TemplgenError.
    """
    from templgen.checks import run_checks
    from templgen.job import library_for, read_job
    from templgen.layout import lay_out

    job = read_job(path)
    assembly = lay_out(job, library_for(path))
    return Judged(job, assembly, run_checks(assembly, job.accept, progress=progress))
