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
        self.findings.append(
            Finding(
                code=code,
                severity=Severity.ERROR,
                where=where,
                message=message,
                remedy=remedy,
                file=self.file,
            )
        )

    def warning(self, code: str, where: str, message: str, remedy: str) -> None:
        """Record what may cost material or strength."""
        self.findings.append(
            Finding(
                code=code,
                severity=Severity.WARNING,
                where=where,
                message=message,
                remedy=remedy,
                file=self.file,
            )
        )

    def question(self, code: str, where: str, message: str, remedy: str) -> None:
        """Record a question that only the builder can answer."""
        self.findings.append(
            Finding(
                code=code,
                severity=Severity.QUESTION,
                where=where,
                message=message,
                remedy=remedy,
                file=self.file,
            )
        )
