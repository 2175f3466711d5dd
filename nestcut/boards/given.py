"""Rails whose joints are known: their pieces are fixed, and boards are chosen for them."""

from __future__ import annotations

from nestcut.boards.cut.rounding import solve_cutting
from nestcut.boards.layout import lay_out_boards
from nestcut.boards.outcome import BoardsOutcome
from nestcut.boards.remarks import unplaced_because, with_remarks
from nestcut.boards.wood.groups import Group
from nestcut.boards.wood.problem import Section, make_problem, priced
from nestcut.boards.wood.rails import Positions, Rail, divide_rail
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import fact
from nestcut.model.joint import Joint
from nestcut.model.piece import RailPiece
from nestcut.model.plan import Bound
from nestcut.model.progress import Phase, Progress
from nestcut.search.settings import Deadline, Settings, Watcher


def divide_rails(
    rails: tuple[Rail, ...], positions: Positions
) -> tuple[tuple[RailPiece, ...], tuple[Joint, ...], tuple[Finding, ...]]:
    """Divide rails at known positions; joints carry their distances and the rules they break."""
    pieces: list[RailPiece] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    for rail in rails:
        own_pieces, own_joints = divide_rail(rail, positions[rail])
        own_joints, own_findings = with_remarks(rail, own_joints, positions)
        pieces += own_pieces
        joints += own_joints
        findings += own_findings
    return tuple(pieces), tuple(joints), tuple(findings)


def kinds_of(pieces: tuple[RailPiece, ...]) -> dict[tuple[Section, float], list[RailPiece]]:
    """Sort pieces by section and length, in order of first appearance."""
    kinds: dict[tuple[Section, float], list[RailPiece]] = {}
    for piece in pieces:
        section = piece.sawn_mm
        kinds.setdefault((section, round(piece.length_mm, 6)), []).append(piece)
    return kinds


def cut_given(
    group: Group,
    positions: Positions,
    kerf_mm: float,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Choose boards for rails with known joints.

    Parameters
    ----------
    positions
        By rail, where its joints lie along it; every rail of the group is named. [mm]
    kerf_mm
        Taken by every cut. [mm]
    """
    pieces, joints, findings = divide_rails(group.rails, positions)
    kinds = kinds_of(pieces)
    supplies, measure = priced(group.supplies)
    problem = make_problem(
        group.name,
        tuple((section, length, len(own)) for (section, length), own in kinds.items()),
        supplies,
        kerf_mm,
    )
    watcher.tell(Progress(phase=Phase.RAILS, subject=(group.name,)))
    answer = solve_cutting(problem, settings, deadline)
    laid = lay_out_boards(problem, answer.used, dict(enumerate(kinds.values())))
    unplaced = tuple(unplaced_because(piece, group) for piece in laid.left)
    bound = Bound(
        name=group.name,
        measure=measure,
        lower=float(min(answer.bound, laid.cost)),
        used=float(laid.cost),
        reason=fact("BRD-111"),
    )
    return BoardsOutcome(
        pieces=pieces,
        layouts=laid.boards,
        joints=joints,
        unplaced=unplaced,
        bounds=() if unplaced else (bound,),
        findings=(
            *findings,
            *(finding("BRD-001", Severity.WARNING, u.piece, reason=u.reason) for u in unplaced),
        ),
        stopped_by=answer.stopped_by,
    )
