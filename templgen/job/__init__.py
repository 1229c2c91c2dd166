"""The job file: read with positions, checked for form and sense, as typed values."""

from templgen.job.model import Job
from templgen.job.reader import read_job, read_job_text

__all__ = ["Job", "read_job", "read_job_text"]
