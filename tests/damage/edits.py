"""Edits of a plan file: each field made untrue in several ways, each list robbed and shuffled."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from numpy.random import Generator

from nestcut.search.streams import stream
from nestcut.tolerances.lengths import FIGURES_MM

_Steps = tuple[Any, ...]
"""Keys and places of lists, from the file's own keys on."""
_WITH_ANOTHER = {"another's", "exchanged"}
_NOT_THE_PLAN = {"format", "version", "seal", "files"}
"""Keys whose edits the reader, the seal and the outlet see to."""
_OTHER_WORDS = {
    "port": "starboard", "starboard": "port", "good face": "back", "back": "good face",
    "scarf": "butt strap", "butt strap": "keyed", "keyed": "scarf", "half lap": "scarf",
    "along": "across", "across": "any", "any": "along", "half": "free", "none": "half",
    "free": "none", "small": "free", "quarter": "none",
    "length": "width", "width": "length", "keep": "use", "use": "keep",
    "sheet": "board", "board": "sheet", "good up": "either", "either": "good up",
    "with the rest": "after the dry fit", "after the dry fit": "with the rest",
    "given": "chosen", "chosen": "given", "aft": "forward", "forward": "aft",
    "the work limit was reached": "nothing better is possible",
    "the time limit was reached": "nothing better is possible",
    "sheets": "sheets to buy", "money": "boards", "joints": "boards",
}  # fmt: skip


@dataclass(frozen=True)
class Edit:
    """One change: where and which way, and the damaged document."""

    path: str
    document: dict[str, Any]


def single_edits(
    document: dict[str, Any], of_each: int, every: int = 1, seed: int = 0
) -> Iterator[Edit]:
    """Ways of making every field untrue, at most so many places of one pattern of paths.

    ``every`` takes one edit in so many.
    """
    places: dict[tuple[str, str], list[_Steps]] = {}
    for steps, way in _places(document, ()):
        places.setdefault((_pattern(steps), way), []).append(steps)
    chosen = []
    for (pattern, way), found in places.items():
        rng = stream(seed, "damage", pattern, way)
        chosen += [(found[k], way) for k in sorted(rng.permutation(len(found))[:of_each].tolist())]
    alike: dict[str, list[_Steps]] = {}
    for steps in _all_steps(document, ()):
        alike.setdefault(_pattern(steps), []).append(steps)
    text = json.dumps(document)
    for steps, way in chosen[::every]:
        changed = json.loads(text)
        if way in _WITH_ANOTHER:
            rng = stream(seed, "another", "/".join(map(str, steps)), way)
            if not _with_another(changed, steps, alike[_pattern(steps)], rng, way):
                continue
        elif not _change(changed, steps, way):
            continue
        yield Edit(f"{'/'.join(map(str, steps))} {way}", changed)


def _pattern(steps: _Steps) -> str:
    """A path without which of a list is meant; keys that are names of stock are one."""
    return re.sub(r"\d+", "*", "/".join(map(str, steps)))


def _all_steps(value: Any, steps: _Steps) -> Iterator[_Steps]:
    if steps:
        yield steps
    if isinstance(value, dict | list):
        for key, held in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _all_steps(held, (*steps, key))


def _at(document: Any, steps: _Steps) -> Any:
    for step in steps:
        document = document[step]
    return document


def _differ(a: Any, b: Any) -> bool:
    """Whether two values are not the same; figures by more than their noise."""
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) > FIGURES_MM
    return bool(a != b)


def _with_another(
    document: Any, steps: _Steps, alike: list[_Steps], rng: Generator, way: str
) -> bool:
    """Take the value that stands in another place of the same kind, or exchange the two."""
    own = _at(document, steps)
    others = [s for s in alike if s != steps and _differ(_at(document, s), own)]
    if not others:
        return False
    other = others[int(rng.integers(len(others)))]
    theirs = copy.deepcopy(_at(document, other))
    if way == "exchanged":
        _at(document, other[:-1])[other[-1]] = own
    _at(document, steps[:-1])[steps[-1]] = theirs
    return True


def _places(value: Any, steps: _Steps) -> Iterator[tuple[_Steps, str]]:
    if len(steps) > 1:
        yield from ((steps, way) for way in sorted(_WITH_ANOTHER))
    if isinstance(value, dict):
        if steps == ("bounds",):
            for key in value:
                yield (*steps, key), "removed"
        for key, inner in value.items():
            if steps or key not in _NOT_THE_PLAN:
                yield from _places(inner, (*steps, key))
    elif isinstance(value, list):
        if value:
            yield from ((steps, way) for way in ("dropped", "doubled", "emptied"))
            yield steps, "its last twice"
        if len(value) > 1 and value[0] != value[1]:
            yield steps, "swapped"
        if len(value) > 2:
            yield from ((steps, way) for way in ("turned round", "shifted", "its first dropped"))
        for k, inner in enumerate(value):
            yield from _places(inner, (*steps, k))
    else:
        yield from ((steps, way) for way in _ways(value))


def _ways(value: Any) -> tuple[str, ...]:
    match value:
        case None | bool():
            return ("other", "as text")
        case int():
            return ("more", "less", "negated", "as text", "as a truth")
        case float():
            return ("more", "a little more", "longer", "less", "negated", "nothing", "as text")
        case _:
            return ("other", "blank", "none")


def _change(document: Any, steps: _Steps, way: str) -> bool:
    """Change a document in place; False where that would change nothing."""
    holder = document
    for step in steps[:-1]:
        holder = holder[step]
    last = steps[-1]
    value = holder[last]
    if way == "removed":
        del holder[last]
        return True
    if isinstance(value, list):
        changed: Any = _SHUFFLES[way](value)
    elif way == "as text":
        changed = json.dumps(value)
    elif way == "as a truth":
        holder[last] = bool(value)
        return True
    elif way == "none":
        changed = None
    elif isinstance(value, bool):
        changed = not value
    elif isinstance(value, int | float):
        changed = _figure(value, way)
    elif value is None:
        changed = 1.0
    else:
        changed = "" if way == "blank" else _OTHER_WORDS.get(value, f"{value} x")
    holder[last] = changed
    return bool(changed != value)


_SHUFFLES: dict[str, Callable[[list[Any]], list[Any]]] = {
    "dropped": lambda v: [*v[: len(v) // 2], *v[len(v) // 2 + 1 :]],
    "doubled": lambda v: [copy.deepcopy(v[-1]), *v],
    "its last twice": lambda v: [*v, copy.deepcopy(v[-1])],
    "its first dropped": lambda v: v[1:],
    "swapped": lambda v: [v[1], v[0], *v[2:]],
    "turned round": lambda v: v[::-1],
    "shifted": lambda v: [*v[1:], v[0]],
    "emptied": lambda v: [],
}


def _figure(value: float, way: str) -> float:
    step = 1 if isinstance(value, int) else 3.0
    return {
        "more": value + step,
        "a little more": value + 0.05,
        "longer": value * 1.02,
        "less": value - step,
        "negated": -value,
        "nothing": 0.0,
    }[way]
