"""Which findings of a drawing concern what a job takes from it, and which only the rest."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from nestcut.drawings.pick import same_size
from nestcut.drawings.records import Drawing, DrawnOutline, Verdict
from nestcut.drawings.remarks import said_terms
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Names
from nestcut.trade import shop as trade

_REACH_MM = trade.LOOSE_ENDS_MM.value

ALWAYS = frozenset({
    "DXF-004", "DXF-005", "DXF-010", "DXF-011", "DXF-012", "DXF-013", "DXF-020", "DXF-021",
    "DXF-024", "DXF-037", "DXF-038", "DXF-041", "DXF-046", "DXF-047", "DXF-067",
})  # fmt: skip
"""About the whole drawing, or about an outline that isn't there because it doesn't close."""

OF_UNITS = frozenset({"DXF-010", "DXF-011", "DXF-012", "DXF-013"})
"""About the unit: follow-on faults where the job's own word on it is in fault."""

_ASKED = "DXF-048"
_AT_PARTS = frozenset({"DXF-034", "DXF-058"})
"""Halves and doubtful holes: told of the part that they concern."""


def findings_for(
    drawing: Drawing,
    taken: Sequence[DrawnOutline],
    refused: Sequence[Finding] = (),
    no_parts: Collection[int] = (),
) -> tuple[Finding, ...]:
    """Return what a job that takes these outlines is told of their drawing.

    ``refused`` are faults that parts were told already; ``no_parts`` are numbers of outlines that
    the job says are none.

    Doubtful holes are asked about at their part; outlines in doubt that the job takes are settled.
    What only concerns the rest of the drawing is counted in one line.

    Parameters
    ----------
    refused
        Faults that parts were told already.
    no_parts
        Numbers of outlines that the job says are none.
    """
    numbers = {o.number for o in taken} | set(no_parts)
    known = {(f.code, f.at_mm) for f in refused}
    told, rest = [], 0
    for item in drawing.findings:
        if item.at_mm is not None and (item.code, item.at_mm) in known:
            continue
        if item.code == _ASKED:
            left = [o for o in drawing.asked if o.number not in numbers and o.is_sound]
            if left:
                told.append(
                    replace(asked_finding(drawing.file, left, drawing.numbered), where=item.where)
                )
        elif item.code in _AT_PARTS:
            continue
        elif item.code in ALWAYS or _is_near(item, taken):
            told.append(item)
        else:
            rest += 1
    told += _left_over(drawing, taken, no_parts)
    if rest:
        made = finding("DXF-064", Severity.NOTE, drawing.file, n=rest)
        told.append(replace(made, file=drawing.file))
    return tuple(told)


def _left_over(
    drawing: Drawing, taken: Sequence[DrawnOutline], no_parts: Collection[int]
) -> list[Finding]:
    """Say which parts of the drawing the job takes neither by themselves nor as copies.

    A named one that the job's own closing of gaps made an outline is asked about: whoever closed
    them wants it cut, or says that it is no part.
    """
    halves = (o for o in drawing.offered if o.half_of and o.judgement.verdict is Verdict.PART)
    left = [
        o for o in (*drawing.outlines, *halves)
        if o.number and o.is_sound and o.number not in no_parts
        and not any(o.number == t.number or same_size(o, t) for t in taken)
    ]  # fmt: skip
    closed = [o for o in left if is_closed_by_job(drawing, o)]
    return [
        *_closed_findings(drawing, closed),
        *_left_finding(drawing, [o for o in left if o not in closed] if taken else []),
    ]


def is_closed_by_job(drawing: Drawing, outline: DrawnOutline) -> bool:
    """Whether an outline has a name and is one only because the job closes its gaps."""
    return bool(outline.labels) and outline.number > drawing.unclosed


def _closed_findings(drawing: Drawing, closed: list[DrawnOutline]) -> list[Finding]:
    made = []
    for outline in closed:
        item = finding(
            "DXF-068", Severity.QUESTION, drawing.file, name=outline.name, number=outline.number,
            file=drawing.file, pointer=f"{outline.number} of {drawing.numbered}",
            example=_entry(drawing.file, outline, drawing.numbered),
        )  # fmt: skip
        made.append(replace(item, file=drawing.file))
    return made


def _left_finding(drawing: Drawing, left: list[DrawnOutline]) -> list[Finding]:
    if not left:
        return []
    numbers = tuple(_called(o) for o in left[:_MOST_NUMBERS])
    made = finding("DXF-066", Severity.NOTE, drawing.file, n=len(left), numbers=Names(numbers),
                   example=_entry(drawing.file, left[0], drawing.numbered))  # fmt: skip
    return [replace(made, file=drawing.file)]


def asked_finding(file: str, asked: Sequence[DrawnOutline], numbered: int) -> Finding:
    """Say which outlines are in doubt and not taken; ``numbered`` is how many have a number.

    Parameters
    ----------
    file
        Of the drawing, as the job names it.
    asked
        Outlines in doubt, one or more.
    numbered
        How many outlines of the drawing have a number.
    """
    kinds = dict.fromkeys(o.judgement.kind.value for o in asked if o.judgement.kind)
    numbers = tuple(_called(o) for o in asked[:_MOST_NUMBERS])
    made = finding(_ASKED, Severity.WARNING, file, n=len(asked), numbers=Names(numbers),
                   kinds=Names(tuple(kinds)),
                   example=_entry(file, asked[0], numbered))  # fmt: skip
    return replace(made, file=file)


def _called(outline: DrawnOutline) -> str:
    """An outline's number, and its name where a label gives it one."""
    return f"{outline.number} ({outline.name})" if outline.labels else str(outline.number)


def _entry(file: str, outline: DrawnOutline, numbered: int) -> str:
    """What a part of an outline is written as, in one line, with what its label says."""
    keys: dict[str, str | int] = {
        "name": outline.name,
        "drawing": file,
        "outline": f"{outline.number} of {numbered}",
        **said_terms(outline),
    }
    said = (f"{k} = {v}" if isinstance(v, int) else f"{k} = {_quoted(v)}" for k, v in keys.items())
    return ", ".join(said)


def _quoted(text: str) -> str:
    """A text as TOML has it; an inch mark inside asks for single quotes."""
    plain = "".join(c for c in text if c.isprintable())
    return f"'{plain}'" if '"' in plain else f'"{plain}"'


_MOST_NUMBERS = 40


def _is_near(item: Finding, taken: Sequence[DrawnOutline]) -> bool:
    if item.at_mm is None:
        return False
    x, y = item.at_mm
    return any(
        b[0] - _REACH_MM <= x <= b[2] + _REACH_MM and b[1] - _REACH_MM <= y <= b[3] + _REACH_MM
        for b in (o.box_mm for o in taken)
    )
