"""Port and starboard lie beside each other where that costs nothing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.model.curves import Point
from nestcut.model.part import Faces, Hand, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.pose import Lie, Placement
from nestcut.search.settings import Deadline
from nestcut.sheets.layouts import FilledSheet, faults_of, moved_polygon
from nestcut.sheets.left.offcuts import largest_mm2
from nestcut.sheets.prepare import Group, PreparedPiece, prepare_group
from nestcut.sheets.standing import Standing
from nestcut.sheets.twins.exchange import exchanged, in_place_of
from nestcut.sheets.twins.glued import Glued, as_they_lie, ways_beside
from nestcut.sheets.twins.pairs import Lying, Nearness, are_beside, pairs_of
from nestcut.sheets.twins.together import bring_together
from tests.unit.sheets.cases import SAW, box, piece, sheet

KNEE: tuple[Point, ...] = ((0.0, 0.0), (300.0, 0.0), (60.0, 60.0), (0.0, 240.0))
LEAF: tuple[Point, ...] = ((0.0, 0.0), (900.0, 80.0), (900.0, 200.0), (0.0, 320.0))


def twins(part: str, points: tuple[Point, ...], copy: int = 1, **changes: Any) -> list[SheetPiece]:
    """Port as drawn, starboard mirrored."""
    other = tuple((-x, y) for x, y in reversed(points))
    return [
        piece(
            part, shape, id=f"{part} {hand.value[0].upper()}{copy}", hand=hand, copy=copy, **changes
        )
        for hand, shape in ((Hand.PORT, points), (Hand.STARBOARD, other))
    ]


def at(name: str, x: float, y: float, turn: float = 0.0, lie: Lie = Lie.FACE_UP) -> Placement:
    return Placement(piece=name, lie=lie, turn_deg=turn, shift_mm=(x, y))


def filled(*lying: Placement) -> FilledSheet:
    return FilledSheet(stock="whole", lying=tuple(sorted(lying, key=lambda p: p.piece)))


def standing_of(pieces: list[SheetPiece], *sheets: FilledSheet) -> Standing:
    standing = Standing(prepare_group(tuple(pieces), (sheet(),), SAW))
    assert standing.offer(sheets)
    return standing


def nearness(group: Group, sheets: tuple[FilledSheet, ...]) -> list[Nearness]:
    lying = Lying.of(group, sheets)
    return [lying.nearness(p) for p in pairs_of(group)]


def test_twins_are_port_and_starboard_of_one_copy_and_share() -> None:
    pieces = [*twins("knee", KNEE), *twins("knee", KNEE, 2), piece("seat", box(300, 300))]
    pieces += [piece("lone", box(90, 90), id="lone P1", hand=Hand.PORT)]

    pairs = pairs_of(prepare_group(tuple(pieces), (sheet(),), SAW))

    assert pairs == (("knee P1", "knee S1"), ("knee P2", "knee S2"))


@pytest.mark.parametrize(
    ("x", "y", "beside"),
    [
        (0.0, 125.0, True),
        (0.0, 131.0, False),
        (170.0, 105.0, False),
        (100.0, 105.0, True),
        (205.0, 105.0, False),
    ],
)
def test_beside_is_near_and_along_half_a_side(x: float, y: float, *, beside: bool) -> None:
    lower = Polygon(box(200, 100))

    assert are_beside(lower, affinity.translate(lower, x, y), 30.0) is beside


def test_pieces_of_one_outline_exchange_their_places() -> None:
    """Two of four equal boxes are the other pair's: names change, no cut does."""
    pieces = twins("end", box(300, 200)) + twins("end", box(300, 200), 2)
    sheets = (
        filled(at("end P1", 0, 0), at("end S2", 300, 205)),
        filled(at("end P2", 0, 0), at("end S1", 300, 205)),
    )
    standing = standing_of(pieces, *sheets)

    now = exchanged(standing.group, sheets, pairs_of(standing.group))

    assert nearness(standing.group, sheets) == [Nearness.APART] * 2
    assert nearness(standing.group, now) == [Nearness.BESIDE] * 2
    assert standing.rearrange(now)


@pytest.mark.parametrize("faces", list(Faces))
def test_a_mirrored_outline_is_filled_by_who_may_lie_face_down(faces: Faces) -> None:
    group = prepare_group(tuple(twins("knee", KNEE, faces=faces)), (sheet(),), SAW)
    theirs = at("knee S1", 700, 300, 180.0)
    outline = moved_polygon(group.piece_of("knee S1").net, theirs)

    found = in_place_of(group.piece_of("knee P1"), outline, theirs, 0.0)

    if faces is Faces.EITHER:
        assert found is not None
        moved = moved_polygon(group.piece_of("knee P1").net, found)
        assert moved.symmetric_difference(outline).area < 1e-3
        assert found.lie is Lie.FACE_DOWN
    else:
        assert found is None


def test_a_piece_never_turns_as_it_may_not_to_fill_a_place() -> None:
    fixed = piece("fixed", box(300, 200), turning=Turning.NONE)
    group = prepare_group((fixed, piece("tall", box(200, 300))), (sheet(),), SAW)
    theirs = at("tall 1", 0, 0)
    outline = moved_polygon(group.piece_of("tall 1").net, theirs)

    assert in_place_of(group.piece_of("fixed 1"), outline, theirs, 0.0) is None


@pytest.mark.parametrize("points", [KNEE, LEAF, box(500, 120)])
@pytest.mark.parametrize("turning", [Turning.HALF, Turning.FREE, Turning.NONE])
def test_twins_made_one_keep_their_clearance_and_their_turns(
    points: tuple[Point, ...], turning: Turning
) -> None:
    group = prepare_group(tuple(twins("part", points, turning=turning)), (sheet(),), SAW)
    first, second = (group.piece_of(i) for i in ("part P1", "part S1"))

    ways = ways_beside(first, second, SAW.clearance_mm)

    assert ways
    for way in ways:
        for turn in way.piece.item.turns.centres_deg:
            lies = way.apart(at(way.piece.id, 1200.0, 600.0, turn))
            outlines = [moved_polygon(group.piece_of(m.piece).net, m) for m in lies]
            gap = outlines[0].distance(outlines[1])
            assert SAW.clearance_mm - 1e-3 <= gap <= SAW.clearance_mm + 1.5
            assert are_beside(outlines[0], outlines[1], 30.0)
            allowed = {Turning.NONE: {0.0}, Turning.HALF: {0.0, 180.0}}.get(turning)
            assert allowed is None or {m.turn_deg for m in lies} <= allowed


def test_twins_made_one_as_they_lie_stay_so() -> None:
    group = prepare_group(tuple(twins("leaf", LEAF)), (sheet(),), SAW)
    two = (group.piece_of("leaf P1"), group.piece_of("leaf S1"))
    lies = (at("leaf P1", 10, 20), at("leaf S1", 950, 345))

    one = as_they_lie(two, lies)
    cover = Polygon(one.piece.item.outline + one.piece.centre)

    assert one.apart(at(one.piece.id, 0.0, 0.0)) == lies
    assert all(cover.covers(moved_polygon(p.net, m)) for p, m in zip(two, lies, strict=True))


def scattered() -> Standing:
    """Twins with a seat between them, and a whole strip left that is kept."""
    pieces = [*twins("leaf", LEAF), piece("seat", box(900, 300))]
    return standing_of(
        pieces, filled(at("leaf P1", 0, 0), at("seat 1", 0, 330), at("leaf S1", 900, 640))
    )


def test_copies_lie_beside_each_other_as_the_first_twins_do() -> None:
    pieces = [*twins("leaf", LEAF), *twins("leaf", LEAF, 2)]
    group = prepare_group(tuple(pieces), (sheet(),), SAW)
    first, second, other, last = (group.piece_of(p.id) for p in pieces)

    own = ways_beside(other, last, group.clearance_mm)
    shared = [w.of_copies(other, last) for w in ways_beside(first, second, group.clearance_mm)]

    assert len(own) > 1
    assert [w.members for w in shared] == [w.members for w in own]
    assert [w.piece.id for w in shared] == [w.piece.id for w in own]
    assert {w.piece.id for w in own} == {"leaf P2 + leaf S2"}
    for one, way in zip(shared, own, strict=True):
        assert one.piece.net.equals(way.piece.net)
        assert one.piece.item.id == way.piece.item.id
        assert (one.piece.item.outline == way.piece.item.outline).all()


def test_nothing_is_worked_out_for_twins_that_no_work_is_left_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []

    def note(first: PreparedPiece, *_: object) -> tuple[Glued, ...]:
        asked.append(first.id)
        return ()

    monkeypatch.setattr("nestcut.sheets.twins.together.ways_beside", note)

    for passes, deadline in ((0, Deadline()), (600, Deadline(0.0))):
        assert not bring_together(scattered(), passes, 0, deadline)
    assert asked == []

    assert not bring_together(scattered(), 600, 0, Deadline())
    assert asked == ["leaf P1"]


def test_sheets_are_laid_out_anew_where_nothing_is_lost_by_it() -> None:
    standing = scattered()
    before = standing.sure()

    assert bring_together(standing, 600, 0, Deadline())

    now = standing.sure()
    assert nearness(standing.group, before.sheets) == [Nearness.ON_ONE_SHEET]
    assert nearness(standing.group, now.sheets) == [Nearness.BESIDE]
    assert now.score[:5] == before.score[:5]
    kept, was = (largest_mm2(standing.group, c.sheets[0]) for c in (now, before))
    assert kept >= was - 0.01 * 1220.0
    assert faults_of(standing.group, now.sheets[0]) == ()


def test_the_same_again_gives_the_same() -> None:
    first, second = scattered(), scattered()

    bring_together(first, 600, 0, Deadline())
    bring_together(second, 600, 0, Deadline())

    assert first.sure() == second.sure()


def test_no_work_and_no_twins_leave_all_as_it_is() -> None:
    idle = scattered()
    lone = standing_of([piece("seat", box(900, 300))], filled(at("seat 1", 0, 0)))

    assert not bring_together(idle, 0, 0, Deadline())
    assert not bring_together(lone, 600, 0, Deadline())


def test_what_is_kept_is_never_lost_for_looks() -> None:
    """Beside each other at the far end, the twins would halve the strip that is kept."""
    standing = scattered()
    (lying,) = standing.sure().sheets
    spoilt = replace(
        lying,
        lying=tuple(
            replace(p, shift_mm=(p.shift_mm[0] + 700.0, p.shift_mm[1])) for p in lying.lying
        ),
    )

    assert not standing.rearrange((spoilt,))
    assert standing.sure().sheets == (lying,)


def test_a_reshuffle_with_a_fault_is_refused() -> None:
    standing = scattered()
    (lying,) = standing.sure().sheets
    onto = tuple(
        replace(p, shift_mm=(900.0, 400.0)) if p.piece == "leaf S1" else p for p in lying.lying
    )

    assert not standing.rearrange((replace(lying, lying=onto),))
