"""An invented boat's parts, pieces, joints and rails for papers, made by hand."""

from __future__ import annotations

import math

from nestcut.facts import Length, fact
from nestcut.geometry.pose import MIRROR, move_shape
from nestcut.model.curves import Point
from nestcut.model.joint import Face, Joint, JointEnd, JointKind, JointRule
from nestcut.model.part import (
    Faces,
    Grain,
    Hand,
    Hands,
    RailPart,
    SheetPart,
    Timing,
)
from nestcut.model.piece import RailPiece, SheetPiece, piece_id
from nestcut.model.plan import BoardCut, BoardLayout
from nestcut.model.shape import Mark, Ring, Shape


def ring(points: list[Point]) -> Ring:
    return Ring(tuple((float(x), float(y)) for x, y in points))


def rectangle(length: float, width: float) -> Shape:
    return Shape(ring([(0, 0), (length, 0), (length, width), (0, width)]))


def hole(x: float, y: float, radius: float) -> Ring:
    angles = [-2 * math.pi * k / 24 for k in range(24)]
    return ring([(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles])


def bowed(length: float, width: float, bow: float) -> Shape:
    """A panel with a straight lower edge and a bowed upper one."""
    top = [
        (length * k / 24, width - bow + bow * math.sin(math.pi * k / 24)) for k in range(24, -1, -1)
    ]
    return Shape(ring([(0, 0), (length, 0), *top]))


def frame(length: float, height: float) -> Shape:
    outline = ring([(0, height), (length * 0.12, 0), (length * 0.88, 0), (length, height)][::1])
    points = ((length * 0.12, 0.0), (length * 0.88, 0.0), (length, height), (0.0, height))
    outline = ring(list(points))
    mark = Mark(((length / 2, 0.0), (length / 2, height)), label="centreline")
    return Shape(outline, (hole(length / 2, height * 0.5, height * 0.22),), (mark,))


def triangle(a: float, b: float) -> Shape:
    return Shape(ring([(0, 0), (a, 0), (0, b)]))


def part(name: str, shape: Shape, thickness: float, **more: object) -> SheetPart:
    return SheetPart(name=name, shape=shape, material="okoume ply", thickness_mm=thickness, **more)  # type: ignore[arg-type]


def pieces_of(part: SheetPart) -> list[SheetPiece]:
    """Whole pieces, or two shares joined by a scarf at the middle."""
    by_rule: dict[Hands, list[Hand | None]] = {
        Hands.NONE: [None],
        Hands.PAIR: [Hand.PORT, Hand.STARBOARD],
        Hands.PORT: [Hand.PORT],
        Hands.STARBOARD: [Hand.STARBOARD],
    }
    hands = by_rule[part.hands]
    made = []
    for copy in range(1, part.count + 1):
        for hand in hands:
            shape = part.shape if hand in {None, part.drawn} else move_shape(part.shape, MIRROR)
            shares = [shape] if part.joint is None else split(shape, part)
            for k, share in enumerate(shares, start=1):
                ends = ends_of(part, hand, copy, k, shape) if part.joint else ()
                made.append(
                    SheetPiece(
                        id=piece_id(part.name, hand, copy, k, len(shares)),
                        part=part.name,
                        hand=hand,
                        copy=copy,
                        share=k,
                        n_shares=len(shares),
                        shape=share,
                        net=share,
                        material=part.material,
                        thickness_mm=part.thickness_mm,
                        grain=part.grain,
                        turning=part.turning,
                        small_angle_deg=part.small_angle_deg,
                        faces=part.faces,
                        hole_use=part.hole_use,
                        timing=part.timing,
                        ends=ends,
                        note=part.note,
                    )
                )
    return made


def middle(shape: Shape) -> float:
    xs = [p[0] for p in shape.outline.points]
    return (min(xs) + max(xs)) / 2


def split(shape: Shape, part: SheetPart) -> list[Shape]:
    from shapely.geometry import Polygon, box

    from nestcut.geometry.polygons import to_shape

    half = part.thickness_mm * 8 / 2
    x = middle(shape)
    polygon = Polygon(shape.outline.points)
    left = polygon.intersection(box(-1e5, -1e5, x + half, 1e5))
    right = polygon.intersection(box(x - half, -1e5, 1e5, 1e5))
    assert isinstance(left, Polygon)
    assert isinstance(right, Polygon)
    is_mirrored = min(p[0] for p in shape.outline.points) < -1.0
    both = [to_shape(left), to_shape(right)]
    return both[::-1] if is_mirrored else both


def ends_of(
    part: SheetPart, hand: Hand | None, copy: int, share: int, shape: Shape
) -> tuple[JointEnd, ...]:
    x = middle(shape)
    ys = [p[1] for p in shape.outline.points]
    letter = hand.value[0].upper() if hand else ""
    return (
        JointEnd(
            joint=f"{part.name} {letter}{copy} J1",
            kind=JointKind.SCARF,
            line=((x, min(ys)), (x, max(ys))),
            planed=Face.BACK if share == 1 else Face.GOOD,
            overlap_mm=part.thickness_mm * 8,
        ),
    )


def joints_of(part: SheetPart) -> list[Joint]:
    made = []
    for piece in pieces_of(part):
        if piece.share == 1 and piece.n_shares == 2:
            xs = [p[0] for p in part.shape.outline.points]
            other = piece_id(part.name, piece.hand, piece.copy, 2, 2)
            made.append(
                Joint(
                    id=piece.ends[0].joint,
                    part=part.name,
                    hand=piece.hand.value if piece.hand else None,
                    copy=piece.copy,
                    kind=JointKind.SCARF,
                    slope=8.0,
                    thickness_mm=part.thickness_mm,
                    at_mm=(max(xs) - min(xs)) / 2,
                    overlap_mm=part.thickness_mm * 8,
                    part_length_mm=max(xs) - min(xs),
                    pieces=(piece.id, other),
                    planed=(Face.BACK, Face.GOOD),
                    distances=(("frame 3", 210.0),),
                )
            )
    return made


def boat_parts() -> list[SheetPart]:
    scarf = JointRule(at_mm=(2350.0,))
    return [
        part(
            "side panel", bowed(4700, 560, 130), 6, hands=Hands.PAIR, joint=scarf, allowance_mm=0.0
        ),
        part("bottom panel", bowed(4500, 600, 90), 6, hands=Hands.PAIR, joint=scarf),
        part("transom", frame(1180, 480), 18, bevels=("bottom edge 12° on the inside face",)),
        *[
            part(f"frame {k}", frame(900 + 90 * k, 300 + 20 * k), 9, faces=Faces.EITHER)
            for k in range(1, 6)
        ],
        part("bulkhead fore", frame(700, 420), 9, timing=Timing.AFTER_DRY_FIT, allowance_mm=10.0),
        part("bulkhead aft", frame(1100, 430), 9, timing=Timing.AFTER_DRY_FIT, allowance_mm=10.0),
        part("thwart", rectangle(1250, 240), 18, count=2),
        part("seat top", bowed(1400, 330, 40), 9, hands=Hands.PAIR),
        part("seat front", rectangle(1400, 260), 9, hands=Hands.PAIR),
        part("quarter knee", triangle(260, 190), 18, hands=Hands.PAIR),
        part("breasthook", triangle(320, 320), 18),
        part("case side", bowed(900, 420, 30), 9, hands=Hands.PAIR, grain=Grain.ACROSS),
        part("case head", rectangle(900, 60), 18, count=2),
        part("floor slat", rectangle(700, 70), 9, count=10),
        part(
            "hatch lid",
            Shape(ring(list(hole(0, 0, 110).points[::-1]))),
            9,
            count=3,
        ),
        part(
            "deck knee", triangle(120, 90), 9, count=8, faces=Faces.EITHER, note="drill 6 mm first"
        ),
        part("pad", rectangle(60, 40), 9, count=8),
        part("cleat", rectangle(90, 22), 9, count=6),
    ]


def rails_and_boards() -> tuple[list[RailPart], list[RailPiece], list[BoardLayout], list[Joint]]:
    gunwale = RailPart(
        name="gunwale",
        material="pine",
        thickness_mm=20.0,
        width_mm=45.0,
        length_mm=4950.0,
        hands=Hands.PAIR,
        joint=JointRule(slope=12.0),
    )
    riser = RailPart(
        name="seat riser",
        material="pine",
        thickness_mm=20.0,
        width_mm=30.0,
        length_mm=1200.0,
        count=4,
    )
    overlap = 240.0
    pieces, joints = [], []
    for hand in (Hand.PORT, Hand.STARBOARD):
        spans = ((0.0, 2960.0), (2960.0 - overlap, 4950.0))
        ids = tuple(piece_id("gunwale", hand, 1, k, 2) for k in (1, 2))
        joint = f"gunwale {hand.value[0].upper()}1 J1"
        for k, (a, b) in enumerate(spans, start=1):
            planed = Face.BACK if k == 1 else Face.GOOD
            middle_mm = 2960.0 - overlap / 2 - a
            end = JointEnd(
                joint=joint,
                kind=JointKind.SCARF,
                line=((middle_mm, 0.0), (middle_mm, 45.0)),
                planed=planed,
                overlap_mm=overlap,
            )
            pieces.append(
                RailPiece(
                    id=ids[k - 1],
                    part="gunwale",
                    hand=hand,
                    copy=1,
                    share=k,
                    n_shares=2,
                    material="pine",
                    thickness_mm=20.0,
                    width_mm=45.0,
                    length_mm=b - a,
                    from_mm=a,
                    to_mm=b,
                    ends=(end,),
                )
            )
        joints.append(
            Joint(
                id=joint,
                part="gunwale",
                hand=hand.value,
                copy=1,
                kind=JointKind.SCARF,
                slope=12.0,
                thickness_mm=20.0,
                at_mm=2840.0,
                overlap_mm=overlap,
                part_length_mm=4950.0,
                pieces=(ids[0], ids[1]),
                planed=(Face.BACK, Face.GOOD),
                rule_findings=(
                    fact(
                        "JNT-006",
                        at=Length(210.0),
                        apart=Length(0.0),
                        other="its twin",
                        least=Length(100.0),
                    ),
                ),
            )
        )
    for copy in range(1, 5):
        pieces.append(  # noqa: PERF401 - clearer so
            RailPiece(
                id=piece_id("seat riser", None, copy, 1, 1),
                part="seat riser",
                hand=None,
                copy=copy,
                share=1,
                n_shares=1,
                material="pine",
                thickness_mm=20.0,
                width_mm=30.0,
                length_mm=1200.0,
                from_mm=0.0,
                to_mm=1200.0,
            )
        )
    by_id = {p.id: p for p in pieces}

    def cut(name: str, start: float, rip: float) -> BoardCut:
        piece = by_id[name]
        return BoardCut(
            piece=name,
            from_mm=start,
            to_mm=start + piece.length_mm,
            rip_from_mm=rip,
            rip_to_mm=rip + piece.width_mm,
        )

    layouts = [
        (cut("gunwale P1 1/2", 10, 0), cut("gunwale S1 1/2", 10, 47)),
        (cut("gunwale P1 2/2", 10, 0), cut("gunwale S1 2/2", 10, 47)),
        (
            cut("seat riser 1", 10, 0),
            cut("seat riser 2", 1212, 0),
            cut("seat riser 3", 10, 32),
            cut("seat riser 4", 1212, 32),
        ),
    ]
    boards = [
        BoardLayout(
            stock="pine 20 x 95",
            number=k,
            length_mm=3000.0,
            width_mm=95.0,
            thickness_mm=20.0,
            cuts=cuts,
        )
        for k, cuts in enumerate(layouts, start=1)
    ]
    return [gunwale, riser], pieces, boards, joints
