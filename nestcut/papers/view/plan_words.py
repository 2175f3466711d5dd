"""What is said of a plan as a whole: counts, bounds, its search, what to mind, cautions."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.errors import Finding, Severity
from nestcut.model.plan import Bound, StopReason, VerifiedPlan
from nestcut.papers.view.figures import Figures
from nestcut.words import bound_line, tell


def bound_words(bound: Bound, figures: Figures) -> str:
    """How good the plan is for one material, in a sentence."""
    return bound_line(bound, figures.speech)


def count_words(verified: VerifiedPlan) -> str:
    """How many pieces come from how many sheets and boards; curved ones are sawn from boards."""
    plan = verified.plan
    wide = {b.name for b in verified.job.board_stocks}
    sheets = [len(s.placements) for s in plan.sheets if s.stock not in wide]
    sawn = [len(s.placements) for s in plan.sheets if s.stock in wide]
    rails = sum(len(b.cuts) for b in plan.boards)
    words = []
    if sheets:
        words.append(f"{many(sum(sheets), 'flat piece')} from {many(len(sheets), 'sheet')}")
    if sawn:
        words.append(f"{many(sum(sawn), 'curved piece')} from {many(len(sawn), 'board')}")
    if plan.boards:
        words.append(f"{many(rails, 'straight piece')} from {many(len(plan.boards), 'board')}")
    both = sum(bool(b.blanks) for b in plan.boards)
    if both:
        words.append(f"{many(both, 'board')} of these for both")
    return ", ".join(words) or "nothing to cut"


def many(count: int, word: str) -> str:
    """Count things: ``1 sheet``, ``3 sheets``."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def board_numbers(numbers: Sequence[int]) -> str:
    """Name boards by their numbers: ``Boards 1 to 4``, ``Boards 1, 2 and 5``."""
    ordered = sorted(numbers)
    if ordered[-1] - ordered[0] == len(ordered) - 1:
        return f"Boards {ordered[0]} to {ordered[-1]}"
    return f"Boards {', '.join(map(str, ordered[:-1]))} and {ordered[-1]}"


def grouped(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Say once what is said alike of several: ``top, leg: any grain`` for a line each.

    >>> grouped(("top: any grain", "leg: any grain", "the saw takes 2 mm"))
    ('top, leg: any grain', 'the saw takes 2 mm')
    """
    whose: dict[str, list[str]] = {}
    for line in lines:
        name, colon, words = line.partition(": ")
        whose.setdefault(words if colon else line, []).extend([name] if colon else [])
    return tuple(
        f"{', '.join(dict.fromkeys(names))}: {words}" if names else words
        for words, names in whose.items()
    )


TOLD = (Severity.WARNING, Severity.REPAIRED, Severity.NOTE)
"""Findings that are printed, gravest first; others never reach a plan."""


def told_findings(verified: VerifiedPlan, figures: Figures) -> tuple[tuple[Severity, str], ...]:
    """What the builder has to mind in the paper's units, gravest first, each once."""
    findings = (*verified.job.findings, *verified.plan.findings)
    lines = (
        (severity, _on_paper(f, figures))
        for severity in TOLD
        for f in findings
        if f.severity is severity
    )
    return tuple(dict.fromkeys(lines))


def _on_paper(told: Finding, figures: Figures) -> str:
    """What is so and what to do; the part's name stands where terminals name a key of the job."""
    words = tell(told, figures.speech)
    return " ".join(filter(None, (f"{told.about or told.where}:", words.message, words.remedy)))


_AGAIN = "The same job gives the same plan."
_GONE_ON = "The same earlier plan, job and mishaps give the same plan."


def search_words(verified: VerifiedPlan) -> tuple[str, str]:
    """Why the search ended, and whether another run gives the same plan."""
    plan = verified.plan
    how = f"Searched with {plan.effort} effort"
    again = _GONE_ON if plan.continues else _AGAIN
    if plan.stopped_by is StopReason.PROVEN:
        return f"{how}, until nothing better was possible.", again
    if plan.is_repeatable:
        return f"{how}, to the end of its work.", again
    # Who cut it short is not said: papers made before a stop stand after it as well.
    return f"{how}; it was cut short, or laid in part by hand.", (
        "It may come out differently next time."
    )


CAUTIONS = (
    "Saw: stop before inside corners and neighbours, finish by hand or jigsaw; no blade may cut "
    "wider than the kerf told. Support both sides of every cut; narrow strips bind and kick. "
    "Unplug before changing a blade.",
    "Dust: wood dust harms lungs and nose; extract it and wear a mask. Some woods irritate skin.",
    "Epoxy: resin and hardener can cause allergy for life; wear gloves, keep them off the skin, "
    "air the room.",
    "Joints, sizes of wood and what keeps her afloat: the plans, their designer and your local "
    "rules win over this paper.",
    "Paper moves with damp: mark out from figures; measure the ruler at a page's foot before you "
    "trust a drawing.",
)
"""Printed once, on the front page."""
