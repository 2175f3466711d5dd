"""What charts say at joints: where pieces end, which joint it is, which face is worked how far."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nestcut.geometry.affine import apply
from nestcut.joints.kinds import KINDS
from nestcut.model.curves import Point
from nestcut.model.joint import Face, JointEnd
from nestcut.papers.marking.charts import Chart, ChartUse, Cut
from nestcut.papers.marking.outline import MarkedLine
from nestcut.papers.view import PlanView, share_letter
from nestcut.words.joint_kinds import JOINT_WORDS

FACES = {Face.GOOD: "GOOD face", Face.BACK: "BACK"}
NEAR_MM = 20.0
"""A joint whose middle is further than this from half an overlap inside a cut isn't there. [mm]"""

LineWords = Callable[[tuple[Point, Point]], str]
"""How a chart writes a line: ``2235, 123.5 lower to 2221.5, 534 upper``."""


def cut_sentences(chart: Chart, view: PlanView, line_words: LineWords) -> list[str]:
    """Where the pieces of a joined panel part, joint by joint; what is cut alike is told once.

    Parameters
    ----------
    line_words
        Writes a line as the chart does.
    """
    told: dict[str, list[_Side]] = {}
    for sides in _by_joint(chart).values():
        words = "; ".join(
            f"piece {s.letter} {'begins' if s.cut.side > 0 else 'ends'} at {line_words(s.cut.line)}"
            for s in sides
        )
        told.setdefault(f"{words}{_worked_words(sides)}", []).extend(sides)
    lines = []
    for words, alike in told.items():
        keys = joint_names([(side.use, side.end) for side in alike], view)
        lines.append(f"{keys}: {words}." if keys else f"{words[0].upper()}{words[1:]}.")
    return lines


@dataclass(frozen=True, slots=True)
class _Side:
    """One piece at one of its cuts, with the joint there."""

    use: ChartUse
    cut: Cut
    end: JointEnd | None

    @property
    def letter(self) -> str:
        return share_letter(self.use.piece.share)


def _by_joint(chart: Chart) -> dict[str, list[_Side]]:
    """Both sides of every joint, in the order of joints along the panel."""
    found: dict[str, list[_Side]] = {}
    for use in sorted(chart.uses, key=lambda u: (u.piece.share, u.piece.id)):
        for cut in use.cuts:
            end = end_at(use, cut)
            key = f"{use.piece.id} {cut.side}" if end is None else end.joint
            found.setdefault(key, []).append(_Side(use, cut, end))
    return found


def joint_names(ends: list[tuple[ChartUse, JointEnd | None]], view: PlanView) -> str:
    """Short names of joints as on all papers, with the hand or the copy whose they are."""
    found: dict[str, str] = {}
    for use, end in ends:
        if end is not None:
            piece = use.piece
            hand = f" {piece.hand.value}" if piece.hand else ""
            copy = f" no. {piece.copy}" if use.placed.count > 1 else ""
            found[view.joint_keys.get(end.joint, end.joint)] = f"{hand}{copy}"
    return ", ".join(f"{key}{found[key]}" for key in sorted(found, key=_numbered))


def mark_joints(line: MarkedLine, chart: Chart, view: PlanView) -> str:
    """Short names of the joints that begin at a line, bare; empty for other lines."""
    keys = [view.joint_keys.get(e.joint, e.joint) for _, e in _at_mark(line, chart)]
    return ", ".join(sorted(set(keys), key=_numbered))


def _numbered(key: str) -> tuple[int, str]:
    """Short names of joints in the order of their numbers."""
    return len(key), key


def mark_words(line: MarkedLine, chart: Chart, view: PlanView) -> tuple[str, str]:
    """What stands before and after a line at which a joint begins; nothing for other lines."""
    ends = _at_mark(line, chart)
    faces = {e.planed for _, e in ends if e.planed is not None}
    if len(faces) != 1:
        return "", ""
    verb = JOINT_WORDS[ends[0][1].kind].verb
    face = faces.pop()
    over = "; square it over to the back," if face is Face.BACK else ";"
    return f"{joint_names([*ends], view)}, ", f"{over} {verb} {FACES[face]} from there to the end"


def _at_mark(line: MarkedLine, chart: Chart) -> list[tuple[ChartUse, JointEnd]]:
    """The joints that begin at a line, each with its piece."""
    middle = np.array([(p.x_mm, p.y_mm) for p in line.points]).mean(axis=0)
    label = line.name.removeprefix("mark").strip()
    return [
        (use, end)
        for use in chart.uses
        if label and (end := _nearest(use, middle)) is not None and KINDS[end.kind].mark == label
    ]


def end_at(use: ChartUse, cut: Cut) -> JointEnd | None:
    """The joint at a cut: its middle line lies half an overlap inside."""
    return _nearest(use, np.array(cut.line).mean(axis=0))


def _nearest(use: ChartUse, at: NDArray[np.float64]) -> JointEnd | None:
    """The joint of a piece whose middle is an overlap from a place at most."""
    found = [
        (float(np.hypot(*(apply(use.matrix, np.array(e.line)).mean(axis=0) - at))), e)
        for e in use.piece.ends
    ]
    away, end = min(found, key=lambda f: f[0], default=(0.0, None))
    return end if end is not None and away < end.overlap_mm + NEAR_MM else None


def _worked_words(sides: list[_Side]) -> str:
    """Which face of which piece is worked between the two lines of a joint."""
    ends = [(side, side.end) for side in sides if side.end is not None]
    if not ends:
        return ""
    kind = ends[0][1].kind
    faces = [
        f"the {FACES[end.planed]} of {side.letter}"
        + (" (lines squared over)" if end.planed is Face.BACK else "")
        for side, end in ends
        if end.planed is not None
    ]
    if len(sides) < 2 or not faces:
        return f"; {kind.value}"
    return f"; between these lines {JOINT_WORDS[kind].verb} {' and '.join(faces)}"
