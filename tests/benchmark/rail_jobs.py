"""Rail jobs drawn by lot: what a small boat's rails and a yard's boards might be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nestcut.model.job import CuttingRules, Job
from nestcut.model.joint import JointRule, KeepClear
from nestcut.model.part import Hands, RailPart
from nestcut.model.stock import BoardLength, BoardStock, Defect
from nestcut.search.streams import stream

THICKNESS = 20.0
LENGTHS = tuple(float(n) for n in range(2400, 5401, 300))


@dataclass(frozen=True, slots=True)
class RailJob:
    """A job by number under a seed; the first half of the numbers have few rails."""

    number: int
    job: Job

    @property
    def n_rails(self) -> int:
        """How many single rails it asks for."""
        return sum(p.count * (2 if p.hands is Hands.PAIR else 1) for p in self.job.rail_parts)


def draw_job(seed: int, number: int, of: int = 200) -> RailJob:
    """Draw one job: 2 to 6 rails in the first half of the numbers, 7 to 12 in the second."""
    rng = stream(seed, "rail job", number)
    low, high = (2, 6) if number < of // 2 else (7, 12)
    n = int(rng.integers(low, high + 1))
    widths = (45.0,) if rng.random() < 0.6 else (45.0, 30.0)
    board_width = float(rng.choice([45.0, 95.0, 145.0])) if len(widths) == 1 else 95.0
    rails: list[RailPart] = []
    left = n
    while left:
        hands = Hands.PAIR if left >= 2 and rng.random() < 0.7 else Hands.NONE
        width = float(widths[int(rng.integers(len(widths)))])
        rails.append(_rail(rng, f"rail {len(rails) + 1}", hands, width))
        left -= 2 if hands is Hands.PAIR else 1
    job = Job(
        name=f"rails {number}",
        file="",
        sha256="",
        cutting=CuttingRules(kerf_mm=3.0),
        board_stocks=(_stock(rng, board_width),),
        rail_parts=tuple(rails),
    )
    return RailJob(number, job)


def _rail(rng: np.random.Generator, name: str, hands: Hands, width: float) -> RailPart:
    length = 10.0 * float(rng.integers(250, 621))
    zones = []
    for k in range(int(rng.integers(1, 4))):
        at = 10.0 * float(rng.integers(40, int(length / 10.0) - 40))
        half = 10.0 * float(rng.integers(3, 9))
        zones.append(KeepClear(from_mm=at - half, to_mm=at + half, reason=f"frame {k + 1}"))
    rule = JointRule(
        slope=float(rng.choice([8.0, 10.0, 12.0])),
        keep_clear=tuple(zones),
        min_piece_mm=float(rng.choice([600.0, 800.0, 1000.0])),
        max_joints=int(rng.integers(2, 4)) if rng.random() < 0.7 else None,
        stagger_mm=300.0 if hands is Hands.PAIR and rng.random() < 0.5 else 0.0,
    )
    return RailPart(
        name=name,
        material="larch",
        thickness_mm=THICKNESS,
        width_mm=width,
        length_mm=length,
        hands=hands,
        allowance_mm=float(rng.choice([0.0, 30.0, 50.0])),
        joint=rule,
    )


def _stock(rng: np.random.Generator, width: float) -> BoardStock:
    n = int(rng.integers(2, 5))
    lengths = sorted(float(x) for x in rng.choice(LENGTHS, size=n, replace=False))
    rate = 0.0035 * width
    offers = [
        BoardLength(
            length_mm=x, price_minor=10 * round(rate * x * (0.9 + 0.2 * float(rng.random())))
        )
        for x in lengths
    ]
    if rng.random() < 0.3:
        at = 10.0 * float(rng.integers(60, 180))
        knot = Defect(from_mm=at, to_mm=at + 40.0, reason="knot")
        offers.append(BoardLength(length_mm=2700.0, count=1, defects=(knot,)))
    return BoardStock(
        name="board",
        material="larch",
        thickness_mm=THICKNESS,
        width_mm=width,
        lengths=tuple(offers),
        end_trim_mm=float(rng.choice([0.0, 10.0])),
    )
