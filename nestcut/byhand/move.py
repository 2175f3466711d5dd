"""A plan after one of its pieces was put down somewhere else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nestcut.errors import Finding
from nestcut.facts import Fact
from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.plan import Bound, Plan, SheetLayout, StopReason
from nestcut.model.pose import Placement
from nestcut.planning.sawn.blanks import fit_blanks
from nestcut.planning.totals import number_boards, renumber_sheets, with_purchases
from nestcut.verify import Prover


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A changed plan, and what the verifier says of it: nothing, where it stands.

    Sheets that have changed have no rectangles to keep until they are measured.
    """

    plan: Plan
    objections: tuple[Finding, ...]
    checks: tuple[Fact, ...] = ()

    @property
    def stands(self) -> bool:
        """Whether the plan may be cut by."""
        return not self.objections


def put_down(
    job: Job, plan: Plan, placement: Placement, number: int, prover: Prover | None = None
) -> Moved:
    """Put a piece down on the sheet of that number, wherever it lay before.

    A sheet that has become empty is gone from the plan and from the buying list.  Rectangles to
    keep are forgotten on sheets that have changed, and so are bounds that speak of them and where
    the job's reserve is.

    Parameters
    ----------
    placement
        The piece and how it shall lie.
    number
        Number of its sheet. ValueError if the plan has none of that number.
    prover
        One that knows the plan's pieces already; None: a new one.
    """
    return put_all_down(job, plan, ((placement, number),), prover)


def put_all_down(
    job: Job,
    plan: Plan,
    placements: Sequence[tuple[Placement, int]],
    prover: Prover | None = None,
) -> Moved:
    """Put pieces down at one time, each on the sheet of its number; as :func:`put_down`.

    Parameters
    ----------
    placements
        Placements, each with the number of its sheet.
    prover
        One that has proven a plan of this job before, to look at what has changed only.

    Raises
    ------
    ValueError
        If there is no sheet of such a number.
    """
    sheets = plan.sheets
    for placement, number in placements:
        if number not in {s.number for s in plan.sheets}:
            raise ValueError(f"there is no sheet {number}")
        sheets = tuple(_after(s, placement, number) for s in sheets)
    kept = renumber_sheets(tuple(s for s in sheets if s.placements))
    pieces = {p.id: p for p in plan.pieces}
    kept, boards = number_boards(job, kept, fit_blanks(plan.boards, kept, pieces))
    changed = replace(
        plan,
        sheets=kept,
        boards=boards,
        bounds=plan.bounds if len(kept) == len(sheets) else boards_bounds(plan),
        notes=(),
        reserves=(),
        stopped_by=StopReason.INTERRUPTED,
    )
    changed = with_purchases(with_held(job, plan.held), changed)
    told = (prover or Prover()).prove_unmeasured(job, changed)
    return Moved(plan=changed, objections=told.findings, checks=told.checks)


def _after(layout: SheetLayout, placement: Placement, number: int) -> SheetLayout:
    others = tuple(p for p in layout.placements if p.piece != placement.piece)
    if layout.number == number:
        had = next((k for k, p in enumerate(layout.placements) if p.piece == placement.piece), None)
        at = len(others) if had is None else had
        return replace(layout, placements=(*others[:at], placement, *others[at:]), offcuts=())
    if len(others) == len(layout.placements):
        return layout
    return replace(layout, placements=others, offcuts=())


def boards_bounds(plan: Plan) -> tuple[Bound, ...]:
    """Keep the bounds that a sheet less doesn't touch."""
    return tuple(b for b in plan.bounds if not b.measure.startswith(("sheets", "money")))
