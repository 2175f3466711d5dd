"""Pieces and sheets for tests, one sentence each; variants are derived by keyword."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.model.curves import Point
from nestcut.model.job import CuttingRules
from nestcut.model.part import Faces, Grain, HoleUse, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import SheetLayout
from nestcut.model.pose import Lie
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import SheetStock

SAW = CuttingRules(kerf_mm=2.0, gap_mm=3.0)


def box(width: float, height: float, x: float = 0.0, y: float = 0.0) -> tuple[Point, ...]:
    """An upright rectangle with its lower left corner at (x, y)."""
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def blob(rng: np.random.Generator, radius: float, corners: int = 12) -> tuple[Point, ...]:
    """A lumpy star-shaped outline, wider than high."""
    turns = np.linspace(0.0, 2.0 * math.pi, corners, endpoint=False)
    radii = radius * (1.0 + 0.35 * rng.uniform(-1.0, 1.0, corners))
    return tuple(
        (float(1.5 * r * math.cos(t)), float(r * math.sin(t)))
        for r, t in zip(radii, turns, strict=True)
    )


def piece(
    part: str, points: tuple[Point, ...], holes: tuple[tuple[Point, ...], ...] = (), **changes: Any
) -> SheetPiece:
    """A 6 mm piece with its grain along x that may be turned end for end."""
    shape = Shape(Ring(points), tuple(Ring(h) for h in holes))
    values: dict[str, Any] = {
        "id": f"{part} 1",
        "part": part,
        "hand": None,
        "copy": 1,
        "share": 1,
        "n_shares": 1,
        "shape": shape,
        "net": shape,
        "material": "ply",
        "thickness_mm": 6.0,
        "grain": Grain.ALONG,
        "turning": Turning.HALF,
        "small_angle_deg": 5.0,
        "faces": Faces.GOOD_UP,
        "hole_use": HoleUse.KEEP,
    }
    return SheetPiece(**(values | changes))


def sheet(name: str = "whole", **changes: Any) -> SheetStock:
    """A sheet of 2440 x 1220 mm on sale for 60.00."""
    values: dict[str, Any] = {
        "name": name,
        "material": "ply",
        "thickness_mm": 6.0,
        "length_mm": 2440.0,
        "width_mm": 1220.0,
        "price_minor": 6000,
    }
    return SheetStock(**(values | changes))


def complaints(
    pieces: tuple[SheetPiece, ...],
    stocks: tuple[SheetStock, ...],
    layouts: tuple[SheetLayout, ...],
    cutting: CuttingRules,
    slack_mm: float = 0.01,
) -> list[str]:
    """Check layouts with shapely alone, from the model's records and their docstrings.

    Written without any of the room's own code: poses by shapely's affinity, areas and distances
    on the nets.
    """
    by_id = {p.id: p for p in pieces}
    by_name = {s.name: s for s in stocks}
    found: list[str] = []
    seen: list[str] = []
    for layout in layouts:
        stock = by_name[layout.stock]
        usable = (
            Polygon(stock.outline)
            if stock.outline is not None
            else shapely.box(0.0, 0.0, stock.length_mm, stock.width_mm)
        ).buffer(-stock.edge_trim_mm, join_style="mitre")
        placed = []
        for placement in layout.placements:
            seen.append(placement.piece)
            p = by_id[placement.piece]
            keep = p.hole_use is HoleUse.KEEP
            net = Polygon(p.shape.outline.points, [] if keep else [h.points for h in p.shape.holes])
            if placement.lie is Lie.FACE_DOWN:
                net = affinity.scale(net, xfact=-1.0, yfact=1.0, origin=(0.0, 0.0))
            net = affinity.rotate(net, placement.turn_deg, origin=(0.0, 0.0))
            net = affinity.translate(net, *placement.shift_mm)
            placed.append((placement.piece, net))
            if net.difference(usable.buffer(slack_mm, join_style="mitre")).area > 0.0:
                found.append(f"{placement.piece} leaves {layout.stock}")
            found += [
                f"{placement.piece} touches {k.reason}"
                for k in stock.keep_outs
                if net.intersection(Polygon(k.points).buffer(-slack_mm)).area > 0.0
            ]
        for i, (name, net) in enumerate(placed):
            for other, net2 in placed[i + 1 :]:
                if net.distance(net2) < cutting.clearance_mm - slack_mm or (
                    cutting.clearance_mm == 0.0
                    and net.buffer(-slack_mm).intersection(net2.buffer(-slack_mm)).area > 0.0
                ):
                    found.append(f"{name} and {other} are too near")
        for offcut in layout.offcuts:
            area = shapely.box(*offcut.from_mm, *offcut.to_mm)
            found += [
                f"offcut too near to {name}"
                for name, net in placed
                if area.distance(net) < cutting.kerf_mm - slack_mm
            ]
    if len(seen) != len(set(seen)):
        found.append("a piece lies twice")
    for stock in stocks:
        used = sum(layout.stock == stock.name for layout in layouts)
        if stock.count is not None and used > stock.count:
            found.append(f"more of {stock.name} than there are")
    return found
