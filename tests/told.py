"""What is said of facts and findings, for tests that look at words."""

from __future__ import annotations

from collections.abc import Iterable

from nestcut.errors import Finding
from nestcut.facts import Fact
from nestcut.words import Speech, tell, tell_fact

MM = Speech(currency="EUR")


def said(told: Fact | Finding, speech: Speech = MM) -> str:
    """A fact's sentence, or a finding's message."""
    return tell_fact(told, speech) if isinstance(told, Fact) else tell(told, speech).message


def all_said(told: Iterable[Fact | Finding], speech: Speech = MM) -> tuple[str, ...]:
    """Each in its turn."""
    return tuple(said(t, speech) for t in told)
