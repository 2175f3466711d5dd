"""Jobs that differ from the one asked in one thing each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from nestcut.boards import JointPreference
from nestcut.facts import Fact, Length, fact
from nestcut.model.job import Job
from nestcut.model.joint import JointRule
from nestcut.model.otherwise import AS_ASKED, MostJoints, Otherwise, with_otherwise
from nestcut.model.plan import Plan
from nestcut.tolerances import SAME_LENGTH_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to plan a job.

    Parameters
    ----------
    name
        What is different.
    job
        To be planned.
    joints
        What weighs more.
    otherwise
        What the job's file doesn't say, if anything: else a plan made so is one of the job as
        it stands.
    """

    name: Fact
    job: Job
    joints: JointPreference = JointPreference.CHEAPEST
    otherwise: Otherwise = AS_ASKED


def ways_of(job: Job, kerfs_mm: Sequence[float] = ()) -> tuple[Way, ...]:
    """Return the job as it is and each of its variations.

    The first two are the job as it is, with least money and with fewest joints.  Then each sheet on
    sale by itself where there are several of one material and thickness, each length of a board
    left out where there are several, and other saws.
    """
    made = [
        Way(name=fact("CHO-001"), job=job),
        Way(name=fact("CHO-002"), job=job, joints=JointPreference.FEWEST),
        *_sheets(job),
        *_boards(job),
    ]
    for kerf_mm in kerfs_mm:
        if abs(kerf_mm - job.cutting.kerf_mm) >= SAME_LENGTH_MM:
            other = Otherwise(kerf_mm=kerf_mm)
            name = fact("CHO-005", kerf=Length(kerf_mm))
            made.append(Way(name=name, job=with_otherwise(job, other), otherwise=other))
    return tuple(made)


def _sheets(job: Job) -> Iterator[Way]:
    kinds: dict[tuple[str, float], list[str]] = {}
    for stock in job.sheet_stocks:
        if stock.is_to_buy:
            kinds.setdefault((stock.material, stock.thickness_mm), []).append(stock.name)
    for names in kinds.values():
        for name in names if len(names) > 1 else []:
            others = set(names) - {name}
            stocks = tuple(s for s in job.sheet_stocks if s.name not in others)
            yield Way(name=fact("CHO-003", stock=name), job=replace(job, sheet_stocks=stocks))


def _boards(job: Job) -> Iterator[Way]:
    for stock in job.board_stocks:
        sold = [b for b in stock.lengths if b.is_to_buy]
        for left_out in sold if len(sold) > 1 else []:
            lengths = tuple(b for b in stock.lengths if b is not left_out)
            boards = tuple(
                replace(b, lengths=lengths) if b is stock else b for b in job.board_stocks
            )
            name = fact("CHO-004", stock=stock.name, length=Length(left_out.length_mm))
            yield Way(name=name, job=replace(job, board_stocks=boards))


def ways_of_joints(job: Job, plan: Plan) -> tuple[Way, ...]:
    """Return what a plan with least money makes worth asking: a joint fewer, or one more.

    For each part whose joints' places are free: one joint fewer than that plan has; and one more
    than the job allows where the plan has as many as that.
    """
    rules: dict[str, JointRule | None] = {p.name: p.joint for p in job.sheet_parts}
    rules |= {r.name: r.joint for r in job.rail_parts}
    made: list[Way] = []
    for part, n in most_joints(plan).items():
        rule = rules.get(part)
        if rule is None or rule.at_mm is not None:
            continue
        fewer = with_otherwise(job, Otherwise(joints=(MostJoints(part=part, most=n - 1),)))
        made.append(Way(name=fact("CHO-006", part=part, n=n - 1), job=fewer))
        if rule.max_joints == n:
            more = Otherwise(joints=(MostJoints(part=part, most=n + 1),))
            name = fact("CHO-007", part=part, n=n + 1)
            made.append(Way(name=name, job=with_otherwise(job, more), otherwise=more))
    return tuple(made)


def most_joints(plan: Plan) -> dict[str, int]:
    """Return the most joints in one copy of each part that has any."""
    copies = Counter((j.part, j.hand, j.copy) for j in plan.joints)
    most: dict[str, int] = {}
    for (part, _, _), count in copies.items():
        most[part] = max(most.get(part, 0), count)
    return dict(sorted(most.items()))
