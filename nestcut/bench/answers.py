"""What the desk answers with where it can't do what was asked."""

from __future__ import annotations

from typing import Any


class NotHere(LookupError):  # noqa: N818 - answered as "not found"
    """What was asked for isn't in the job's folder."""


class Refused(Exception):  # noqa: N818 - answered with findings
    """What was asked can't be done; carries findings as the page shows them."""

    def __init__(self, findings: list[dict[str, Any]]) -> None:
        self.findings = findings
        super().__init__("; ".join(str(f.get("message")) for f in findings))
