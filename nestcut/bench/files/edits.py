"""Changes of a job file's text, one value or table at a time; comments and order stay."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Item, Table, Whitespace

from nestcut.gate import scan

Key = str | int
"""A key of a table, or the place of a table among its like, from 0."""
Plain = str | int | float | bool | list["Plain"] | dict[str, "Plain"]
"""What a page can say."""
_POINTERS = {"outline", "label", "layer", "block", "handle"}
"""Keys by which a part finds its outline."""


_FIGURE = "shape"


class EditError(ValueError):
    """A change that can't be made: the page and the file have gone apart."""


def with_value(text: str, path: Sequence[Key], value: Plain) -> str:
    """Return a job's text with one value changed, or added to its table.

    Parameters
    ----------
    text
        The job file's text.
    path
        Keys and places in lists that lead to the value.
    value
        Text, number, yes or no, or a list or table of these.

    Raises
    ------
    EditError
        If the text is no TOML, or there is no table to put it into.
    """
    document = _parsed(text)
    parent = _reached(document, path[:-1])
    last = path[-1]
    if isinstance(parent, dict) and isinstance(last, str):
        _put(parent, last, value)
        return tomlkit.dumps(document)
    if isinstance(parent, list) and isinstance(last, int) and last < len(parent):
        parent[last] = _inline(value)
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

    Parameters
    ----------
    text
        The job file's text.
    kind
        Key of the list of tables, such as ``"part"``.
    values
        The table's keys and values.

    Raises
    ------
    EditError
        If the text is no TOML, or something else goes by that name.
    """
    document = _parsed(text)
    table = tomlkit.table()
    for key, value in values.items():
        table[key] = _item(key, value)
    tables = document.get(kind)
    if tables is None:
        made = tomlkit.aot()
        made.append(table)
        if document.body:
            document.add(tomlkit.nl())
        document[kind] = made
    elif isinstance(tables, AoT):
        foot = _foot(tables[-1]) if tables else []
        if tables:
            tables[-1].value.body.append((None, Whitespace("\n")))
        tables.append(table)
        table.value.body.extend(foot)
    else:
        raise EditError(f"'{kind}' is no list of tables")
    return tomlkit.dumps(document)


def with_gap(text: str, file: str, layer: str, setting: str) -> str:
    """Return a job's text in which gaps of one layer of a drawing are closed.

    It is said in the ``[[drawing]]`` of that file, which is added where there is none.

    Parameters
    ----------
    text
        The job file's text.
    file
        Drawing's file, as the job file has it.
    layer
        Its layer; upper and lower case are the same.
    setting
        Value of ``join_gap``, as one would write it.

    Raises
    ------
    EditError
        If the text is no TOML, or has something else in that place.
    """
    own = _parsed(text).unwrap().get("drawing", [])
    files = [d.get("file") for d in own] if isinstance(own, list) else []
    if file not in files:
        said: dict[str, Plain] = {"name": layer, "join_gap": setting}
        return with_table(text, "drawing", {"file": file, "layers": [said]})
    at = files.index(file)
    layers = own[at].get("layers", [])
    names = [str(said.get("name")).casefold() for said in layers]
    if layer.casefold() in names:
        place = names.index(layer.casefold())
        return with_value(text, ["drawing", at, "layers", place, "join_gap"], setting)
    return with_value(
        text, ["drawing", at, "layers"], [*layers, {"name": layer, "join_gap": setting}]
    )


def with_no_part(text: str, file: str, pointer: str) -> str:
    """Return a job's text that says of an outline that it is no part.

    Parameters
    ----------
    text
        The job's text.
    file
        The drawing, as the job names it.
    pointer
        The outline's number in it (``"6 of 14"``).

    Raises
    ------
    EditError
        If the text is no TOML, or has something else in that place.
    """
    own = _parsed(text).unwrap().get("drawing", [])
    files = [d.get("file") for d in own] if isinstance(own, list) else []
    if file not in files:
        return with_table(text, "drawing", {"file": file, "no_parts": [pointer]})
    at = files.index(file)
    said = own[at].get("no_parts", [])
    return with_value(text, ["drawing", at, "no_parts"], [*said, pointer])


def without_no_part(text: str, file: str, pointer: str) -> str:
    """Return a job's text that doesn't say any more that an outline is no part.

    Parameters
    ----------
    text
        The job's text.
    file, pointer
        As for :func:`with_no_part`.

    Raises
    ------
    EditError
        If the text is no TOML.
    """
    tables = _parsed(text).unwrap().get("drawing", [])
    for at, own in enumerate(tables if isinstance(tables, list) else []):
        said = own.get("no_parts", [])
        if own.get("file") != file or pointer not in said:
            continue
        rest = [p for p in said if p != pointer]
        if rest:
            return with_value(text, ["drawing", at, "no_parts"], rest)
        if set(own) == {"file", "no_parts"}:
            return without(text, ["drawing", at])
        return without(text, ["drawing", at, "no_parts"])
    return text


def with_parts(text: str, parts: Iterable[Mapping[str, Plain]]) -> str:
    """Return a job's text with parts more; a name that is taken gets a number.

    Parameters
    ----------
    parts
        Keys and values of each ``[[part]]``.

    Raises
    ------
    EditError
        If the text is no TOML, or has something else in that place.
    """
    for part in parts:
        taken = {str(p.get("name")) for p in _parsed(text).unwrap().get("part", [])}
        usual = str(part["name"])
        names = (usual, *(f"{usual} {n}" for n in range(2, len(taken) + 3)))
        free = next(n for n in names if n not in taken)
        text = with_table(text, "part", {**part, "name": free})
    return text


def pointed_at(text: str, place: int, pointer: str, was: int, now: int) -> str:
    """Return a job's text in which a part points at an outline by its number (``"6 of 14"``).

    Holes that the part names by the number that its outline had (``"5a"``) are named by the new.

    Parameters
    ----------
    text
        The job file's text.
    place
        Which ``[[part]]``, from 0.
    pointer
        What ``outline`` is to say.
    was, now
        The outline's number before and after.

    Raises
    ------
    EditError
        If there is no such part.
    """
    part = _parsed(text).unwrap().get("part", [])[place]
    for key in sorted((_POINTERS - {"outline"}) & set(part)):
        text = without(text, ["part", place, key])
    text = with_value(text, ["part", place, "outline"], pointer)
    holes = part.get("doubtful_holes")
    if isinstance(holes, list):
        own = re.compile(rf"{was}(?=[a-z])")
        named: list[Plain] = [own.sub(str(now), hole, count=1) for hole in holes]
        text = with_value(text, ["part", place, "doubtful_holes"], named)
    return text


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


def _put(table: Any, key: str, value: Plain) -> None:
    """Set a key; its remark stays, and a new one stands below the others, not below what follows.

    What stands below the last key's own remarks, apart by an empty line, speaks of the next table.
    """
    old = table.get(key)
    new = _item(key, value)
    if isinstance(old, Item):
        new.trivia.comment_ws = old.trivia.comment_ws
        new.trivia.comment = old.trivia.comment
        table[key] = new
        return
    foot = _foot(table)
    table[key] = new
    if foot:
        table.value.body.extend(foot)


def _item(key: str, value: Plain) -> Item:
    """Return a value as the file has it: tables in a line, but figures, which have many keys."""
    if isinstance(value, dict) and key == _FIGURE:
        return tomlkit.item(value)
    return _inline(value)


def _inline(value: Plain) -> Item:
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        for key, held in value.items():
            table[key] = _inline(held)
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for held in value:
            array.append(_inline(held))
        return array
    return tomlkit.item(value)


def _foot(table: Any) -> list[Any]:
    """Take off a table's end what is below an empty line after its last key."""
    if not isinstance(table, Table):
        return []
    body = table.value.body
    last = max((i for i, (key, _) in enumerate(body) if key is not None), default=-1)
    if last >= 0 and isinstance(body[last][1], Table | AoT):
        return []
    blank = (i for i, (_, item) in enumerate(body) if i > last and isinstance(item, Whitespace))
    cut = next(blank, len(body))
    foot = list(body[cut:])
    del body[cut:]
    return foot


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
