"""Records to plain JSON values and back; true curves carry the name of their kind."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from cattrs import Converter
from cattrs.strategies import configure_tagged_union

from nestcut.model.curves import Curve


@lru_cache(maxsize=1)
def converter() -> Converter:
    """Return the converter for all records of :mod:`nestcut.model`."""
    made = Converter(forbid_extra_keys=True, unstruct_collection_overrides={tuple: list})
    configure_tagged_union(Curve, made, tag_name="kind", tag_generator=lambda t: t.__name__.lower())
    made.register_structure_hook(float, lambda value, _: _number(value))
    return made


def _number(value: Any) -> float:
    """Read a JSON number; a text that merely looks like one is refused."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{value!r} is no number")  # noqa: TRY004 - cattrs gathers ValueErrors
    number = float(value)
    if number != number or number in {float("inf"), float("-inf")}:  # noqa: PLR0124
        raise ValueError(f"{value!r} is no finite number")
    return number
