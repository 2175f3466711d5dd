"""In which order a board is sawn: rips from end to end and then crosscuts, or otherwise.

A rip that runs the whole length where it can, a crosscut where it can't, and so on with what they
make: the pieces come off in that order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

from nestcut.model.plan import BoardCut
from nestcut.tolerances import VERIFY_MM

Span = tuple[float, float]
"""From, to. [mm]"""


class SawWay(Enum):
    """Which way a saw cut runs."""

    RIP = auto()
    """Along the board."""
    CROSSCUT = auto()

    @property
    def other(self) -> SawWay:
        """The other one."""
        return SawWay.CROSSCUT if self is SawWay.RIP else SawWay.RIP


@dataclass(frozen=True, slots=True)
class SawStep:
    """Cuts of one direction through one block of a board."""

    way: SawWay


@dataclass(frozen=True, slots=True)
class Sawing:
    """Cuts in the order in which they come off, and the steps; ``is_usual``: ripped, then cut.

    ``steps`` is empty for a board whose pieces no cuts right through can part.
    """

    cuts: tuple[BoardCut, ...]
    steps: tuple[SawStep, ...]
    is_usual: bool

    @property
    def comes_apart(self) -> bool:
        """Whether cuts right through part its pieces."""
        return bool(self.steps) or len(self.cuts) <= 1


def sawing_of(cuts: Sequence[BoardCut], kerf_mm: float) -> Sawing:
    """Return how a board is sawn."""
    usual = tuple(sorted(cuts, key=lambda c: (c.rip_from_mm, c.from_mm, c.piece)))
    found = _taken_apart(usual, kerf_mm, 0)
    if found is None:
        return Sawing(cuts=usual, steps=(), is_usual=False)
    ordered, steps, depth = found
    is_usual = depth <= 2 and (not steps or steps[0].way is SawWay.RIP or len(steps) == 1)
    return Sawing(cuts=usual if is_usual else ordered, steps=steps, is_usual=is_usual)


Apart = tuple[tuple[BoardCut, ...], tuple[SawStep, ...], int]
"""Pieces in order, steps, and how many steps lie within each other."""


def _taken_apart(cuts: tuple[BoardCut, ...], kerf_mm: float, depth: int) -> Apart | None:
    if len(cuts) <= 1:
        return cuts, (), depth
    for way in SawWay:
        blocks = blocks_of(cuts, kerf_mm, way)
        if len(blocks) == 1:
            continue
        parts = [_taken_apart(block, kerf_mm, depth + 1) for block in blocks]
        if any(p is None for p in parts):
            return None
        known = [p for p in parts if p is not None]
        step = SawStep(way)
        return (
            tuple(c for p in known for c in p[0]),
            (step, *(s for p in known for s in p[1])),
            max(p[2] for p in known),
        )
    return None


def span_of(cut: BoardCut, way: SawWay) -> Span:
    """What a cut piece takes across the cuts of one direction. [mm]"""
    return (cut.rip_from_mm, cut.rip_to_mm) if way is SawWay.RIP else (cut.from_mm, cut.to_mm)


def blocks_of(
    cuts: tuple[BoardCut, ...], kerf_mm: float, way: SawWay
) -> list[tuple[BoardCut, ...]]:
    """Part cuts where a rip, or a crosscut, runs between them through everything.

    Parameters
    ----------
    kerf_mm
        Least gap in which a blade runs. [mm]
    """
    blocks: list[list[BoardCut]] = []
    end = -float("inf")
    for cut in sorted(cuts, key=lambda c: span_of(c, way)):
        begin, stop = span_of(cut, way)
        if not blocks or begin >= end + kerf_mm - VERIFY_MM:
            blocks.append([])
        blocks[-1].append(cut)
        end = max(end, stop)
    return [tuple(b) for b in blocks]
