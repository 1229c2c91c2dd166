"""The job file: read with positions, checked for form and sense, as typed values."""

from templgen.job.model import Job
from templgen.job.reader import read_job, read_job_text
from templgen.job.shape_values import library_for

__all__ = ["Job", "library_for", "read_job", "read_job_text"]
