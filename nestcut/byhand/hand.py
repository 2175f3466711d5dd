"""A hand at work on plans: pieces are pushed, turned, carried; the verifier has the word."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.byhand.left import measured
from nestcut.byhand.move import Moved, put_all_down, put_down
from nestcut.byhand.settle import nearest_free
from nestcut.byhand.slide import Bench, outline_of, slide_to
from nestcut.errors import Finding
from nestcut.model.curves import Point
from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Plan, SheetLayout
from nestcut.model.pose import Placement
from nestcut.verify import Prover


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """Where a piece would lie, and the plan with it there."""

    placement: Placement
    moved: Moved


class Hand:
    """Moves pieces of one job's plans; remembers what it was last at, so that it answers at once.

    Parameters
    ----------
    job
        What the plans are of.
    """

    def __init__(self, job: Job) -> None:
        self._job = job
        self._prover = Prover()
        self._at: tuple[SheetLayout, str] | None = None
        self._bench: Bench | None = None

    def look_over(self, plan: Plan) -> tuple[Finding, ...]:
        """Return what the verifier has against a plan; nothing, where it stands."""
        return self._prover.prove(self._job, plan).findings

    def try_out(
        self, plan: Plan, wanted: Placement, number: int, from_mm: Point | None = None
    ) -> Tried:
        """Say where a piece comes to lie on the sheet of that number, and what the verifier says.

        Pushed as it lies, it slides along what is in its way; turned, flipped or set down on
        another sheet, it goes to the free place nearest to the one that is wanted.

        Parameters
        ----------
        number
            Number of the sheet.
        from_mm
            The shift from which it is pushed on, as it was told last; None: where the plan has it.

        Raises
        ------
        ValueError
            If the plan has no such piece or sheet.
        """
        piece = next((p for p in plan.pieces if p.id == wanted.piece), None)
        sheet = next((s for s in plan.sheets if s.number == number), None)
        if piece is None or sheet is None:
            raise ValueError("there is no such piece or sheet")
        bench = self._lay_out(plan, sheet, piece.id)
        at = None
        for start in self._starts(sheet, wanted, from_mm):
            at = at or slide_to(bench, piece, start, wanted.shift_mm)
        at = at or nearest_free(bench, piece, wanted) or wanted
        return Tried(placement=at, moved=put_down(self._job, plan, at, number, self._prover))

    def exchange(self, plan: Plan, one: str, other: str) -> Moved:
        """Let two pieces change places, each as it lies, and say what the verifier says.

        Each goes to the free place nearest to where the other's middle was; where there is none,
        just there, and the verifier says what is in the way.

        Parameters
        ----------
        one, other
            Ids of the pieces.

        Raises
        ------
        ValueError
            If the plan has no such pieces on sheets, or they are one and the same.
        """
        lying = {p.piece: (s.number, p) for s in plan.sheets for p in s.placements}
        if one == other or not {one, other} <= set(lying):
            raise ValueError("there are no two such pieces")
        pieces = {p.id: p for p in plan.pieces}
        middles = {name: _middle(pieces[name], lying[name][1]) for name in (one, other)}
        put: list[tuple[Placement, int]] = []
        for name, there in ((other, one), (one, other)):
            (was, (x0, y0)), (x1, y1) = (lying[name][1], middles[name]), middles[there]
            number = lying[there][0]
            shift = (was.shift_mm[0] + x1 - x0, was.shift_mm[1] + y1 - y0)
            wanted = replace(was, shift_mm=shift)
            sheet = next(s for s in plan.sheets if s.number == number)
            stays = (p for p in sheet.placements if p.piece not in {one, other})
            lain = (p for p, at in put if at == number)
            cleared = replace(sheet, placements=(*stays, *lain))
            bench = self._lay_out(plan, cleared, name)
            put.append((nearest_free(bench, pieces[name], wanted) or wanted, number))
        return put_all_down(self._job, plan, put, self._prover)

    def let_go(self, moved: Moved) -> Moved:
        """Return a changed plan that stands as it may be kept: what its sheets leave is measured.

        A push forgets what its sheets had to keep, since measuring takes longer than a pointer
        waits.  What is measured is proven like the rest.
        """
        if not moved.stands:
            return moved
        plan = measured(self._job, moved.plan)
        told = self._prover.prove(self._job, plan)
        return Moved(plan=plan, objections=told.findings, checks=told.checks)

    def _starts(
        self, sheet: SheetLayout, wanted: Placement, from_mm: Point | None
    ) -> list[Placement]:
        lying = [
            p
            for p in sheet.placements
            if (p.piece, p.lie, p.turn_deg) == (wanted.piece, wanted.lie, wanted.turn_deg)
        ]
        return lying if from_mm is None else [replace(wanted, shift_mm=from_mm), *lying]

    def _lay_out(self, plan: Plan, sheet: SheetLayout, without: str) -> Bench:
        if self._bench is None or self._at != (sheet, without):
            pieces = {p.id: p for p in plan.pieces}
            self._at = (sheet, without)
            self._bench = Bench.of(with_held(self._job, plan.held), sheet, pieces, without)
        return self._bench


def _middle(piece: SheetPiece, lies: Placement) -> Point:
    """Middle of the box round a piece as it lies. [mm]"""
    x0, y0, x1, y1 = outline_of(piece, lies).bounds
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0
