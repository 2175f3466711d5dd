"""Does a plan file say of itself what its own plan and its job come to?

The plan that was read is written down once more, with the job; whatever the file says otherwise -
an outline in the sheet's frame, an area, a share, a sum, a hand, a name - contradicts itself.

Sentences are for whoever reads the file: codes and values stand beside them, papers are made from
those alone, and a plan stands whose sentences an older program wrote.
"""

from __future__ import annotations

import math
from typing import Any

from nestcut.errors import Finding, PlanFileError
from nestcut.model.job import Job
from nestcut.model.plan import VerifiedPlan
from nestcut.planfile.codec import finite_number
from nestcut.planfile.faults import plan_fault
from nestcut.planfile.read import PlanText
from nestcut.planfile.seal import seal_of
from nestcut.planfile.write import plan_document
from nestcut.tolerances.lengths import WRITTEN_FIGURES
from nestcut.tolerances.noise import NOISE
from nestcut.verify import tally

_ELSEWHERE = {"job", "kerf_mm", "gap_mm", "seal"}
"""Keys whose contradictions have findings of their own."""
_LATER = {"stock"}
"""Keys that older files don't have."""
_LATER_IN = {"buy/over", "buy/supplier"}
_SENTENCES = {
    ("joints", "rule_findings"),
    ("unplaced", "reason"),
    ("reserves", "reason"),
    ("bounds", "reason"),
    ("findings", "message"),
    ("findings", "remedy"),
    ("notes", "text"),
    ("checks", "checks"),
}
"""First and last key of what is in words; a sentence may be another, but must be one."""
_MOST = 8
"""No more contradictions are named."""
_Path = tuple[str, ...]
"""Keys and places of lists, from the file's own keys on; names may have slashes of their own."""


def contradictions(text: PlanText, job: Job) -> tuple[Finding, ...]:
    """Return what a plan file says that its own plan and job don't.

    Raises
    ------
    PlanFileError
        If a figure is none.
    """
    plan = text.plan
    pieces = {p.id for p in plan.pieces}
    rails = {p.id for p in plan.rail_pieces}
    placed = {p.piece for s in plan.sheets for p in s.placements}
    cut = {c.piece for b in plan.boards for c in b.cuts}
    found: list[Finding] = []
    if placed <= pieces and cut <= rails:  # else the verifier names pieces that nobody knows
        verified = VerifiedPlan(job=job, plan=plan, checks=tally(job, plan))
        try:
            wanted = plan_document(verified)
            paths = [
                path
                for key, want in wanted.items()
                if key not in _ELSEWHERE and not (key in _LATER and key not in text.document)
                for path in _differing(text.document.get(key), want, (key,))
            ]
        except (TypeError, ValueError, ArithmeticError, KeyError) as error:
            raise PlanFileError(
                [plan_fault("PLAN-003", text.job_file, reason=str(error))]
            ) from None
        found = [plan_fault("PLAN-004", _place(path, text.document)) for path in paths[:_MOST]]
    if text.document["job"]["name"] != job.name:
        found.append(plan_fault("PLAN-004", "job, name"))
    if text.document.get("seal") != seal_of(text.document):
        found.append(plan_fault("PLAN-008", text.job_file))
    return tuple(found)


def _differing(have: Any, want: Any, path: _Path) -> list[_Path]:
    """Paths at which two JSON values differ; keys that only one has besides are passed over."""
    if (path[0], path[-1]) in _SENTENCES:
        return [] if _in_words(have) else [path]
    if isinstance(want, dict):
        if not isinstance(have, dict):
            raise ValueError(f"{'/'.join(path)} is no record")  # noqa: TRY004 - gathered so
        known = [k for k in want if k in have or f"{path[0]}/{k}" not in _LATER_IN]
        order = [path] if [k for k in have if k in want] != known else []
        return order or [p for key in known for p in _differing(have[key], want[key], (*path, key))]
    if isinstance(want, list | tuple):
        if not isinstance(have, list) or len(have) != len(want):
            return [path]
        return [
            p
            for k, (a, b) in enumerate(zip(have, want, strict=True))
            for p in _differing(a, b, (*path, str(k)))
        ]
    if want is None or have is None or isinstance(want, bool | str):
        same_kind = isinstance(have, bool) == isinstance(want, bool)
        return [] if have == want and same_kind else [path]
    figure = finite_number(have)
    return [] if math.isclose(figure, want, rel_tol=NOISE, abs_tol=WRITTEN_FIGURES) else [path]


def _in_words(have: Any) -> bool:
    """Whether it is a sentence, or several."""
    said = have if isinstance(have, list) else [have]
    return all(isinstance(s, str) for s in said)


def _place(path: _Path, document: dict[str, Any]) -> str:
    """A path in the builder's words as far as there are any."""
    value: Any = document
    names = []
    for step in path:
        value = value[int(step)] if isinstance(value, list) else value.get(step)
        if isinstance(value, dict):
            name = value.get("piece") or value.get("id") or value.get("stock")
            if isinstance(name, str):
                names.append(name)
    return ", ".join(["/".join(path), *names[-2:]])
