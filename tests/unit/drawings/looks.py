"""What tests look at in a drawing as it was read."""

from __future__ import annotations

from collections import Counter

from nestcut.drawings.records import Drawing, LooksLike, Verdict
from nestcut.errors import Finding
from nestcut.facts import Length
from nestcut.words import Speech, tell


def codes(drawing: Drawing) -> Counter[str]:
    return Counter(f.code for f in drawing.findings)


def areas(drawing: Drawing) -> list[float]:
    return sorted(o.area_mm2 for o in drawing.outlines)


def names(drawing: Drawing) -> list[str]:
    return sorted(o.name for o in drawing.outlines)


def mm(item: Finding, name: str) -> float:
    value = dict(item.values)[name]
    assert isinstance(value, Length)
    return value.mm


def kinds(drawing: Drawing) -> list[str]:
    return sorted(o.judgement.kind.value for o in drawing.asked if o.judgement.kind)


def not_parts(drawing: Drawing) -> list[LooksLike | None]:
    return [o.judgement.kind for o in drawing.offered if o.judgement.verdict is Verdict.NOT_A_PART]


def said(drawing: Drawing, code: str) -> str:
    return next(tell(f, Speech()).message for f in drawing.findings if f.code == code)
