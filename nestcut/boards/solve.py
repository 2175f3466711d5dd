"""The one call of this room: rails and boards in, pieces, boards, joints and a proof out."""

from __future__ import annotations

from nestcut.boards.groups import Group, group_rails
from nestcut.boards.layout import lay_out_boards, renumber
from nestcut.boards.outcome import BoardsOutcome, JointPreference, JointPrice
from nestcut.boards.problem import Section, make_problem, make_supplies, priced
from nestcut.boards.rails import Rail, divide_rail, single_rails
from nestcut.boards.rounding import solve_cutting
from nestcut.errors import Finding, Severity
from nestcut.joints.arithmetic import equal_positions_mm, pieces_needed
from nestcut.model.job import CuttingRules
from nestcut.model.joint import Joint
from nestcut.model.part import RailPart
from nestcut.model.piece import RailPiece
from nestcut.model.plan import Bound, StopReason, Unplaced
from nestcut.model.stock import BoardStock
from nestcut.search.settings import Deadline, Settings, Watcher

__all__ = ["BoardsOutcome", "JointPreference", "JointPrice", "cut_boards"]

_URGENCY = [StopReason.PROVEN, StopReason.WORK_DONE, StopReason.TIME_UP, StopReason.INTERRUPTED]


def cut_boards(
    rails: tuple[RailPart, ...],
    stocks: tuple[BoardStock, ...],
    cutting: CuttingRules,
    preference: JointPreference,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Cut rails from boards at least cost, choosing the joints that are left free.

    Parameters
    ----------
    rails
        Rails by section and finished length. A joint rule with positions is kept to; one without
        leaves positions to the search; without a rule a rail comes out of one board.
    stocks
        Boards on sale and to hand.
    cutting
        The kerf is what is kept between pieces.
    preference
        Whether money or joints weigh more.
    settings, deadline, watcher
        Work, time, and who is told.

    Returns
    -------
    BoardsOutcome
        Pieces that no stock is left for are named in ``unplaced``, with the reason.
    """
    outcomes = [
        _cut_group(group, cutting, preference, settings, deadline, watcher)
        for group in group_rails(single_rails(rails), make_supplies(stocks, cutting.kerf_mm))
    ]
    return BoardsOutcome(
        pieces=tuple(p for o in outcomes for p in o.pieces),
        layouts=renumber(tuple(b for o in outcomes for b in o.layouts)),
        joints=tuple(j for o in outcomes for j in o.joints),
        unplaced=tuple(u for o in outcomes for u in o.unplaced),
        bounds=tuple(b for o in outcomes for b in o.bounds),
        findings=tuple(f for o in outcomes for f in o.findings),
        stopped_by=max(
            (o.stopped_by for o in outcomes), key=_URGENCY.index, default=StopReason.PROVEN
        ),
        joint_prices=tuple(p for o in outcomes for p in o.joint_prices),
    )


def _cut_group(
    group: Group,
    cutting: CuttingRules,
    preference: JointPreference,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Cut the rails of one group."""
    positions = {rail: _given(rail, group) for rail in group.rails}
    return cut_given(group, positions, cutting, settings, deadline, watcher)


def _given(rail: Rail, group: Group) -> tuple[float, ...]:
    rule = rail.part.joint
    if rule is None:
        return ()
    if rule.at_mm is not None:
        return rule.at_mm
    longest = max((n for s in group.supplies for _, n in s.stretches), default=0.0)
    whole = rail.part.length_mm + 2 * rail.part.allowance_mm
    if longest <= rail.overlap_mm:
        return ()
    return equal_positions_mm(rail.part.length_mm, pieces_needed(whole, longest, rail.overlap_mm))


def cut_given(
    group: Group,
    positions: dict[Rail, tuple[float, ...]],
    cutting: CuttingRules,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Cut rails whose joints are known: the pieces are fixed, the boards are chosen."""
    pieces: list[RailPiece] = []
    joints: list[Joint] = []
    for rail in group.rails:
        own_pieces, own_joints = divide_rail(rail, positions[rail])
        pieces += own_pieces
        joints += own_joints
    kinds: dict[tuple[Section, float], list[RailPiece]] = {}
    for piece in pieces:
        section = (piece.thickness_mm, piece.width_mm)
        kinds.setdefault((section, round(piece.length_mm, 6)), []).append(piece)
    supplies, measure = priced(group.supplies)
    problem = make_problem(
        group.name,
        tuple((section, length, len(own)) for (section, length), own in kinds.items()),
        supplies,
        cutting.kerf_mm,
    )
    watcher.tell(group.name, f"{len(pieces)} pieces", "")
    answer = solve_cutting(problem, settings, deadline)
    layouts, left = lay_out_boards(problem, answer.used, dict(enumerate(kinds.values())))
    unplaced = tuple(_unplaced(piece, group) for piece in left)
    bounds = (
        Bound(
            name=group.name,
            measure=measure,
            lower=float(answer.bound),
            used=float(answer.cost),
            reason="cutting patterns: column generation, then an exact choice",
        ),
    )
    return BoardsOutcome(
        pieces=tuple(pieces),
        layouts=layouts,
        joints=tuple(joints),
        unplaced=unplaced,
        bounds=() if unplaced else bounds,
        findings=tuple(
            Finding(
                code="BRD-001",
                severity=Severity.WARNING,
                where=u.piece,
                message=u.reason,
                remedy="Add a longer or another board, or allow a joint.",
            )
            for u in unplaced
        ),
        stopped_by=answer.stopped_by,
    )


def _unplaced(piece: RailPiece, group: Group) -> Unplaced:
    """Say why a piece found no board."""
    if not group.supplies:
        reason = (
            f"no {piece.material} board is {piece.thickness_mm:g} or {piece.width_mm:g} mm thick "
            "and wide enough for the other."
        )
        return Unplaced(piece=piece.id, reason=reason)
    longest = max(n for s in group.supplies for _, n in s.stretches)
    if piece.length_mm > longest:
        reason = (
            f"it is {piece.length_mm:.1f} mm long; the longest clear stretch is {longest:.1f} mm."
        )
    else:
        reason = "the boards to hand are used up, and none of this section is on sale."
    return Unplaced(piece=piece.id, reason=reason)
