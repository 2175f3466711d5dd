"""A plan on the wall, taken up again: its job then and now, and what came off the saw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path

from nestcut.again.events import Events
from nestcut.errors import Finding, InputError, Severity, blocking, finding
from nestcut.facts import Length, Names
from nestcut.gate import FileKind, read_text
from nestcut.intake.job import read_job, read_job_text
from nestcut.intake.plan import find_job, read_plan_file, read_proven
from nestcut.model.held import Held
from nestcut.model.job import Job
from nestcut.model.otherwise import AS_ASKED, with_otherwise
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.papers.ticks import match_progress, read_progress
from nestcut.papers.view import PlanView, plan_view
from nestcut.planfile.read import PlanText, parse_plan_json
from nestcut.planfile.seal import seal_of

MOST_NEAR = 6
"""So many names are offered where one isn't known. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenUp:
    """The plan on the wall; the job ``then`` and now; its stock, where the job has changed."""

    plan: Plan
    then: Job
    job: Job
    was: Held | None

    def view(self) -> PlanView:
        """Return how the papers on the wall call everything."""
        return plan_view(VerifiedPlan(job=self.then, plan=self.plan, checks=()))


def take_up(path: Path, changed: Path | None) -> TakenUp:
    """Read the plan and prove it, if its job is still what it was; else it is taken as it lies.

    Parameters
    ----------
    path
        Of the plan, or of its folder.
    changed
        The job file as it is now; None: the plan's own.

    Raises
    ------
    InputError
        If one of them can't be read, or the plan can't be gone on with for this job.
    PlanRejectedError
        If the plan doesn't stand up to its proof.
    """
    text = read_plan_file(path)
    file = find_job(path, text)
    own = text.plan.otherwise  # a job that is named is taken as it stands
    now = read_job(changed) if changed is not None else with_otherwise(read_job(file), own)
    if read_job_text(file).says(text.job_sha256):
        then = read_proven(path).job
        is_same = now.says(text.job_sha256)
        was = None if is_same else text.stock
    else:
        if text.document.get("seal") != seal_of(text.document):
            raise InputError([finding("PLAN-008", Severity.ERROR, str(path))])
        was = text.stock
        then = replace(now, sheet_stocks=was.sheets, board_stocks=was.boards)
    if was is not None:
        _check_change(path, text, now, was)
    plan = text.plan if changed is None else replace(text.plan, otherwise=AS_ASKED)
    return TakenUp(plan=plan, then=then, job=now, was=was)


def take_up_text(text: str, now: Job) -> TakenUp:
    """Take up a plan by its text, for its job as it is now.

    Parameters
    ----------
    text
        Of plan.json.
    now
        The job, which may have changed since the plan was made.

    Raises
    ------
    InputError
        If the text is no plan's, or the plan can't be gone on with for this job.
    """
    path = Path(now.file)
    read = parse_plan_json(text, str(path))
    if read.document.get("seal") != seal_of(read.document):
        raise InputError([finding("PLAN-008", Severity.ERROR, str(path))])
    now = with_otherwise(now, read.plan.otherwise)
    if now.says(read.job_sha256):
        return TakenUp(plan=read.plan, then=now, job=now, was=None)
    then = replace(now, sheet_stocks=read.stock.sheets, board_stocks=read.stock.boards)
    _check_change(path, read, now, read.stock)
    return TakenUp(plan=read.plan, then=then, job=now, was=read.stock)


def cut_in(text: str) -> frozenset[str]:
    """Return the pieces that a plan's text says are cut, and a mark for each place that is spoilt.

    Empty, if it is no plan's.
    """
    try:
        plan = parse_plan_json(text, "").plan
    except InputError:
        return frozenset()
    spoilt = (f"spoilt: {k.reason} {k.points}" for s in plan.sheets for k in s.spent)
    return frozenset((*plan.already_cut, *spoilt))


def _check_change(path: Path, text: PlanText, now: Job, was: Held) -> None:
    """Refuse what can't be planned on from: another saw, a plan that doesn't know its stock."""
    faults = []
    if (text.kerf_mm, text.gap_mm) != (now.cutting.kerf_mm, now.cutting.gap_mm):
        then, saw = Length(text.kerf_mm + text.gap_mm), Length(now.cutting.clearance_mm)
        faults.append(finding("AGN-007", Severity.ERROR, now.file, then=then, now=saw))
    known = {s.name for s in was.sheets} | {b.name for b in was.boards}
    used = {s.stock for s in text.plan.sheets} | {b.stock for b in text.plan.boards}
    if not used <= known:
        faults.append(finding("AGN-008", Severity.ERROR, str(path)))
    if faults:
        raise InputError(faults)


def gather_events(
    view: PlanView, ticks: Path | None, cut: Sequence[str], spoilt: Sequence[str]
) -> tuple[Events, tuple[Finding, ...]]:
    """Gather what came off the saw, and what was noticed about the ticks.

    Parameters
    ----------
    ticks
        File that the shop page saves; None: none.
    cut, spoilt
        Pieces by their short names or by their names in words.

    Raises
    ------
    InputError
        If a name is no piece of the plan, or one is both cut and spoilt, or the ticks belong to
        another plan.
    """
    ids = {n: _named(n, view) for n in (*cut, *spoilt)}
    strange = [n for n, found in ids.items() if not found]
    if strange:
        raise InputError([_unknown(n, view) for n in strange])
    done = {ids[n] for n in cut}
    lost = {ids[n] for n in spoilt}
    if done & lost:
        both = sorted(view.name_of(i) for i in done & lost)
        raise InputError([finding("AGN-011", Severity.ERROR, n) for n in both])
    found: tuple[Finding, ...] = ()
    if ticks is not None:
        progress = read_progress(read_text(ticks, FileKind.TICKS), str(ticks))
        found = match_progress(progress, view)
        if blocking(found):
            raise InputError(found)
        done |= progress.done
        lost |= progress.spoilt
    return Events(cut=frozenset(done - lost), spoilt=frozenset(lost)), found


def _named(name: str, view: PlanView) -> str:
    """Id of a piece by its short name or by the one of the lists; "" if there is none.

    Capitals and spaces round commas don't count where that leaves one piece.
    """
    names = _names(view)
    if name in names:
        return names[name]
    alike = {i for n, i in names.items() if _plain(n) == _plain(name)}
    return alike.pop() if len(alike) == 1 else ""


def _plain(name: str) -> str:
    return ", ".join(" ".join(word.split()) for word in name.casefold().split(","))


def _unknown(name: str, view: PlanView) -> Finding:
    """What the plan has instead: the pieces of that part, or whatever is spelt nearly so."""
    names = sorted({view.name_of(i) for i in _names(view).values()})
    start = _plain(name)
    near = [n for n in names if _plain(n).startswith(f"{start}, ")]
    near = near or get_close_matches(name, names, n=MOST_NEAR)
    if not near:
        return finding("AGN-001", Severity.ERROR, name)
    shown = tuple(f"'{n}'" for n in near[:MOST_NEAR])
    return finding("AGN-010", Severity.ERROR, name, near=Names(shown))


def _names(view: PlanView) -> dict[str, str]:
    """Ids of all pieces by their short names and by their names in words."""
    plan: Plan = view.verified.plan
    ids = [*(p.id for p in plan.pieces), *(p.id for p in plan.rail_pieces)]
    return {**{view.name_of(i): i for i in ids}, **{i: i for i in ids}}
