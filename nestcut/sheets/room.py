"""Whether each piece fits some sheet at all, by itself; all that don't are named together."""

from __future__ import annotations

from dataclasses import replace

from shapely import affinity
from shapely.geometry import Polygon

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, Size
from nestcut.model.part import Grain
from nestcut.model.piece import SheetPiece
from nestcut.model.pose import Lie
from nestcut.model.stock import SheetGrain, SheetStock
from nestcut.nesting.engine import ENGINE
from nestcut.nesting.problem import Budget, Problem
from nestcut.search.settings import Deadline
from nestcut.sheets.prepare import Group, PreparedPiece, PreparedStock
from nestcut.sheets.tilts import tilt_that_fits
from nestcut.tolerances import VERIFY_MM

_PASSES = 60
"""Engine passes spent on one piece whose fit isn't plain from its box."""


def no_stock_findings(
    pieces: tuple[SheetPiece, ...], stocks: tuple[SheetStock, ...]
) -> tuple[Finding, ...]:
    """Name the materials and thicknesses that parts ask for and nobody sells."""
    sold = {(s.material, s.thickness_mm) for s in stocks}
    missing = sorted({(p.material, p.thickness_mm) for p in pieces} - sold)
    findings = []
    for material, thickness in missing:
        users = sorted(
            {p.part for p in pieces if (p.material, p.thickness_mm) == (material, thickness)}
        )
        findings.append(
            finding(
                "SHT-001",
                Severity.ERROR,
                ", ".join(users),
                material=material,
                thickness=Length(thickness),
            )
        )
    return tuple(findings)


def no_room_findings(group: Group, doubtful: tuple[str, ...]) -> tuple[Finding, ...]:
    """Name those of the doubtful pieces that fit no sheet of their group in any allowed pose.

    Parameters
    ----------
    doubtful
        Ids of pieces that a first layout found no room for; the others have shown that they fit.
    """
    largest = max(group.stocks, key=lambda s: (s.usable.area, s.stock.name))
    x0, y0, x1, y1 = largest.usable.bounds if not largest.usable.is_empty else (0.0,) * 4
    findings = []
    known: dict[tuple[str, str], bool] = {}
    for piece in group.pieces:
        # a reserve without room is given up, and said to be
        if piece.id not in doubtful or piece.id == group.reserve:
            continue
        key = (_likeness(piece), piece.piece.turning if piece.piece else "")
        if key not in known:
            known[key] = any(fits_alone(piece, stock) for stock in group.stocks)
        if known[key]:
            continue
        px0, py0, px1, py1 = piece.net.bounds
        minds_grain = piece.piece is not None and piece.piece.grain is not Grain.ANY
        runs_across = largest.stock.grain is SheetGrain.ALONG_WIDTH
        findings.append(
            finding(
                "SHT-004" if minds_grain and runs_across else "SHT-002",
                Severity.ERROR,
                piece.id,
                size=Size((px1 - px0, py1 - py0)),
                material=largest.stock.material,
                thickness=Length(largest.stock.thickness_mm),
                largest=largest.stock.name,
                offers=Size((x1 - x0, y1 - y0)),
            )
        )
    return tuple(findings)


def _likeness(piece: PreparedPiece) -> str:
    """Equal for pieces of equal outline and freedom: copies need only one test."""
    turns = piece.item.turns
    lies = ",".join(piece.item.lies)
    grain = piece.piece.grain if piece.piece else ""
    return f"{piece.item.outline.tobytes().hex()}/{turns}/{lies}/{grain}"


def fits_alone(piece: PreparedPiece, stock: PreparedStock) -> bool:
    """Whether a piece fits an empty sheet of this kind.

    Exact for discrete turns on plain rectangles; else what a fine row of tilts, then the engine in
    a few passes, finds.
    """
    if stock.usable.is_empty:
        return False
    turns = piece.item.turns
    if turns.is_discrete:
        return any(
            _box_fits(piece.net, stock, lie, turn)
            for lie in piece.item.lies
            for turn in turns.centres_deg
        ) and (_is_plain(stock) or _engine_fits(piece, stock))
    if _is_plain(stock) and tilt_that_fits(piece, stock) is not None:
        return True
    return _engine_fits(piece, stock)


def _is_plain(stock: PreparedStock) -> bool:
    return stock.stock.outline is None and not stock.container.blocked


def _box_fits(net: Polygon, stock: PreparedStock, lie: Lie, turn_deg: float) -> bool:
    shape = affinity.scale(net, xfact=-1.0, origin=(0, 0)) if lie is Lie.FACE_DOWN else net
    turned = affinity.rotate(shape, turn_deg + stock.frame_turn_deg, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    ux0, uy0, ux1, uy1 = stock.usable.bounds
    slack = VERIFY_MM / 2.0
    return x1 - x0 <= ux1 - ux0 + slack and y1 - y0 <= uy1 - uy0 + slack


def _engine_fits(piece: PreparedPiece, stock: PreparedStock) -> bool:
    budget = Budget(passes=_PASSES, deadline=Deadline(), stream=f"alone {piece.id}")
    alone = Problem(items=(piece.item,), containers=(replace(stock.container, count=1),))
    return ENGINE.settle(alone, ((stock.container.id, 0),), budget) is not None
