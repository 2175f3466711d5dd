"""What a table is asked for and what is wrong with it: findings, unknown keys, open questions."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field

from nestcut.jobfile.book import FindingBook
from nestcut.units import Unit

_QUESTIONS = {
    "kerf": "how wide is your saw cut?",
    "thickness": "how thick is it?",
    "unit": "in which unit is it drawn?",
    "kind": "of which kind is it?",
    "name": "what is it called?",
    "material": "what is it made of?",
}
"""What an empty text leaves open, by its key."""


@dataclass(slots=True)
class AskedTable:
    """A TOML table that knows which of its keys were asked for, and what was wrong with them.

    Parameters
    ----------
    data
        The parsed table.
    path
        Its key path, such as ``part[3]``.
    book
        Where findings go.
    bare
        Job-wide unit of bare numbers; None refuses them.
    """

    data: Mapping[str, object]
    path: str
    book: FindingBook
    bare: Unit | None = None
    is_sound: bool = True
    _asked: dict[str, None] = field(default_factory=dict)

    def where(self, key: str) -> str:
        """Key path of ``key``."""
        return f"{self.path}.{key}" if self.path else key

    def fault(self, key: str, code: str, message: str, remedy: str) -> None:
        """Record a fault of ``key`` and mark the table unsound."""
        self.is_sound = False
        self.book.error(code, self.where(key), message, remedy)

    def has(self, key: str) -> bool:
        """Whether the key was written; asking makes it a known key."""
        self._asked.setdefault(key)
        return key in self.data

    def value(self, key: str) -> object:
        """Value as parsed, None if absent; asking makes it a known key."""
        self._asked.setdefault(key)
        return self.data.get(key)

    def absent(self, key: str, what: str) -> None:
        """Record that a key is missing."""
        self.fault(key, "JOB-004", f"the {what} is missing.", f"Add: {key} = ...")

    def mistyped(self, key: str, value: object, expected: str) -> None:
        """Record that a value is of the wrong kind."""
        shown = "a table" if isinstance(value, Mapping) else repr_toml(value)
        self.fault(key, "JOB-005", f"{shown} is not {expected}.", f"Write {expected}.")

    def is_unanswered(self, key: str, value: object, choices: str = "") -> bool:
        """Whether the value is an empty text; then a question is recorded."""
        if not isinstance(value, str) or value.strip():
            return False
        self.is_sound = False
        plain = key.split("[", maxsplit=1)[0]
        asked = _QUESTIONS.get(plain, f"what is the {plain.replace('_', ' ')}?")
        remedy = f"Choose from: {choices}." if choices else f"Write the answer after {key} = ."
        self.book.question("JOB-022", self.where(key), f"not answered yet: {asked}", remedy)
        return True

    def close(self) -> None:
        """Report every key that nobody asked for, with the nearest known one."""
        for key in self.data:
            if key in self._asked:
                continue
            near = difflib.get_close_matches(key, list(self._asked), n=1, cutoff=0.5)
            known = ", ".join(sorted(self._asked))
            remedy = f"Did you mean '{near[0]}'?" if near else f"Known keys here: {known}."
            self.fault(key, "JOB-003", f"unknown key '{key}'.", remedy)


def repr_toml(value: object) -> str:
    """Show a value as the builder wrote it, shortened."""
    if isinstance(value, bool):
        return "true" if value else "false"
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
