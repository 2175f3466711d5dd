"""Where everything noticed in a job file is written down."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Value
from nestcut.units import LengthStyle, format_length


@dataclass(slots=True)
class FindingBook:
    """Where getters write their findings."""

    file: str
    style: LengthStyle = LengthStyle.MM
    fraction: int = 16
    """How the job's own reader is shown lengths, once that is known."""
    findings: list[Finding] = field(default_factory=list)

    def show(self, length_mm: float) -> str:
        """Say a length as the job shows them."""
        return format_length(length_mm, self.style, self.fraction)

    def error(self, code: str, where: str, message: str, remedy: str) -> None:
        """Record a fault."""
        self._note(Severity.ERROR, code, where, message, remedy)

    def tell(self, code: str, where: str, severity: Severity, /, **values: Value) -> None:
        """Record what :mod:`nestcut.words` has a sentence for."""
        self.findings.append(replace(finding(code, severity, where, **values), file=self.file))

    def warning(self, code: str, where: str, message: str, remedy: str) -> None:
        """Record what may cost material or strength."""
        self._note(Severity.WARNING, code, where, message, remedy)

    def question(self, code: str, where: str, message: str, remedy: str) -> None:
        """Record a question that only the builder can answer."""
        self._note(Severity.QUESTION, code, where, message, remedy)

    def _note(self, severity: Severity, code: str, where: str, message: str, remedy: str) -> None:
        self.findings.append(
            Finding(
                code=code,
                severity=severity,
                where=where,
                message=message,
                remedy=remedy,
                file=self.file,
            )
        )
