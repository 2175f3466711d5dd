"""What can go wrong, in words a builder can act on.

Here live the error tree and :class:`Finding`, the one form in which every room reports a fault, a
repair or a question.  Only facts are imported here, so every room may import this one.
A finding's code is a room's prefix and a number (``JOB-004``); DEVELOPERS.md lists the prefixes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Value, Values


class Severity(StrEnum):
    """How much a finding matters to the builder."""

    REPAIRED = "repaired"
    """Something was mended on the way in; the builder should know."""
    NOTE = "note"
    """Worth reading, nothing to do."""
    WARNING = "warning"
    """May cost material or strength; the plan is still made."""
    QUESTION = "question"
    """Only the builder knows the answer; no plan until it is given."""
    ERROR = "error"
    """No plan can be made like this."""


BLOCKING = frozenset({Severity.ERROR, Severity.QUESTION})
"""Severities that stop a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One fault, repair or question: what, where, and what to do about it.

    Parameters
    ----------
    code
        Stable name such as ``"DXF-012"``.
    severity
        How much it matters.
    where
        Place in the builder's words: a key path, a file and layer, a piece.
    values
        The values met, by name; :mod:`nestcut.words` has the sentence of the code.
    file, layer, handle
        Place in a drawing, where there is one.
    at_mm
        Point in the drawing's own coordinates. [mm]
    about
        Name of the part that it speaks of, where ``where`` may name one of its copies or pieces.
    line, column
        Place in a text file, from 1; 0 where it is a key path that tells it.
    """

    code: str
    severity: Severity
    where: str
    file: str = ""
    layer: str = ""
    handle: str = ""
    at_mm: tuple[float, float] | None = None
    line: int = 0
    column: int = 0
    values: Values = ()
    about: str = ""

    @property
    def is_blocking(self) -> bool:
        """Whether no plan may be made before this is settled."""
        return self.severity in BLOCKING

    def __str__(self) -> str:
        """One line for a programmer; people are told by :func:`nestcut.words.finding_line`."""
        said = ", ".join(f"{name}={value}" for name, value in self.values)
        return f"{self.severity} {self.code} {self.where}: {said}"


def finding(code: str, severity: Severity, where: str, **values: Value) -> Finding:
    """Return a finding with its values by name; its sentence stands in :mod:`nestcut.words`.

    Parameters
    ----------
    code
        Such as ``"SHT-001"``.
    where
        File and place that it is about, as the reader knows them.
    values
        What the code's sentence names.
    """
    return Finding(code=code, severity=severity, where=where, values=tuple(values.items()))


def blocking(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings that stop a plan, in their order."""
    return tuple(f for f in findings if f.is_blocking)


class NestcutError(Exception):
    """Root of all errors that nestcut raises on purpose."""


class InputError(NestcutError):
    """Faulty input; carries every finding met, not only the first (exit status 3)."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("; ".join(str(f) for f in self.findings))


class JobFileError(InputError):
    """The job file can't be used as it stands.

    Parameters
    ----------
    style, fraction
        How the job shows lengths, as far as it was read, for whoever tells its findings.
    """

    def __init__(self, findings: Iterable[Finding], style: str = "mm", fraction: int = 16) -> None:
        super().__init__(findings)
        self.style = style
        self.fraction = fraction


class DrawingError(InputError):
    """A drawing can't be used as it stands."""


class NoRoomError(InputError):
    """A piece fits no stock at all, or the stock to hand ran out."""


class SearchError(NestcutError):
    """A solver refused or failed: a fault of ours."""


class PlanRejectedError(NestcutError):
    """The verifier refused a plan: a fault of ours, and nothing is written."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("; ".join(str(f) for f in self.findings))


class ReadPlanRejectedError(PlanRejectedError):
    """The verifier refused a plan that a file holds: it was proven once, and is another now."""


class PlanFileError(InputError):
    """A plan file can't be read back."""
