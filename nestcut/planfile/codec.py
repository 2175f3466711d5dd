"""Records to plain JSON values and back; true curves carry the name of their kind."""

from __future__ import annotations

from dataclasses import astuple
from functools import lru_cache
from typing import Any

from cattrs import Converter
from cattrs.strategies import configure_tagged_union

from nestcut.facts import MEASURES, Fact, Facts, Names, Value, Values
from nestcut.model.curves import Curve


@lru_cache(maxsize=1)
def converter() -> Converter:
    """Return the converter for all records of :mod:`nestcut.model`."""
    made = Converter(forbid_extra_keys=True, unstruct_collection_overrides={tuple: list})
    configure_tagged_union(Curve, made, tag_name="kind", tag_generator=lambda t: t.__name__.lower())
    made.register_structure_hook(float, lambda value, _: finite_number(value))
    made.register_structure_hook(Value, _read_value)
    made.register_unstructure_hook(Value, _written_value)
    made.register_structure_hook(Fact, lambda data, _: read_fact(data))
    made.register_unstructure_hook(Fact, written_fact)
    return made


_KINDS: dict[str, Any] = {kind.__name__.lower(): kind for kind in MEASURES}


def _written_value(value: Value) -> object:
    """A count, figure or name as it is; a measure under the name of its kind."""
    if isinstance(value, int | float | str):
        return value
    if isinstance(value, Fact):
        return {"fact": written_fact(value)}
    if isinstance(value, Facts):
        return {"facts": [written_fact(f) for f in value.facts]}
    (held,) = astuple(value)
    if isinstance(value, Names):
        return {"names": list(held)}
    # Read back as decimals: 200 and 200.0 are the same value, and must be the same text.
    number = [float(n) for n in held] if isinstance(held, tuple) else float(held)
    return {type(value).__name__.lower(): number}


def _read_value(data: Any, _: object) -> Value:
    if isinstance(data, str):
        return data
    if not isinstance(data, dict):
        return data if isinstance(data, int) else finite_number(data)
    ((kind, held),) = data.items()
    if kind == "fact":
        return read_fact(held)
    if kind == "facts":
        return Facts(tuple(read_fact(f) for f in held))
    if kind not in _KINDS:
        raise ValueError(f"'{kind}' is no kind of value")
    if kind == "names":
        return Names(tuple(str(name) for name in held))
    read = tuple(map(finite_number, held)) if isinstance(held, list) else finite_number(held)
    made: Value = _KINDS[kind](read)
    return made


def written_fact(fact: Fact) -> dict[str, object]:
    """Return a fact's code and its values, as JSON holds them."""
    return {"code": fact.code, "values": [[n, _written_value(v)] for n, v in fact.values]}


def read_fact(data: Any) -> Fact:
    """Read a fact.

    Raises
    ------
    ValueError, KeyError, TypeError
        If it is none.
    """
    return Fact(str(data["code"]), _read_values(data["values"]))


def _read_values(rows: Any) -> Values:
    read = tuple((str(name), _read_value(value, Value)) for name, value in rows)
    if len({name for name, _ in read}) != len(read):
        raise ValueError("a value is told twice")
    return read


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
