"""Changes of a job file's text, one value or table at a time; comments and order stay."""

from __future__ import annotations

from collections.abc import Sequence

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Item, Table

from nestcut.gate import scan

Key = str | int
"""A key of a table, or the place of a table among its like, from 0."""
Plain = str | int | float | bool | list["Plain"] | dict[str, "Plain"]
"""What a page can say."""


class EditError(ValueError):
    """A change that can't be made: the page and the file have gone apart."""


def with_value(text: str, path: Sequence[Key], value: Plain) -> str:
    """Return a job's text with one value changed, or added to its table.

    Raises
    ------
    EditError
        If the text is no TOML, or there is no table to put it into.
    """
    document = _parsed(text)
    parent = _reached(document, path[:-1])
    last = path[-1]
    if isinstance(parent, dict) and isinstance(last, str):
        old = parent.get(last)
        new = tomlkit.item(value)
        if isinstance(old, Item) and isinstance(new, Item):
            new.trivia.comment_ws = old.trivia.comment_ws
            new.trivia.comment = old.trivia.comment
        parent[last] = new
        return tomlkit.dumps(document)
    if isinstance(parent, list) and isinstance(last, int) and last < len(parent):
        parent[last] = value
        return tomlkit.dumps(document)
    raise EditError(f"there is no place for {_words(path)}")


def without(text: str, path: Sequence[Key]) -> str:
    """Return a job's text with a value or a table taken out.

    Raises
    ------
    EditError
        If it isn't there.
    """
    document = _parsed(text)
    parent = _reached(document, path[:-1])
    last = path[-1]
    try:
        del parent[last]  # type: ignore[attr-defined]
    except (KeyError, IndexError, TypeError, TOMLKitError):
        raise EditError(f"there is no {_words(path)}") from None
    if isinstance(parent, AoT) and not parent and isinstance(path[0], str) and len(path) == 2:
        del document[path[0]]
    return tomlkit.dumps(document)


def with_table(text: str, kind: str, values: dict[str, Plain]) -> str:
    """Return a job's text with one table more of a kind, after its like.

    Raises
    ------
    EditError
        If the text is no TOML, or something else goes by that name.
    """
    document = _parsed(text)
    table = tomlkit.table()
    for key, value in values.items():
        table[key] = value
    table.add(tomlkit.nl())
    tables = document.get(kind)
    if tables is None:
        made = tomlkit.aot()
        made.append(table)
        document[kind] = made
    elif isinstance(tables, AoT):
        tables.append(table)
    else:
        raise EditError(f"'{kind}' is no list of tables")
    return tomlkit.dumps(document)


def tables_as_written(text: str) -> dict[str, Plain]:
    """Return everything in a job file as plain values, for forms.

    Raises
    ------
    EditError
        If the text is no TOML.
    """
    plain: dict[str, Plain] = _parsed(text).unwrap()
    return plain


def _parsed(text: str) -> tomlkit.TOMLDocument:
    if scan(text, "the job file"):
        raise EditError("it is beyond what a job file may hold")
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, RecursionError) as error:
        raise EditError(str(error)) from None


def _reached(document: tomlkit.TOMLDocument, path: Sequence[Key]) -> object:
    here: object = document
    for key in path:
        if isinstance(here, tomlkit.TOMLDocument | Table | InlineTable) and isinstance(key, str):
            if key not in here:
                here[key] = tomlkit.table()
            here = here[key]
        elif isinstance(here, list) and isinstance(key, int) and 0 <= key < len(here):
            here = here[key]
        else:
            raise EditError(f"there is no {_words(path)}")
    return here


def _words(path: Sequence[Key]) -> str:
    return ".".join(str(k) for k in path)
