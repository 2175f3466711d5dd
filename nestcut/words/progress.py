"""Records of a search in words: one line for a terminal or a page."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.model.progress import Named, Phase, Progress, SoFar
from nestcut.words.sentences import tell_fact
from nestcut.words.speech import Speech

_WHAT = {
    Phase.FIRST_PLAN: "first plan, proven",
    Phase.JOINTS: "joints of {subject}",
    Phase.RAILS: "boards for {subject}",
    Phase.JOINED_RAILS: "boards and joints for {subject}",
    Phase.SHEETS: "fewer sheets of {subject}",
    Phase.OFFCUTS: "larger offcuts of {subject}",
    Phase.PROVEN: "better plan, proven",
}
_MOST_NAMED = 4
"""So many names stand in one line. [-]"""


def progress_line(progress: Progress, speech: Speech) -> str:
    """Say what a search is at, what it has come to, and what nothing can undercut."""
    words = [_WHAT[progress.phase].format(subject=_in_row(progress.subject, speech) or "all kinds")]
    if progress.share > 0.0:
        words[0] += f" ({100.0 * progress.share:.0f} % done)"
    if progress.counts:
        words.append(", ".join(_count_words(c, speech) for c in progress.counts))
    if progress.phase is Phase.JOINED_RAILS:
        words += _rail_words(progress, speech)
    elif progress.cost_minor is not None and progress.cost_minor > 0.0:
        words.append(f"{speech.money(progress.cost_minor)} to buy")
    return "; ".join(words)


def _rail_words(progress: Progress, speech: Speech) -> list[str]:
    """Boards are tried in rising cost, so the bound is what is being tried."""
    if progress.bound_minor is None or progress.bound_minor <= 0.0:
        return []
    return [f"trying {speech.money(progress.bound_minor)} and more"]


def _count_words(so_far: SoFar, speech: Speech) -> str:
    least = f" (at least {so_far.least})" if 0 < so_far.least < so_far.count else ""
    return f"{so_far.count} x {name_line(so_far.name, speech)}{least}"


def name_line(name: Named, speech: Speech) -> str:
    """Say a name, in the reader's units where a measure stands for one."""
    return name if isinstance(name, str) else tell_fact(name, speech)


def _in_row(names: Sequence[Named], speech: Speech) -> str:
    shown = ", ".join(name_line(name, speech) for name in names[:_MOST_NAMED])
    more = len(names) - _MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown
