"""A plan that is partly cut: ticks read back, what is left to make, the job file for it."""

from nestcut.papers.rest.next_job import next_job
from nestcut.papers.rest.progress_file import match_progress, read_progress
from nestcut.papers.rest.remaining import remaining_text

__all__ = [
    "match_progress",
    "next_job",
    "read_progress",
    "remaining_text",
]
