"""Pieces and sheets of one material made ready for the engine: polygons without clearance.

Pieces are grown by half the clearance and the sheet's usable area is widened by as much, so only
the distance between pieces counts: a sheet's edge needs no kerf.  Keep-outs must not be touched
by the net piece; the engine keeps grown pieces clear of them, which is at most half a clearance
more than needed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from nestcut.facts import Fact, Length, fact
from nestcut.geometry.offset import grown, grown_box, polygons_of, shrunk, widened
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.pose import move_points
from nestcut.geometry.simplify import covering, inside
from nestcut.geometry.usable import free_area, usable_area
from nestcut.model.curves import Point
from nestcut.model.job import CuttingRules
from nestcut.model.part import HoleUse, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.pose import Lie, Pose
from nestcut.model.stock import SheetGrain, SheetStock
from nestcut.nesting.problem import Container, FloatArray, Item, Problem, Turns
from nestcut.sheets.poses import allowed_lies, allowed_turns, common_faces
from nestcut.tolerances import AREA_MM2

_ENOUGH_CORNERS = 10
"""Outlines with no more corners than this are not simplified further."""

_EXACT_CORNERS = 64
"""Outlines with no more corners than this are taken exactly where there is no clearance."""

_LEAST_HOLE_MM2 = 400.0
"""Holes smaller than this are not offered to other pieces. [mm2]"""

RESERVE_ID = "reserve"
"""Engine name of the rectangle that is kept free; ids of pieces end in a digit, so it's unique."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PreparedPiece:
    """A piece as the engine sees it.

    Parameters
    ----------
    net
        What is cut, in the piece's frame; holes that must stay whole are filled. [mm]
    centre
        Point of the piece's frame that is the origin of the engine's item. [mm]
    item
        The outline grown by half the clearance, about ``centre``.
    sides_mm
        Net width and height if the piece is an upright rectangle, else None. [mm]
    """

    id: str
    piece: SheetPiece | None
    net: Polygon
    centre: Point
    item: Item
    sides_mm: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PreparedStock:
    """A kind of sheet as the engine sees it.

    Parameters
    ----------
    free
        Where net pieces may lie, in the sheet's frame: trimmed, without keep-outs. [mm]
    frame_turn_deg
        Turn that takes the engine's frame to the sheet's: 0, or 90 where the group holds sheets
        whose grain runs both ways and this one's runs across. [deg]
    cost
        What one costs the objective: money, or area where no prices are known.
    kerf_mm
        What its own saw takes. [mm]
    """

    stock: SheetStock
    free: Polygon | MultiPolygon
    usable: Polygon
    container: Container
    frame_turn_deg: float
    cost: float
    kerf_mm: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """All pieces and all sheets of one material and thickness.

    ``clearance_mm`` is that of the saw that takes most, which is kept everywhere;
    ``least_clearance_mm`` that of the one that takes least: a bound may count on no more.
    ``reserve`` is the id of the rectangle kept free, if one is wanted; it is among ``pieces``.
    """

    material: str
    thickness_mm: float
    pieces: tuple[PreparedPiece, ...]
    stocks: tuple[PreparedStock, ...]
    clearance_mm: float
    least_clearance_mm: float
    reserve: str | None = None

    @property
    def name(self) -> str:
        """Name of the one sheet that can be bought; else material and thickness."""
        return group_name([s.stock for s in self.stocks], self.material, self.thickness_mm)

    @property
    def said(self) -> Fact | None:
        """Its name for readers, where it isn't the sheet's own."""
        names = {s.stock.name for s in self.stocks if s.stock.is_to_buy}
        if len(names) == 1:
            return None
        return fact("SHT-105", material=self.material, thickness=Length(self.thickness_mm))

    def piece_of(self, item: str) -> PreparedPiece:
        """Return the piece with this id."""
        return next(p for p in self.pieces if p.id == item)

    def stock_of(self, container: str) -> PreparedStock:
        """Return the stock with this name."""
        return next(s for s in self.stocks if s.container.id == container)

    def problem(self) -> Problem:
        """Return the engine's problem, biggest pieces first, cheapest containers first."""
        return Problem(
            items=tuple(p.item for p in self.pieces),
            containers=tuple(s.container for s in self.stocks),
        )


def group_name(stocks: Iterable[SheetStock], material: str, thickness_mm: float) -> str:
    """Return the name of the one sheet that can be bought; else material and thickness.

    Parameters
    ----------
    stocks
        All sheets of them.
    material
        Material of a group.
    thickness_mm
        Its thickness. [mm]
    """
    names = {s.name for s in stocks if s.is_to_buy}
    return names.pop() if len(names) == 1 else f"{material} {thickness_mm:g} mm"


def prepare_group(
    pieces: tuple[SheetPiece, ...], stocks: tuple[SheetStock, ...], cutting: CuttingRules
) -> Group:
    """Make pieces and sheets of one material and thickness ready.

    Parameters
    ----------
    pieces, stocks
        All of one material and thickness; at least one of each.
    """
    widest = cutting.on(*stocks)
    half = widest.clearance_mm / 2.0
    faces = common_faces(stocks)
    grains = {s.grain for s in stocks}
    common_grain = grains.pop() if len(grains) == 1 else SheetGrain.ALONG_LENGTH
    prepared = [
        _prepare_piece(p, half, allowed_turns(p, common_grain), allowed_lies(p, faces))
        for p in pieces
    ]
    reserve = None
    if cutting.reserve_mm is not None and _fits_any(cutting.reserve_mm, stocks):
        prepared.append(_prepare_reserve(cutting.reserve_mm, half))
        reserve = RESERVE_ID
    priced = _costs(stocks)
    return Group(
        material=pieces[0].material,
        thickness_mm=pieces[0].thickness_mm,
        pieces=tuple(sorted(prepared, key=lambda p: (-p.net.area, p.id))),
        stocks=tuple(
            _prepare_stock(
                s, half, 0.0 if s.grain is common_grain else 90.0, cost, cutting.on(s).kerf_mm
            )
            for s, cost in sorted(
                zip(stocks, priced, strict=True),
                key=lambda sc: (
                    sc[0].is_to_buy,
                    sc[1],
                    -sc[0].length_mm * sc[0].width_mm,
                    sc[0].name,
                ),
            )
        ),
        clearance_mm=widest.clearance_mm,
        least_clearance_mm=min(cutting.on(s).clearance_mm for s in stocks),
        reserve=reserve,
    )


def _fits_any(sides_mm: tuple[float, float], stocks: tuple[SheetStock, ...]) -> bool:
    """Whether a rectangle is no larger than what can be used of some sheet, either way round."""
    least, most = sorted(sides_mm)
    corners = [(s.usable.low_mm, s.usable.high_mm) for s in stocks]
    rooms = [sorted((x1 - x0, y1 - y0)) for (x0, y0), (x1, y1) in corners]
    return any(least <= a and most <= b for a, b in rooms)


def for_bounds(group: Group) -> Group:
    """Return the group as a bound may see it: cut with the saw that takes least."""
    return replace(group, clearance_mm=group.least_clearance_mm)


def net_polygon(piece: SheetPiece) -> Polygon:
    """What is cut, in the piece's frame; holes that must stay whole are filled. [mm]"""
    polygon = to_polygon(piece.shape)
    if piece.hole_use is HoleUse.KEEP:
        return Polygon(polygon.exterior)
    return polygon


def _prepare_piece(
    piece: SheetPiece, half_mm: float, turns: Turns, lies: tuple[Lie, ...]
) -> PreparedPiece:
    net = net_polygon(piece)
    x0, y0, x1, y1 = net.bounds
    centre = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    return PreparedPiece(
        id=piece.id,
        piece=piece,
        net=net,
        centre=centre,
        item=_item(piece.id, net, centre, half_mm, turns, lies),
        sides_mm=_sides(net) if piece.turning is not Turning.SMALL else None,
    )


def _prepare_reserve(size_mm: tuple[float, float], half_mm: float) -> PreparedPiece:
    net = shapely.box(0.0, 0.0, size_mm[0], size_mm[1])
    centre = (size_mm[0] / 2.0, size_mm[1] / 2.0)
    turns = Turns(centres_deg=(0.0, 90.0))
    return PreparedPiece(
        id=RESERVE_ID,
        piece=None,
        net=net,
        centre=centre,
        item=_item(RESERVE_ID, net, centre, half_mm, turns, (Lie.FACE_UP,)),
        sides_mm=size_mm,
    )


def _item(
    name: str,
    net: Polygon,
    centre: Point,
    half_mm: float,
    turns: Turns,
    lies: tuple[Lie, ...],
) -> Item:
    outline, holes = _grown_by(net, half_mm)
    return Item(
        id=name,
        outline=_array(outline, centre),
        holes=tuple(_array(h, centre) for h in holes),
        turns=turns,
        lies=lies,
    )


@lru_cache(maxsize=1024)
def _grown_by(net: Polygon, half_mm: float) -> tuple[Polygon, tuple[Polygon, ...]]:
    """Outline and holes of a piece grown by half the clearance, with fewer corners.

    Worked out once for each shape: layouts at once, trials of joints and the search ask for it.
    """
    if _sides(net) is not None:
        outline = grown_box(net, half_mm)
    else:
        outline = covering(
            grown(Polygon(net.exterior), half_mm),
            simplify_mm(half_mm, len(net.exterior.coords)),
            _ENOUGH_CORNERS,
            hollow_mm=half_mm / 2.0,
        )
    holes = tuple(
        inside(part, max(simplify_mm(half_mm, len(ring.coords)), half_mm / 2.0), _ENOUGH_CORNERS)
        for ring in net.interiors
        for part in shrunk(Polygon(ring), half_mm)
        if part.area > _LEAST_HOLE_MM2
    )
    return outline, holes


def simplify_mm(half_mm: float, corners: int) -> float:
    """How far an outline may be widened to save corners. [mm]

    An eighth of the clearance, but a tenth of a millimetre at least and a third at most: far less
    than a saw can follow. Without any clearance an outline stays as it is, so that what fits
    exactly is let fit; only one with very many corners is widened by the tenth even then.
    """
    if half_mm <= 0.0 and corners <= _EXACT_CORNERS:
        return 0.0
    return min(1.0 / 3.0, max(0.1, half_mm / 4.0))


def _prepare_stock(
    stock: SheetStock, half_mm: float, frame_turn_deg: float, cost: float, kerf_mm: float
) -> PreparedStock:
    what = stock.usable
    usable = usable_area(what)
    container = (grown_box if what.outline is None else widened)(usable, half_mm)
    turn = Pose(turn_deg=-frame_turn_deg)
    blocked = tuple(
        np.asarray(move_points(_corners(part), turn))
        for k in what.barred
        for part in polygons_of(Polygon(k.points).intersection(container))
    )
    return PreparedStock(
        stock=stock,
        free=free_area(what),
        usable=usable,
        container=Container(
            id=stock.name,
            outline=np.asarray(move_points(_corners(container), turn)),
            blocked=blocked,
            cost=cost,
            count=stock.count,
        ),
        frame_turn_deg=frame_turn_deg,
        cost=cost,
        kerf_mm=kerf_mm,
    )


def _costs(stocks: tuple[SheetStock, ...]) -> list[float]:
    """Money where every sheet on sale has a price, else area in square metres for those on sale."""
    on_sale = [s for s in stocks if s.is_to_buy]
    if all(s.price_minor > 0 for s in on_sale):
        return [float(s.price_minor) for s in stocks]
    return [s.length_mm * s.width_mm / 1e6 if s.is_to_buy else float(s.price_minor) for s in stocks]


def _sides(net: Polygon) -> tuple[float, float] | None:
    x0, y0, x1, y1 = net.bounds
    box = (x1 - x0) * (y1 - y0)
    if net.interiors or box - net.area > AREA_MM2 or len(net.exterior.coords) < 5:
        return None
    return (x1 - x0, y1 - y0)


def _array(polygon: Polygon, centre: Point) -> FloatArray:
    points = np.asarray(_corners(polygon), dtype=np.float64)
    return np.ascontiguousarray(points - np.asarray(centre))


def _corners(polygon: Polygon) -> tuple[Point, ...]:
    ring = orient(polygon, 1.0).exterior
    return tuple((float(x), float(y)) for x, y in ring.coords[:-1])
