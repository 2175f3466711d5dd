"""Pieces of one outline exchange their places, so that twins come to lie beside each other.

What is sawn stays the same to the last cut: no more than names change.
"""

from __future__ import annotations

from collections import defaultdict

from shapely.geometry import Polygon

from nestcut.geometry.pose import move_vector
from nestcut.model.pose import Placement, Pose
from nestcut.nesting.problem import Turns
from nestcut.sheets.layouts import FilledSheet, moved_polygon
from nestcut.sheets.prepare import Group, PreparedPiece
from nestcut.sheets.twins.pairs import Lying, Nearness, Pair
from nestcut.tolerances import ANGLE_DEG, AREA_MM2
from nestcut.tolerances.lengths import SAME_PLACE_MM

_QUARTERS = (0.0, 90.0, 180.0, 270.0)
_ROUND = 4
"""Decimals of a shift that are kept. [-]"""
_MOST_TRIALS = 5_000
"""Exchanges tried for one material: boats come to a few dozen. [-]"""


def exchanged(
    group: Group, sheets: tuple[FilledSheet, ...], pairs: tuple[Pair, ...]
) -> tuple[FilledSheet, ...]:
    """Exchange pieces of one outline as long as twins come nearer to each other by it.

    Parameters
    ----------
    sheets
        All sheets of the material; what comes back is as many, in their order.
    pairs
        Those whose twins are to come together.
    """
    lying = Lying.of(group, sheets)
    of_piece = {i: pair for pair in pairs for i in pair}
    mate = {i: pair[1 - k] for pair in pairs for k, i in enumerate(pair)}
    alike = _alike(group, {p.piece for s in sheets for p in s.lying})
    trials, is_better = 0, True
    while is_better and trials < _MOST_TRIALS:
        is_better = False
        for i in sorted(of_piece):
            for j in alike.get(i, ()):
                if lying.nearness(of_piece[i]) is Nearness.BESIDE or trials >= _MOST_TRIALS:
                    break
                if j == mate[i] or lying.number_of(j) != lying.number_of(mate[i]):
                    continue
                trials += 1
                touched = tuple(dict.fromkeys(of_piece[k] for k in (i, j) if k in of_piece))
                before, old = lying.sum_of(touched), lying.copy()
                if _swap(group, lying, i, j) and lying.sum_of(touched) > before:
                    is_better = True
                else:
                    lying = old
    return lying.sheets


def _alike(group: Group, placed: set[str]) -> dict[str, tuple[str, ...]]:
    """Return, for each piece that lies somewhere, others that may have its outline."""
    by_area: dict[int, list[PreparedPiece]] = defaultdict(list)
    for piece in group.pieces:
        if piece.id in placed and piece.piece is not None:
            by_area[round(piece.net.area / AREA_MM2)].append(piece)
    return {
        p.id: tuple(
            sorted(
                q.id
                for key in range(-1, 2)
                for q in by_area.get(round(p.net.area / AREA_MM2) + key, ())
                if q is not p
            )
        )
        for pieces in by_area.values()
        for p in pieces
    }


def _swap(group: Group, lying: Lying, i: str, j: str) -> bool:
    """Have two pieces change places; say whether each fits into the other's."""
    first, second = lying.where(i), lying.where(j)
    if first is None or second is None:
        return False
    (k, at_i), (m, at_j) = first, second
    new_i = in_place_of(group.piece_of(i), lying.outline(at_j), at_j, _frame(group, lying, m))
    new_j = in_place_of(group.piece_of(j), lying.outline(at_i), at_i, _frame(group, lying, k))
    if new_i is None or new_j is None:
        return False
    lying.put(k, new_j)
    lying.put(m, new_i)
    return True


def _frame(group: Group, lying: Lying, number: int) -> float:
    return group.stock_of(lying.stocks[number]).frame_turn_deg


def in_place_of(
    piece: PreparedPiece, outline: Polygon, lies: Placement, frame_turn_deg: float
) -> Placement | None:
    """Return how a piece lies in another's outline, if it may and fills it; else None.

    Parameters
    ----------
    outline
        Where the other lies on its sheet. [mm]
    lies
        How it lies.
    frame_turn_deg
        Turn of the engine's frame against the sheet's, in which the piece's turns are meant. [deg]
    """
    turns = {(lies.turn_deg + q) % 360.0 for q in _QUARTERS}
    turns |= {(c + frame_turn_deg) % 360.0 for c in piece.item.turns.centres_deg}
    centre, own = outline.centroid, piece.net.centroid
    for lie in piece.item.lies:
        for turn in sorted(turns):
            if not may_turn(piece.item.turns, turn - frame_turn_deg):
                continue
            x, y = move_vector((own.x, own.y), Pose(lie, turn))
            shift = (round(centre.x - x, _ROUND) + 0.0, round(centre.y - y, _ROUND) + 0.0)
            placed = Placement(piece=piece.id, lie=lie, turn_deg=turn, shift_mm=shift)
            if _is_same(moved_polygon(piece.net, placed), outline):
                return placed
    return None


def may_turn(turns: Turns, turn_deg: float) -> bool:
    """Whether a turn is among those allowed."""
    return any(
        abs((turn_deg - c + 180.0) % 360.0 - 180.0) <= turns.span_deg + ANGLE_DEG
        for c in turns.centres_deg
    )


def _is_same(a: Polygon, b: Polygon) -> bool:
    bounds = zip(a.bounds, b.bounds, strict=True)
    if any(abs(x - y) > SAME_PLACE_MM for x, y in bounds):
        return False
    return bool(a.boundary.hausdorff_distance(b.boundary) <= SAME_PLACE_MM)
