"""What was noticed and how a search goes: records with the values they carry, and their words.

Codes and values come from the rooms below; :func:`tell` puts a finding into words, in the units
of its reader (:class:`Speech`).
"""

from nestcut.errors import (
    DrawingError,
    Finding,
    InputError,
    JobFileError,
    NestcutError,
    PlanFileError,
    PlanRejectedError,
    ReadPlanRejectedError,
    Severity,
    blocking,
    finding,
)
from nestcut.facts import Length, Names, Size, Slope
from nestcut.gate import plain, plain_line
from nestcut.jobfile.spots import Spot, lines_of, spot_of
from nestcut.model.progress import Phase, Progress, SoFar
from nestcut.units import LengthStyle
from nestcut.words import (
    Speech,
    explain_code,
    finding_record,
    name_line,
    progress_line,
    register_page,
    speech_of,
    tell,
    tell_fact,
)

__all__ = [
    "DrawingError",
    "Finding",
    "InputError",
    "JobFileError",
    "Length",
    "Names",
    "NestcutError",
    "Phase",
    "PlanFileError",
    "PlanRejectedError",
    "Progress",
    "ReadPlanRejectedError",
    "Severity",
    "Size",
    "Slope",
    "SoFar",
    "Speech",
    "Spot",
    "blocking",
    "explain_code",
    "finding",
    "finding_record",
    "lines_of",
    "name_line",
    "plain",
    "plain_line",
    "progress_line",
    "register_page",
    "speech_of",
    "speech_of_fault",
    "spot_of",
    "tell",
    "tell_fact",
]


def speech_of_fault(error: InputError) -> Speech:
    """How the reader of an input at fault is spoken to: in the units of the job, if known."""
    if isinstance(error, JobFileError):
        return Speech(style=LengthStyle(error.style), fraction=error.fraction)
    return Speech()
