"""A small job with everything a verifier looks at, and plans of random small jobs."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from nestcut.boards import JointPreference
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.curves import Arc, Curve, Line, Point, Spline
from nestcut.model.job import CuttingRules, Job
from nestcut.model.joint import Face, JointAxis, JointKind, JointRule, KeepClear, LapFacing
from nestcut.model.part import Grain, Hands, HoleUse, RailPart, SheetPart, Turning
from nestcut.model.plan import VerifiedPlan
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.model.stock import BoardLength, BoardStock, Defect, KeepOut, SheetStock
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests.builders import a_part

FLATNESS_MM = 0.05


def ring_of(curves: tuple[Curve, ...], side: Side = Side.OUTLINE) -> Ring:
    return ring_from_curves(curves, FLATNESS_MM, side)


def hole(x: float, y: float, radius: float) -> Ring:
    return ring_of((Arc((x, y), radius, 0.0, -360.0),), Side.HOLE)


def bowed(length: float, width: float, bow: float) -> Ring:
    """A panel with a straight lower edge, square ends and a spline above."""
    third = length / 3.0
    top = Spline(
        3,
        ((length, width), (2 * third, width + bow), (third, width + bow), (0.0, width)),
        (0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0),
    )
    return ring_of(
        (
            Line((0.0, 0.0), (length, 0.0)),
            Line((length, 0.0), (length, width)),
            top,
            Line((0.0, width), (0.0, 0.0)),
        )
    )


def knee(a: float, b: float) -> Ring:
    """A triangle with a quarter circle for its long side."""
    return ring_of(
        (
            Line((0.0, 0.0), (a, 0.0)),
            *_hollow((a, 0.0), (0.0, b)),
            Line((0.0, b), (0.0, 0.0)),
        )
    )


def _hollow(start: Point, end: Point) -> tuple[Curve, ...]:
    """A flat arc between two points, hollow towards the outside."""
    chord = math.dist(start, end)
    radius = 3.0 * chord
    mx, my = (start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0
    nx, ny = (end[1] - start[1]) / chord, -(end[0] - start[0]) / chord
    rise = math.sqrt(radius * radius - chord * chord / 4.0)
    centre = (mx + nx * rise, my + ny * rise)
    begin = math.degrees(math.atan2(start[1] - centre[1], start[0] - centre[0]))
    stop = math.degrees(math.atan2(end[1] - centre[1], end[0] - centre[0]))
    sweep = (stop - begin + 180.0) % 360.0 - 180.0
    return (Arc(centre, radius, begin, sweep),)


def rounded(length: float, width: float, radius: float) -> Ring:
    r, x, y = radius, length, width
    return ring_of(
        (
            Line((r, 0.0), (x - r, 0.0)),
            Arc((x - r, r), r, 270.0, 90.0),
            Line((x, r), (x, y - r)),
            Arc((x - r, y - r), r, 0.0, 90.0),
            Line((x - r, y), (r, y)),
            Arc((r, y - r), r, 90.0, 90.0),
            Line((0.0, y - r), (0.0, r)),
            Arc((r, r), r, 180.0, 90.0),
        )
    )


def joined_job() -> Job:
    """Scarfed, strapped and keyed panels, knees, a frame with a hole, rails round a knot."""
    station = Mark(((900.0, 0.0), (900.0, 250.0)), (Line((900.0, 0.0), (900.0, 250.0)),), "frame 2")
    panel = bowed(1800.0, 250.0, 60.0)
    parts = (
        a_part(
            "side",
            shape=Shape(panel, (hole(400.0, 120.0, 40.0),), (station,)),
            hands=Hands.PAIR,
            joint=JointRule(
                slope=8.0,
                at_mm=(1100.0,),
                lap_facing=LapFacing.AFT,
                min_piece_mm=500.0,
                stagger_mm=0.0,
                keep_clear=(KeepClear(from_mm=100.0, to_mm=700.0, reason="hole"),),
            ),
        ),
        a_part(
            "bottom",
            shape=Shape(bowed(1600.0, 300.0, 30.0)),
            joint=JointRule(kind=JointKind.BUTT_STRAP, at_mm=(700.0,), strap_face=Face.BACK),
        ),
        a_part(
            "deck",
            shape=Shape(bowed(1500.0, 260.0, 20.0)),
            joint=JointRule(kind=JointKind.KEYED, at_mm=(800.0,)),
        ),
        a_part("knee", shape=Shape(knee(180.0, 160.0)), hands=Hands.PAIR, grain=Grain.ANY),
        a_part(
            "frame",
            shape=Shape(rounded(500.0, 300.0, 60.0), (hole(250.0, 150.0, 80.0),)),
            allowance_mm=8.0,
            hole_use=HoleUse.USE,
        ),
    )
    rule = JointRule(slope=12.0, at_mm=(1500.0,), max_joints=2)
    rails = (
        RailPart(
            name="gunwale",
            material="fir",
            thickness_mm=15.0,
            width_mm=30.0,
            length_mm=2600.0,
            hands=Hands.PAIR,
            joint=rule,
            allowance_mm=20.0,
        ),
        RailPart(
            name="chine", material="fir", thickness_mm=15.0, width_mm=30.0, length_mm=900.0, count=2
        ),
    )
    ply = SheetStock(
        name="6 mm ply",
        material="ply",
        thickness_mm=6.0,
        length_mm=1600.0,
        width_mm=1000.0,
        price_minor=3000,
        edge_trim_mm=4.0,
        keep_outs=(KeepOut(points=((5.0, 5.0), (45.0, 5.0), (45.0, 30.0)), reason="split corner"),),
    )
    fir = BoardStock(
        name="fir 15 x 100",
        material="fir",
        thickness_mm=15.0,
        width_mm=100.0,
        end_trim_mm=10.0,
        edge_trim_mm=1.0,
        lengths=(
            BoardLength(length_mm=2100.0, price_minor=700),
            BoardLength(
                length_mm=2000.0,
                count=1,
                defects=(Defect(from_mm=0.0, to_mm=150.0, reason="knot"),),
            ),
        ),
    )
    return Job(
        name="joined",
        file="joined.toml",
        sha256="1" * 64,
        cutting=CuttingRules(kerf_mm=2.0, gap_mm=1.0),
        sheet_stocks=(ply,),
        board_stocks=(fir,),
        sheet_parts=parts,
        rail_parts=rails,
    )


def quick_plan(job: Job, seed: int = 0) -> VerifiedPlan:
    """Plan a job with quick effort in this process; the verifier looks at it."""
    settings = Settings(effort=Effort.QUICK, seed=seed, workers=1, seconds=None)
    desk = Desk(
        settings=settings,
        deadline=Deadline(),
        watcher=Silent(),
        preference=JointPreference.CHEAPEST,
    )
    return plan_job(job, desk)


@lru_cache(maxsize=1)
def joined_plan() -> VerifiedPlan:
    return quick_plan(joined_job())


def random_job(seed: int) -> Job:
    """A small job of chance: kerf 0, odd stock, pairs, holes, arcs, every kind of joint, rails."""
    draw = np.random.default_rng(seed)
    kerf = float(draw.choice([0.0, 1.0, 2.0, 3.2]))
    gap = float(draw.choice([0.0, 0.0, 1.5]))
    thickness = float(draw.choice([4.0, 6.0, 9.0]))
    material = "ply"
    n = int(draw.integers(1, 6))
    parts = tuple(_random_part(draw, f"part {k + 1}", thickness) for k in range(n))
    outline = None
    length, width = float(draw.uniform(900, 2400)), float(draw.uniform(600, 1250))
    trim = float(draw.choice([0.0, 0.0, 3.0, 10.0]))
    stocks = [
        SheetStock(
            name="sheet",
            material=material,
            thickness_mm=thickness,
            length_mm=length,
            width_mm=width,
            price_minor=int(draw.choice([0, 1000, 4599])),
            outline=outline,
            edge_trim_mm=trim,
        )
    ]
    if draw.random() < 0.4:
        corners = ((0.0, 0.0), (length, 0.0), (length, 0.6 * width), (0.7 * length, 0.55 * width))
        stocks.append(
            SheetStock(
                name="offcut",
                material=material,
                thickness_mm=thickness,
                length_mm=length,
                width_mm=width,
                count=1,
                outline=(*corners, (0.6 * length, width), (0.0, width)),
                edge_trim_mm=trim,
            )
        )
    rails = tuple(_random_rail(draw, k) for k in range(int(draw.integers(0, 3))))
    board = BoardStock(
        name="board",
        material="fir",
        thickness_mm=15.0,
        width_mm=float(draw.choice([60.0, 95.0])),
        end_trim_mm=float(draw.choice([0.0, 5.0])),
        lengths=(
            BoardLength(length_mm=float(draw.integers(1800, 3000)), price_minor=500),
            BoardLength(
                length_mm=2500.0,
                count=1,
                defects=(Defect(from_mm=600.0, to_mm=640.0, reason="knot"),),
            ),
        ),
    )
    return Job(
        name=f"job {seed}",
        file=f"job-{seed}.toml",
        sha256=f"{seed:064d}",
        cutting=CuttingRules(kerf_mm=kerf, gap_mm=gap),
        sheet_stocks=tuple(stocks),
        board_stocks=(board,) if rails else (),
        sheet_parts=parts,
        rail_parts=rails,
    )


def _random_part(draw: np.random.Generator, name: str, thickness: float) -> SheetPart:
    length, width = float(draw.uniform(120, 850)), float(draw.uniform(80, 320))
    r = 0.3 * min(length, width)
    kind = int(draw.integers(0, 4))
    outline = (
        rounded(length, width, r),
        bowed(length, width, 0.2 * width),
        knee(0.5 * (length + width), width),
        ring_of(
            (
                Line((0.0, 0.0), (length, 0.0)),
                Line((length, 0.0), (length, width)),
                Line((length, width), (0.0, width)),
                Line((0.0, width), (0.0, 0.0)),
            )
        ),
    )[kind]
    holes: tuple[Ring, ...] = ()
    joint = None
    if kind in {0, 3} and draw.random() < 0.4:
        holes = (hole(length / 2.0, width / 2.0, 0.25 * min(length, width)),)
    if kind in {1, 3} and not holes and length > 500.0 and draw.random() < 0.7:
        which = list(JointKind)[int(draw.integers(0, len(JointKind)))]
        at = (float(draw.uniform(0.4, 0.6)) * length,)
        joint = JointRule(kind=which, slope=8.0, at_mm=at, axis=JointAxis.LENGTH)
    allowance = 0.0 if joint is not None else float(draw.choice([0.0, 0.0, 6.0]))
    free = draw.random() < 0.3
    return a_part(
        name,
        shape=Shape(outline, holes),
        thickness_mm=thickness,
        count=int(draw.integers(1, 3)),
        hands=Hands.PAIR if draw.random() < 0.4 else Hands.NONE,
        grain=Grain.ANY if free else Grain.ALONG,
        turning=Turning.FREE if free else Turning.HALF,
        allowance_mm=allowance,
        joint=joint,
    )


def _random_rail(draw: np.random.Generator, number: int) -> RailPart:
    length = float(draw.uniform(500, 3200))
    given = (0.5 * length,) if length > 1600 else ()
    joint = JointRule(slope=12.0, at_mm=given) if given else None
    return RailPart(
        name=f"rail {number + 1}",
        material="fir",
        thickness_mm=15.0,
        width_mm=float(draw.choice([25.0, 40.0])),
        length_mm=length,
        hands=Hands.PAIR if draw.random() < 0.3 else Hands.NONE,
        joint=joint,
    )
