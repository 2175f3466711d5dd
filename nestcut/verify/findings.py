"""How the verifier speaks: every objection names a piece or a place."""

from __future__ import annotations

import re

from nestcut.errors import Finding, Severity
from nestcut.model.plan import Plan


def objection(code: str, where: str, message: str) -> Finding:
    """Return an objection; the remedy is always the same, since the fault is ours or the file's."""
    return Finding(
        code=code,
        severity=Severity.ERROR,
        where=where,
        message=message,
        remedy="Don't cut by this plan; make it again with 'nestcut plan'.",
    )


def owns_up(plan: Plan, code: str, part: str) -> bool:
    """Whether a plan says by itself that a part breaks a rule: the builder asked for it so.

    Findings name a part, one of its copies (``gunwale P1``) or one of its shares.
    """
    named = re.compile(re.escape(part) + r"( [PS]?\d+)?(, share \d+)?")
    return any(f.code == code and named.fullmatch(f.where) for f in plan.findings)
