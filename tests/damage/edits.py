"""Edits of a plan file: each field made untrue in several ways, each list robbed and shuffled."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from nestcut.search.streams import stream

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
    places: dict[tuple[str, str], list[tuple[Any, ...]]] = {}
    for steps, way in _places(document, ()):
        pattern = re.sub(r"\d+", "*", "/".join(map(str, steps)))
        places.setdefault((pattern, way), []).append(steps)
    chosen = []
    for (pattern, way), found in places.items():
        rng = stream(seed, "damage", pattern, way)
        chosen += [(found[k], way) for k in sorted(rng.permutation(len(found))[:of_each].tolist())]
    text = json.dumps(document)
    for steps, way in chosen[::every]:
        changed = json.loads(text)
        if _change(changed, steps, way):
            yield Edit(f"{'/'.join(map(str, steps))} {way}", changed)


def _places(value: Any, steps: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], str]]:
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
        if len(value) > 1 and value[0] != value[1]:
            yield steps, "swapped"
        for k, inner in enumerate(value):
            yield from _places(inner, (*steps, k))
    else:
        yield from ((steps, way) for way in _ways(value))


def _ways(value: Any) -> tuple[str, ...]:
    match value:
        case None | bool():
            return ("other",)
        case int():
            return ("more", "less", "negated")
        case float():
            return ("more", "a little more", "longer", "less", "negated", "nothing")
        case _:
            return ("other", "blank")


def _change(document: Any, steps: tuple[Any, ...], way: str) -> bool:
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
        changed: Any = _shuffled(value, way)
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


def _shuffled(value: list[Any], way: str) -> list[Any]:
    match way:
        case "dropped":
            middle = len(value) // 2
            return [*value[:middle], *value[middle + 1 :]]
        case "doubled":
            return [copy.deepcopy(value[-1]), *value]
        case "swapped":
            return [value[1], value[0], *value[2:]]
        case _:
            return []


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
