"""What the page may ask, each message checked before anything is done with it."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, fields
from functools import lru_cache
from typing import Any, TypeVar

from cattrs import BaseValidationError, Converter, transform_error

Message = TypeVar("Message")


class MessageError(ValueError):
    """A message that isn't as agreed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """Open a job file of the folder, by name."""

    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Begin:
    """Write a first job file: from drawings of the folder, or by numbers."""

    name: str
    units: str
    drawings: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetValue:
    """Set one value of the job file; ``seen`` is the digest of the text it was shown."""

    seen: str
    path: list[str | int]
    value: Any
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Remove:
    """Take a value or a table out of the job file."""

    seen: str
    path: list[str | int]
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AddTable:
    """Put one table more into the job file."""

    seen: str
    kind: str
    values: dict[str, Any]
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseGaps:
    """Have the gaps of a drawing's layer closed."""

    seen: str
    file: str
    layer: str
    setting: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPart:
    """Say of an outline that it is no part: the part that it was so far goes, or is a rail."""

    seen: str
    file: str
    outline: str
    what: str
    part: int | None = None
    """Place of the part that it was."""
    rail: dict[str, Any] = field(default_factory=dict)
    """The rail that is made instead; empty: none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetText:
    """Put a whole new text into the job file."""

    seen: str
    text: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Search a plan."""

    label: str
    effort: str = "normal"
    joints: str = "cheapest"
    seconds: float | None = None
    keeps_pins: bool = False
    """Whether only the pieces that aren't pinned get new places."""
    anew: bool = False
    """Whether even what is cut already is planned anew."""
    without: list[str] = field(default_factory=list)
    """Names of stock that shall not be used: a plan from another sheet size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """Pin pieces where they are, or let them go again."""

    pieces: list[str]
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A piece came off the saw."""

    piece: str
    is_spoilt: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncut:
    """A piece was ticked off by mistake."""

    piece: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Choose:
    """Take one of the plans found side by side."""

    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Push:
    """Push a piece on its sheet towards a place, or set it down elsewhere."""

    piece: str
    sheet: int
    shift_mm: list[float]
    turn_deg: float
    face_down: bool
    keeps: bool
    """Whether the plan changes; else the page only asks how it would lie."""
    from_mm: list[float] = field(default_factory=list)
    """Where it was told to lie last, on its way; empty: it lies as the plan has it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Let two pieces change places."""

    piece: str
    other: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Papers:
    """Write the papers."""

    paper: str = ""


@lru_cache(maxsize=1)
def _converter() -> Converter:
    made = Converter(forbid_extra_keys=True)
    made.register_structure_hook(str, lambda v, _: _exactly(v, str))
    made.register_structure_hook(bool, lambda v, _: _exactly(v, bool))
    made.register_structure_hook(int, lambda v, _: _exactly(v, int))
    made.register_structure_hook(int | None, lambda v, _: None if v is None else _exactly(v, int))
    made.register_structure_hook(float, lambda v, _: _finite(v))
    made.register_structure_hook(str | int, lambda v, _: _key(v))
    return made


def _exactly(value: Any, kind: type) -> Any:
    if type(value) is not kind:
        raise ValueError(f"{value!r} is no {kind.__name__}")
    return value


def _key(value: Any) -> str | int:
    if type(value) is str or (type(value) is int and value >= 0):
        return value
    raise ValueError(f"{value!r} is no key")


def _finite(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{value!r} is no number")  # noqa: TRY004 - cattrs gathers ValueErrors
    if not abs(value) < 1e9:
        raise ValueError(f"{value!r} is out of range")
    return float(value)


def read_message(body: bytes, kind: type[Message]) -> Message:
    """Read a message.

    Raises
    ------
    MessageError
        If it isn't JSON, or not of this kind.
    """
    try:
        data = json.loads(body)
        if not isinstance(data, dict):
            raise MessageError("a message is an object")
        for place in fields(kind):  # type: ignore[arg-type]
            held = data.get(place.name, [])
            if str(place.type).startswith("list") and not isinstance(held, list):
                raise MessageError(f"'{place.name}' is a list")
        return _converter().structure(data, kind)
    except (ValueError, RecursionError) as error:
        raise MessageError(str(error)) from None
    except BaseValidationError as error:
        raise MessageError("; ".join(transform_error(error))) from None
