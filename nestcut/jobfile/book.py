"""Where everything noticed in a job file is written down."""

from __future__ import annotations

from dataclasses import dataclass, field

from nestcut.errors import Finding, Severity


@dataclass(slots=True)
class FindingBook:
    """Where getters write their findings."""

    file: str
    findings: list[Finding] = field(default_factory=list)

    def error(self, code: str, where: str, message: str, remedy: str) -> None:
        """Record a fault."""
        self._note(Severity.ERROR, code, where, message, remedy)

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
