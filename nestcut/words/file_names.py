"""Names of files: safe on every system, and no two things under one."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable


def safe_name(text: str) -> str:
    """Turn a name into a file name that is the same on every system and leads nowhere else.

    >>> safe_name("6 mm ply / yard: B")
    '6-mm-ply-yard-B'
    """
    # marks of a script belong to its letters, though they are no letters themselves
    kept = "".join(c if c == "_" or unicodedata.category(c)[0] in "LNM" else " " for c in text)
    plain = re.sub(r" +", "-", kept).strip("-_.")
    return plain[:60].rstrip("-") or "unnamed"


def free_names(texts: Iterable[str]) -> tuple[str, ...]:
    """Return a safe name for each text, none twice, not even in another case.

    >>> free_names(["knee a/b", "Knee a b", "plate"])
    ('knee-a-b', 'Knee-a-b-2', 'plate')
    """
    taken: set[str] = set()
    names: list[str] = []
    for text in texts:
        stem = name = safe_name(text)
        number = 1
        while name.casefold() in taken:
            number += 1
            name = f"{stem}-{number}"
        taken.add(name.casefold())
        names.append(name)
    return tuple(names)


def next_name(name: str, is_taken: Callable[[str], bool]) -> str:
    """``punt`` is followed by ``punt-2``, this one by ``punt-3``; none that is taken.

    >>> next_name("punt-2", {"punt-3"}.__contains__)
    'punt-4'
    """
    stem, dash, tail = name.rpartition("-")
    if not (dash and tail.isdigit()):
        stem, tail = name, "1"
    number = int(tail) + 1
    while is_taken(f"{stem}-{number}"):
        number += 1
    return f"{stem}-{number}"
