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
    made.register_structure_hook(float, lambda value, _: finite_number(value))
    return made


def whole_number(value: Any) -> int:
    """Read a whole JSON number.

    Raises
    ------
    ValueError
        If it is none.
    """
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError(f"{value!r} is no whole number")  # noqa: TRY004 - as in finite_number
    return value


def finite_number(value: Any) -> float:
    """Read a JSON number; a text that merely looks like one is refused.

    Raises
    ------
    ValueError
        If it is no number, or none that is finite.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{value!r} is no number")  # noqa: TRY004 - cattrs gathers ValueErrors
    number = float(value)
    if number != number or number in {float("inf"), float("-inf")}:  # noqa: PLR0124
        raise ValueError(f"{value!r} is no finite number")
    return number
