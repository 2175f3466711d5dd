"""How the verifier speaks: every objection names a piece or a place, with what it has and needs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from enum import Enum

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Value
from nestcut.model.plan import Plan
from nestcut.tolerances.lengths import FIGURES_MM


def objection(code: str, where: str, **values: Value) -> Finding:
    """Return an objection; its sentence stands in :mod:`nestcut.words`.

    Parameters
    ----------
    code
        Such as ``"VER-007"``.
    where
        Piece, sheet or board that it is about.
    values
        What the code's sentence names.
    """
    return finding(code, Severity.ERROR, where, **values)


def exact(mm: float) -> str:
    """Return a length to a thousandth, for what differs by hardly more. [mm]"""
    return f"{mm:.3f} mm"


def owns_up(plan: Plan, code: str, part: str) -> bool:
    """Whether a plan says by itself that a part breaks a rule: the builder asked for it so.

    Parameters
    ----------
    code
        Of the rule's finding.
    part
        Name of the part.
    """
    return any(f.code == code and f.about == part for f in plan.findings)


def differences(
    have: object, want: object, *, besides: Iterable[str] = (), within: float = FIGURES_MM
) -> list[tuple[str, str, str]]:
    """Return the fields in which two records differ: (name, what one has, what the other has).

    Figures may differ by ``within``; fields named in ``besides`` are looked at elsewhere.

    Parameters
    ----------
    have, want
        Records of one class.
    besides
        Names of fields that are looked at elsewhere.
    within
        How much figures may differ. [mm]

    Raises
    ------
    TypeError
        If the first is no record.
    """
    if not is_dataclass(have) or isinstance(have, type):
        raise TypeError(f"{have!r} is no record")
    found = []
    for field in fields(have):
        if field.name in besides:
            continue
        a, b = getattr(have, field.name), getattr(want, field.name)
        if not _same(a, b, within):
            found.append((field.name.removesuffix("_mm").replace("_", " "), _told(a), _told(b)))
    return found


def _same(a: object, b: object, within: float) -> bool:
    if isinstance(a, float | int) and isinstance(b, float | int):
        return a == b or abs(a - b) <= within
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(_same(x, y, within) for x, y in zip(a, b, strict=True))
    if is_dataclass(a) and type(a) is type(b):
        return all(_same(getattr(a, f.name), getattr(b, f.name), within) for f in fields(a))
    return a == b


def _told(value: object) -> str:
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, tuple) and value and all(isinstance(v, Enum) for v in value):
        return ", ".join(map(_told, value))
    text = str(value)
    return text if len(text) <= 60 else text[:57] + "..."
