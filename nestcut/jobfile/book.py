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

    def tell(self, code: str, where: str, severity: Severity, /, **values: Value) -> None:
        """Record what :mod:`nestcut.words` has a sentence for.

        Parameters
        ----------
        code
            Such as ``"JOB-005"``.
        where
            Table and key that it is about.
        values
            What the code's sentence names.
        """
        self.findings.append(replace(finding(code, severity, where, **values), file=self.file))
