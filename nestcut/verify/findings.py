"""How the verifier speaks: every objection names a piece or a place."""

from __future__ import annotations

from nestcut.errors import Finding, Severity


def objection(code: str, where: str, message: str) -> Finding:
    """Return an objection; the remedy is always the same, since the fault is ours or the file's."""
    return Finding(
        code=code,
        severity=Severity.ERROR,
        where=where,
        message=message,
        remedy="Don't cut by this plan; make it again with 'nestcut plan'.",
    )
