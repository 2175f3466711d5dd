"""Whether a plan on the wall has been gone on with already, and what the newer one knows of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from nestcut.again.events import SPOILT, Events
from nestcut.errors import InputError, Severity, finding
from nestcut.facts import Names
from nestcut.gate import FileKind, read_text
from nestcut.model.digest import plan_digest
from nestcut.model.plan import Plan
from nestcut.outlet.register import read_register
from nestcut.outlet.results import PLAN_PAPERS
from nestcut.papers.view import PlanView
from nestcut.planfile.read import parse_plan_json

MOST_NAMED = 6
"""So many pieces are named, the rest is counted. [-]"""


@dataclass(frozen=True, slots=True)
class _Newer:
    """A plan that goes on from another, and where it lies."""

    folder: Path
    plan: Plan


def check_newest(folder: Path, view: PlanView, events: Events) -> None:
    """Refuse to go on from a plan where a newer one beside it knows of more that is sawn.

    Two plans made again from one would lay pieces over each other.  Whoever names all that the
    newer one knows may begin again from the older.

    Parameters
    ----------
    folder
        Of the plan's papers; newer ones are looked for beside it.
    view
        The plan.
    events
        What came off the saw, as it is told now.

    Raises
    ------
    InputError
        If pieces would be forgotten.
    """
    plan = view.verified.plan
    known = _sawn(plan) | events.cut | events.spoilt
    for newer in _going_on_from(folder, plan):
        forgotten = [view.name_of(i) for i in sorted(_sawn(newer.plan) - known)]
        if forgotten:
            more = len(forgotten) - MOST_NAMED
            shown = (*forgotten[:MOST_NAMED], *((f"and {more} more",) if more > 0 else ()))
            last = _last(newer)
            raise InputError(
                [
                    finding(
                        "AGN-009",
                        Severity.ERROR,
                        str(folder),
                        folder=str(folder.parent / last.folder.name),
                        pieces=Names(shown),
                    )
                ]
            )


def _last(newer: _Newer) -> _Newer:
    """Follow a plan to the one that nothing goes on from."""
    seen = {newer.folder}
    while True:
        after = next(_going_on_from(newer.folder, newer.plan), None)
        if after is None or after.folder in seen:
            return newer
        seen.add(after.folder)
        newer = after


def _going_on_from(folder: Path, plan: Plan) -> Iterator[_Newer]:
    """Yield the plans in folders beside one that say they go on from it."""
    digest = plan_digest(plan)
    here = folder.resolve()
    for place in sorted(p for p in here.parent.iterdir() if p.is_dir() and p != here):
        file = place / PLAN_PAPERS.register
        register = read_register(file, PLAN_PAPERS.form)
        if register is None or register.matter.get("continues") != digest:
            continue
        try:
            yield _Newer(place, parse_plan_json(read_text(file, FileKind.PLAN), str(file)).plan)
        except InputError:
            continue  # of another version, or broken: it says nothing that can be relied on


def _sawn(plan: Plan) -> frozenset[str]:
    """Ids of the pieces that a plan knows as cut or spoilt."""
    reasons = [k.reason for s in plan.sheets for k in s.spent]
    tail = f", {SPOILT}"
    spoilt = {r.removesuffix(tail) for r in reasons if r.endswith(tail)}
    return frozenset({*plan.already_cut, *spoilt, *(c.piece for b in plan.boards for c in b.spent)})
