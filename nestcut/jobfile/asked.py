"""What a table is asked for and what is wrong with it: findings, unknown keys, open questions."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from nestcut.errors import Severity
from nestcut.facts import Fact, Names, Value
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.schema import Key, TableSchema, schema_at
from nestcut.units import Unit

_QUESTIONS = {
    "kerf": "how wide is your saw cut?",
    "thickness": "how thick is it?",
    "doubtful_holes": "are the lines inside it holes to cut out, or only drawn on it?",
    "join_gap": "how far apart may ends of lines be that belong together?",
    "count": "how many are wanted?",
    "drawn_half": "is it half a part, to be mirrored about its straight edge?",
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

    def fault(self, key: str, code: str, clause: str, /, **values: Value) -> None:
        """Record a fault of ``key`` that has several forms: the clause of this one, its values.

        Parameters
        ----------
        key
            The key at fault.
        code
            Of the fault, such as ``"JOB-005"``.
        clause
            Code of the clause that its sentence takes in.
        values
            What the clause names.
        """
        self.told(key, code, why=Fact(clause, tuple(values.items())))

    def told(self, key: str, code: str, /, **values: Value) -> None:
        """Record a fault of ``key`` by its code and values, and mark the table unsound.

        Parameters
        ----------
        key
            The key at fault.
        code
            Of the fault, such as ``"JOB-005"``.
        values
            What the code's sentence names.
        """
        self.is_sound = False
        self.book.tell(code, self.where(key), Severity.ERROR, **values)

    def spoil(self) -> None:
        """Make the table useless without telling why: that is told elsewhere."""
        self.is_sound = False

    def count_in(self, unit: Unit | None) -> None:
        """Take bare numbers of this table in a unit; None refuses them."""
        self.bare = unit

    def plain(self, key: str) -> tuple[object, ...]:
        """Values of a list as they are written; a single value counts as a list of one."""
        value = self.value(key)
        return tuple(value) if isinstance(value, list) else () if value is None else (value,)

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
        self.fault(key, "JOB-004", "JOB-211", what=what, key=key)

    def mistyped(self, key: str, value: object, expected: str) -> None:
        """Record that a value is of the wrong kind.

        Parameters
        ----------
        key
            The key at fault.
        value
            As it is written there.
        expected
            What it should be, in words.
        """
        shown = "a table" if isinstance(value, Mapping) else repr_toml(value)
        self.fault(key, "JOB-005", "JOB-221", shown=shown, expected=expected)

    def no_number(self, key: str, value: object, expected: str) -> None:
        """As :meth:`mistyped`; a text is told what the key counts, since it may bear a unit.

        Parameters
        ----------
        key
            The key at fault.
        value
            As it is written there.
        expected
            What it should be, in words.
        """
        schema = self.schema
        known = None if schema is None else schema.key(key)
        if not isinstance(value, str) or known is None:
            self.mistyped(key, value, expected)
            return
        self.fault(
            key,
            "JOB-005",
            "JOB-222",
            shown=repr_toml(value),
            expected=expected,
            key=key,
            says=known.says,
        )

    def is_unanswered(self, key: str, value: object, choices: str = "") -> bool:
        """Whether the value is an empty text; then a question is recorded.

        Parameters
        ----------
        key
            The key that is read.
        value
            As it is written there.
        choices
            What may be answered, in words; empty: anything.
        """
        if not isinstance(value, str) or value.strip():
            return False
        self.is_sound = False
        plain = key.split("[", maxsplit=1)[0]
        asked = _QUESTIONS.get(plain, f"what is the {plain.replace('_', ' ')}?")
        todo = (
            Fact("JOB-202", (("choices", choices),))
            if choices
            else Fact("JOB-201", (("key", key),))
        )
        where = self.where(key)
        self.book.tell("JOB-022", where, Severity.QUESTION, asked=asked, todo=todo)
        return True

    @property
    def schema(self) -> TableSchema | None:
        """What is known of this table's keys; None of a table that has no schema."""
        return schema_at(self.path, self.data.get("kind"))

    def usual(self, key: str) -> str | None:
        """What counts where a key isn't written; None where it must be."""
        schema = self.schema
        known = None if schema is None else schema.key(key)
        return None if known is None else known.default

    def close(self) -> None:
        """Report every key that the schema doesn't know, with what was likely meant."""
        schema = self.schema
        known = dict.fromkeys(self._asked)
        known.update(dict.fromkeys(k.name for k in schema.keys) if schema is not None else {})
        for key in self.data:
            if key not in known:
                self.told(key, "JOB-003", key=key, todo=self._meant(key, list(known)))

    def _meant(self, key: str, known: list[str]) -> Fact:
        """What to do about an unknown key: the nearest known one, or the table that knows it."""
        schema = self.schema
        if schema is not None and key in schema.gone:
            gone = f"{schema.gone[key][0].upper()}{schema.gone[key][1:]}"
            return Fact("JOB-203", (("gone", gone),))
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.72)
        if near:
            return Fact("JOB-204", (("near", near[0]),))
        parent = self.path.rpartition(".")[0]
        above = schema_at(parent) if parent else None
        if above is not None and above.key(key) is not None:
            here = self.path.rpartition(".")[2]
            table = re.sub(r"\[\d+\]", "", parent)
            return Fact("JOB-205", (("table", table), ("here", here)))
        if schema_at("shape" if not self.path else f"{self.path}.shape") is not None and any(
            k.name == key for k in _shape_keys()
        ):
            return Fact("JOB-206")
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
        if near:
            return Fact("JOB-204", (("near", near[0]),))
        return Fact("JOB-207", (("known", Names(tuple(sorted(known)))),))


def _shape_keys() -> tuple[Key, ...]:
    schema = schema_at("part.shape")
    return () if schema is None else schema.keys


def repr_toml(value: object) -> str:
    """Show a value as the builder wrote it, shortened."""
    if isinstance(value, bool):
        return "true" if value else "false"
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
