"""Job files: one TOML and the SVG it names, from a folder, from an upload, or as texts."""

from floor.jobfile.errors import JobFileError, JobFileErrors
from floor.jobfile.needs import RouteNeeds
from floor.jobfile.sources import JobSource, outline_of, read_job, read_job_bytes, read_job_folder

__all__ = [
    "JobFileError",
    "JobFileErrors",
    "JobSource",
    "RouteNeeds",
    "outline_of",
    "read_job",
    "read_job_bytes",
    "read_job_folder",
]
