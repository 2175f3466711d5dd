"""What is known about a key and about a table of keys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum


class What(StrEnum):
    """What a key's value is; the words are those of the reference page."""

    TEXT = "words in quotes"
    TEXTS = "list of words"
    CHOICE = "one of these words"
    COUNT = "whole number"
    NUMBER = "number"
    DEGREES = "degrees"
    PRICE = "price"
    SLOPE = "slope"
    LENGTH = "length"
    SIGNED = "length, may be negative"
    LENGTHS = "list of lengths"
    POINT = "point [x, y]"
    POINTS = "list of points"
    PLACE = "station's name or length"
    PLACES = "list of stations' names or lengths"
    GRID = "table as printed"
    TABLE = "table"
    TABLES = "list of tables"
    MIXED = "see there"


class Need(StrEnum):
    """Whether a key must be written."""

    NEEDED = "needed"
    OPTIONAL = "optional"


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a table.

    Parameters
    ----------
    says
        What it is for, in one or two sentences.
    default
        What counts where it isn't written, as it would be written; None: nothing does.
    example
        As it may be written.
    choices
        The words it may be.
    table
        Name of the table's schema, of ``What.TABLE`` and ``What.TABLES``.
    into
        Field of the table's record that takes the value as it is; empty: what reads the table
        makes something of it.
    """

    name: str
    what: What
    says: str
    default: str | None = None
    example: str = ""
    choices: type[Enum] | tuple[str, ...] = ()
    need: Need = Need.OPTIONAL
    table: str = ""
    into: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """Words of a choice."""
        if isinstance(self.choices, tuple):
            return self.choices
        return tuple(str(member.value) for member in self.choices)


@dataclass(frozen=True, slots=True)
class TableSchema:
    """A table and its keys, in the order of the reference page.

    ``gone`` holds keys of former versions, and what is written in their place.
    """

    name: str
    heading: str
    says: str
    keys: tuple[Key, ...]
    gone: Mapping[str, str] = field(default_factory=dict)

    def key(self, name: str) -> Key | None:
        """Key of a name, None where there is none."""
        return next((k for k in self.keys if k.name == name), None)


def need(
    name: str,
    what: What,
    says: str,
    example: str = "",
    choices: type[Enum] | tuple[str, ...] = (),
    into: str = "",
) -> Key:
    """Key that must be written.

    Parameters
    ----------
    name, what, says, example, choices, into
        As the fields of :class:`Key`.
    """
    return Key(name, what, says, None, example, choices, Need.NEEDED, into=into)


def may(
    name: str,
    what: What,
    says: str,
    default: str | None = None,
    example: str = "",
    choices: type[Enum] | tuple[str, ...] = (),
    into: str = "",
) -> Key:
    """Key that may be written.

    Parameters
    ----------
    name, what, says, default, example, choices, into
        As the fields of :class:`Key`.
    """
    return Key(name, what, says, default, example, choices, into=into)


def sub(name: str, what: What, says: str, table: str, example: str = "") -> Key:
    """Table in a table.

    Parameters
    ----------
    name, what, says, table, example
        As the fields of :class:`Key`.
    """
    return Key(name, what, says, None, example, (), Need.OPTIONAL, table)
