"""Ready jobs and plans, small enough to check by hand; override what matters."""

from __future__ import annotations

from dataclasses import replace

from nestcut.boards import Rail, divide_rail
from nestcut.joints.split import split_part, whole_pieces
from nestcut.model.curves import Point
from nestcut.model.job import CuttingRules, Job
from nestcut.model.joint import Joint, JointRule
from nestcut.model.part import Grain, Hands, RailPart, SheetPart, Turning
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import BoardCut, BoardLayout, BuyLine, Plan, SheetLayout, StopReason
from nestcut.model.pose import Lie, Placement
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import BoardLength, BoardStock, SheetStock
from nestcut.planning.judge import judge_joints


def rectangle(length_mm: float, width_mm: float) -> Shape:
    """A rectangle with its reference corner at the origin."""
    return polygon_shape(((0, 0), (length_mm, 0), (length_mm, width_mm), (0, width_mm)))


def polygon_shape(points: tuple[Point, ...]) -> Shape:
    """A shape of straight edges, corners counter-clockwise."""
    return Shape(Ring(tuple((float(x), float(y)) for x, y in points)))


KNEE = polygon_shape(((0, 0), (300, 0), (300, 60), (80, 220), (0, 220)))
"""A knee: no symmetry, so its hands can't be mixed up unnoticed."""

PLY = SheetStock(
    name="6 mm ply",
    material="ply",
    thickness_mm=6.0,
    length_mm=2440.0,
    width_mm=1220.0,
    price_minor=5800,
)
SPRUCE = BoardStock(
    name="20 x 95 spruce",
    material="spruce",
    thickness_mm=20.0,
    width_mm=95.0,
    lengths=(BoardLength(length_mm=2400.0, price_minor=900),),
)


def a_part(name: str = "plate", **changes: object) -> SheetPart:
    """A plate of 6 mm ply, 400 x 300 mm, grain along."""
    values: dict[str, object] = {
        "name": name,
        "shape": rectangle(400, 300),
        "material": "ply",
        "thickness_mm": 6.0,
        **changes,
    }
    return SheetPart(**values)  # type: ignore[arg-type]


def a_job(**changes: object) -> Job:
    """Two plates, a pair of knees, a panel to be scarfed at 1500 mm, and one scarfed rail."""
    values: dict[str, object] = {
        "name": "test boat",
        "file": "job.toml",
        "sha256": "0" * 64,
        "cutting": CuttingRules(kerf_mm=2.0, gap_mm=3.0),
        "sheet_stocks": (PLY,),
        "board_stocks": (SPRUCE,),
        "sheet_parts": (
            a_part("plate", count=2),
            a_part("knee", shape=KNEE, hands=Hands.PAIR, grain=Grain.ANY, turning=Turning.QUARTER),
            a_part("panel", shape=rectangle(3000, 400), joint=JointRule(at_mm=(1500.0,))),
        ),
        "rail_parts": (
            RailPart(
                name="rail",
                material="spruce",
                thickness_mm=20.0,
                width_mm=45.0,
                length_mm=4000.0,
                joint=JointRule(slope=12.0, at_mm=(2000.0,)),
            ),
        ),
        **changes,
    }
    return Job(**values)  # type: ignore[arg-type]


def flat_pieces(job: Job) -> tuple[tuple[SheetPiece, ...], tuple[Joint, ...]]:
    """All flat pieces of a job whose joints are given, with their joints."""
    pieces: list[SheetPiece] = []
    joints: list[Joint] = []
    for part in job.sheet_parts:
        if part.joint is None or not part.joint.at_mm:
            pieces += whole_pieces(part)
        else:
            split = split_part(part, part.joint.at_mm)
            pieces += split.pieces
            joints += split.joints
    return tuple(pieces), tuple(joints)


def in_rows(pieces: tuple[SheetPiece, ...], space_mm: float = 10.0) -> tuple[SheetLayout, ...]:
    """Lay pieces out in rows on sheets of PLY: no search, only boxes side by side."""
    sheets: list[list[Placement]] = [[]]
    x = y = row = 0.0
    for piece in pieces:
        xs = [p[0] for p in piece.shape.outline.points]
        ys = [p[1] for p in piece.shape.outline.points]
        length, width = max(xs) - min(xs), max(ys) - min(ys)
        if x + length > PLY.length_mm:
            x, y, row = 0.0, y + row + space_mm, 0.0
        if y + width > PLY.width_mm:
            sheets.append([])
            x = y = row = 0.0
        sheets[-1].append(
            Placement(
                piece=piece.id, lie=Lie.FACE_UP, turn_deg=0.0, shift_mm=(x - min(xs), y - min(ys))
            )
        )
        x, row = x + length + space_mm, max(row, width)
    return tuple(
        SheetLayout(
            stock=PLY.name,
            number=number,
            length_mm=PLY.length_mm,
            width_mm=PLY.width_mm,
            thickness_mm=PLY.thickness_mm,
            outline=None,
            edge_trim_mm=0.0,
            keep_outs=(),
            placements=tuple(placements),
        )
        for number, placements in enumerate(sheets, start=1)
    )


def a_scarfed_rail() -> tuple[tuple[RailPiece, ...], Joint]:
    """The job's rail: 4000 mm in two pieces that overlap by 12 x 20 = 240 mm at 2000 mm."""
    rule = JointRule(slope=12.0, at_mm=(2000.0,))
    part = RailPart(
        name="rail",
        material="spruce",
        thickness_mm=20.0,
        width_mm=45.0,
        length_mm=4000.0,
        joint=rule,
    )
    pieces, (joint,) = divide_rail(Rail(part=part, hand=None, copy=1), (2000.0,))
    return pieces, joint


def judged(job: Job, plan: Plan) -> Plan:
    """A plan whose joints were held against the job's rules, and say whose word they are."""
    parts: tuple[SheetPart | RailPart, ...] = (*job.sheet_parts, *job.rail_parts)
    rules = {p.name: p.joint for p in parts}
    told = [replace(j, word=r.word) if (r := rules.get(j.part)) else j for j in plan.joints]
    return replace(plan, joints=judge_joints(job, tuple(told), plan.findings)[0])


def a_plan(job: Job | None = None) -> Plan:
    """A valid plan of :func:`a_job`, laid out in rows and on one board."""
    job = a_job() if job is None else job
    pieces, joints = flat_pieces(job)
    sheets = in_rows(pieces)
    rail_pieces, rail_joint = a_scarfed_rail()
    board = BoardLayout(
        stock=SPRUCE.name,
        number=1,
        length_mm=2400.0,
        width_mm=95.0,
        thickness_mm=20.0,
        cuts=tuple(
            BoardCut(
                piece=p.id,
                from_mm=0.0,
                to_mm=p.length_mm,
                rip_from_mm=start,
                rip_to_mm=start + p.width_mm,
            )
            for p, start in zip(rail_pieces, (0.0, 47.0), strict=True)
        ),
    )
    has_rails = bool(job.rail_parts)
    buy = [_line(PLY.name, len(sheets), PLY.price_minor, 2440.0, 1220.0, 6.0)]
    if has_rails:
        buy.append(_line(SPRUCE.name, 1, 900, 2400.0, 95.0, 20.0))
    plan = Plan(
        seed=0,
        effort="normal",
        workers=1,
        seconds_limit=None,
        stopped_by=StopReason.WORK_DONE,
        pieces=pieces,
        rail_pieces=rail_pieces if has_rails else (),
        sheets=sheets,
        boards=(board,) if has_rails else (),
        joints=(*joints, rail_joint) if has_rails else joints,
        unplaced=(),
        bounds=(),
        buy=tuple(buy),
        findings=job.findings,
    )
    return judged(job, plan)


def _line(
    stock: str, count: int, price: int, length_mm: float, width_mm: float, thickness_mm: float
) -> BuyLine:
    return BuyLine(
        stock=stock,
        count=count,
        price_minor=price,
        length_mm=length_mm,
        width_mm=width_mm,
        thickness_mm=thickness_mm,
    )
