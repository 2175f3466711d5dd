"""Rails with free joints to a plan: checks first, then the search, then pieces on boards."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.boards.cut.choice import trim_patterns
from nestcut.boards.cut.relaxation import Column, Pattern
from nestcut.boards.cut.rips import Used
from nestcut.boards.frontier import Chosen, choose_answer
from nestcut.boards.given import cut_given, divide_rails, kinds_of
from nestcut.boards.join.joined import JoinedAnswer
from nestcut.boards.join.joining import JoiningProblem, make_joining_problem
from nestcut.boards.join.positions import strips_of
from nestcut.boards.join.standalone import Possible, find_possible
from nestcut.boards.layout import lay_out_boards
from nestcut.boards.outcome import BoardsOutcome, JointPreference
from nestcut.boards.remarks import unplaced_because
from nestcut.boards.wood.groups import Group
from nestcut.boards.wood.problem import CuttingProblem, LikePieces, priced
from nestcut.boards.wood.rails import Positions, Rail, divide_rail
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import fact
from nestcut.model.piece import RailPiece
from nestcut.model.plan import Bound, Counted, StopReason, Unplaced
from nestcut.search.settings import Deadline, Settings, Watcher


@dataclass(frozen=True, slots=True, kw_only=True)
class _Task:
    """A group with its known positions, split into free rails and the rest."""

    group: Group
    free: tuple[Rail, ...]
    given: Positions
    problem: JoiningProblem
    measure: Counted
    fixed: dict[tuple[tuple[float, float], float], list[RailPiece]]


def cut_free(
    group: Group,
    given: Positions,
    kerf_mm: float,
    preference: JointPreference,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Choose boards and joints together; ``given`` holds the rails whose joints are known.

    Parameters
    ----------
    given
        By rail, where its joints lie along it. [mm]
    kerf_mm
        Taken by every cut. [mm]
    """
    free = tuple(r for r in group.rails if r not in given)
    task = _make_task(group, free, given, kerf_mm)
    possible = find_possible(task.problem, given, settings, deadline)
    if possible.hopeless:
        return _cut_without(task, possible, kerf_mm, preference, settings, deadline, watcher)
    task = replace(task, problem=possible.problem)
    chosen = choose_answer(task.problem, preference, settings, deadline, watcher)
    if chosen.answer is None:
        return _fall_back(task, possible, kerf_mm, settings, deadline, watcher)
    return _outcome(task, chosen, chosen.answer, possible.findings)


def _make_task(group: Group, free: tuple[Rail, ...], given: Positions, kerf_mm: float) -> _Task:
    pieces = [p for rail, at in given.items() for p in divide_rail(rail, at)[0]]
    fixed = kinds_of(tuple(pieces))
    supplies, measure = priced(group.supplies)
    problem = make_joining_problem(
        group.name,
        free,
        tuple((section, n, len(own)) for (section, n), own in fixed.items()),
        supplies,
        kerf_mm,
    )
    return _Task(group=group, free=free, given=given, problem=problem, measure=measure, fixed=fixed)


def _cut_without(
    task: _Task,
    possible: Possible,
    kerf_mm: float,
    preference: JointPreference,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Cut the rest of a group; rails whose rules can't be kept are named and left."""
    hopeless = {task.free[r] for r, _ in possible.hopeless}
    rest = tuple(r for r in task.group.rails if r not in hopeless)
    pieces = {r: divide_rail(task.free[r], ())[0][0] for r, _ in possible.hopeless}
    base = BoardsOutcome()
    if rest:
        smaller = replace(task.group, rails=rest)
        if any(r not in task.given for r in rest):
            base = cut_free(smaller, task.given, kerf_mm, preference, settings, deadline, watcher)
        else:
            base = cut_given(smaller, task.given, kerf_mm, settings, deadline, watcher)
    unplaced = tuple(Unplaced(piece=pieces[r].id, reason=reason) for r, reason in possible.hopeless)
    findings = tuple(
        finding("BRD-002", Severity.WARNING, u.piece, reason=u.reason) for u in unplaced
    )
    return replace(
        base,
        pieces=(*base.pieces, *pieces.values()),
        unplaced=(*base.unplaced, *unplaced),
        findings=(*findings, *base.findings),
    )


def _fall_back(
    task: _Task,
    possible: Possible,
    kerf_mm: float,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
) -> BoardsOutcome:
    """Use positions that obey the rules, without the search for the best; nothing is proven."""
    positions = {**task.given, **dict(zip(task.free, possible.at_mm, strict=True))}
    outcome = cut_given(task.group, positions, kerf_mm, settings, deadline, watcher)
    note = finding("BRD-003", Severity.NOTE, task.group.name)
    bounds = tuple(replace(b, lower=0.0, reason=fact("BRD-115")) for b in outcome.bounds)
    return replace(
        outcome,
        bounds=bounds,
        findings=(*possible.findings, *outcome.findings, note),
        stopped_by=deadline.stop_reason() or StopReason.WORK_DONE,
    )


def _outcome(
    task: _Task, chosen: Chosen, answer: JoinedAnswer, findings: tuple[Finding, ...]
) -> BoardsOutcome:
    """Put an answer on boards."""
    problem = task.problem
    positions: Positions = dict(task.given)
    for r, rail in enumerate(task.free):
        starts = answer.placed.starts.get(r, ())
        positions[rail] = tuple(problem.grid.to_mm(s) + rail.overlap_mm / 2.0 for s in starts)
    pieces, joints, remarks = divide_rails(task.group.rails, positions)
    kinds = kinds_of(pieces)
    names = list(kinds)
    shell = CuttingProblem(
        name=problem.name,
        grid=problem.grid,
        kerf_mm=problem.kerf_mm,
        kinds=tuple(
            LikePieces(section=s, length_mm=n, weight=0, demand=len(own))
            for (s, n), own in kinds.items()
        ),
        supplies=problem.supplies,
        bins=problem.bins,
        rips=problem.rips,
    )
    used = _used(task, answer, pieces, names)
    laid = lay_out_boards(shell, used, dict(enumerate(kinds.values())))
    unplaced = tuple(unplaced_because(piece, task.group) for piece in laid.left)
    return BoardsOutcome(
        pieces=pieces,
        layouts=laid.boards,
        joints=joints,
        unplaced=unplaced,
        bounds=() if unplaced else _bounds(task, chosen, answer, laid.cost),
        findings=(*findings, *remarks),
        stopped_by=answer.stopped_by,
        joint_ways=chosen.ways,
    )


def _used(
    task: _Task,
    answer: JoinedAnswer,
    pieces: tuple[RailPiece, ...],
    names: list[tuple[tuple[float, float], float]],
) -> Used:
    """Turn clusters and positions into patterns of finished pieces."""
    draft, placed = answer.draft, answer.placed
    kind_of = {key: k for k, key in enumerate(names)}
    own: dict[str, list[RailPiece]] = {}
    for piece in pieces:
        own.setdefault(f"{piece.part} {piece.hand} {piece.copy}", []).append(piece)
    inside: dict[tuple[int, int], dict[int, int]] = {}

    def put(strip: tuple[int, int], kind: int, n: int) -> None:
        counts = inside.setdefault(strip, {})
        counts[kind] = counts.get(kind, 0) + n

    for r, strips in placed.strip_of.items():
        rail = task.free[r]
        for piece, strip in zip(
            own[f"{rail.part.name} {rail.hand} {rail.copy}"], strips, strict=True
        ):
            section = piece.sawn_mm
            put(strip, kind_of[section, round(piece.length_mm, 6)], 1)
    fixed = [kind_of[key] for key in task.fixed]
    for strip, kinds in placed.fixed.items():
        for i, n in kinds:
            put(strip, fixed[i], n)
    chosen: dict[Column, int] = {}
    left = [k.demand for k in task.problem.kinds]
    for (c, s), counts in sorted(inside.items()):
        pattern: Pattern = tuple(sorted(counts.items()))
        column = Column(strips_of(draft.clusters[c])[s], pattern)
        chosen[column] = chosen.get(column, 0) + 1
    for cluster in draft.clusters:
        for i, n in cluster.kinds:
            left[i] -= n
    for i, n in draft.missing:
        left[i] -= n
    columns = tuple(column for column, _ in draft.patterns)
    trimmed = trim_patterns(columns, [n for _, n in draft.patterns], left)
    for column, n in trimmed.items():
        renamed = Column(column.place, tuple(sorted((fixed[i], m) for i, m in column.pattern)))
        chosen[renamed] = chosen.get(renamed, 0) + n
    return Used(
        patterns=tuple(sorted(chosen.items(), key=lambda p: (p[0].place, p[0].pattern))),
        rips=draft.rips,
    )


def _bounds(task: _Task, chosen: Chosen, answer: JoinedAnswer, used: int) -> tuple[Bound, ...]:
    """Bound cost and joints for the job as it is, whatever was preferred in choosing.

    What fewer joints cost, or what more of them save, is told beside it and is no bound.
    """
    draft = answer.draft
    lower, reason = chosen.bound, fact("BRD-112")
    if chosen.bound >= used:
        reason = fact("BRD-113")
    cost = Bound(
        name=task.group.name,
        measure=task.measure,
        lower=min(lower, float(used)),
        used=float(used),
        reason=reason,
    )
    fewest = sum(r.numbers[0] for r in task.problem.rails)
    joints = Bound(
        name=f"joints in {task.group.name}",
        measure=Counted.JOINTS,
        lower=float(min(fewest, draft.joints)),
        used=float(draft.joints),
        reason=fact("BRD-114"),
    )
    return cost, joints
