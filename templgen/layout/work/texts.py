"""Each piece of work in words: title, how it is done, what is ticked off."""

from __future__ import annotations

from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.work.model import Work
from templgen.layout.work.telling import Subject, Told
from templgen.layout.work.texts_drilling import DRILLING_TEXTS
from templgen.layout.work.texts_fastening import FASTENING_TEXTS

__all__ = ["tell"]

_TEXTS = {**DRILLING_TEXTS, **FASTENING_TEXTS}


def tell(job: Job, assembly: Assembly, work: Work) -> Told:
    """Return a piece of work in words."""
    return _TEXTS[work.stage](Subject(job, assembly, work))
