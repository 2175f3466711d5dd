"""Findings of plan files: facts; their sentences stand in :mod:`nestcut.words`."""

from __future__ import annotations

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Value


def plan_fault(code: str, where: str, **values: Value) -> Finding:
    """Return a fault of a plan file.

    Parameters
    ----------
    code
        Such as ``"PLAN-004"``.
    where
        Place in the file.
    values
        What the code's sentence names.
    """
    return finding(code, Severity.ERROR, where, **values)
