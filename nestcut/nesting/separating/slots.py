"""Slots and no-fit tables: convex parts written out flat for the kernels."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely

from nestcut.nesting.kernels.cells import Cells
from nestcut.nesting.kernels.depth import Slots, Tables, fill_tables
from nestcut.nesting.kernels.grids import NoFits, build_cells
from nestcut.nesting.problem import FloatArray, IntArray

MOST_PLANES = 6_000_000
"""Half-planes that may be worked out beforehand (150 MB); beyond, they are found as they come."""

MOST_RIMS = 12_000
"""Pairs of parts up to which whole no-fit polygons are worked out, for truer depths. [-]
A thousand take some 50 ms."""

SQUARE_OF_SIDES = 0.6
"""Cells of a no-fit polygon's grid for each of its half-planes and edges. [-]"""

MOST_CELLS = 3_000_000
"""Cells of all grids together (some 100 MB)."""

MOST_KEPT_BYTES = 32_000_000
"""Memory of the tables that are kept for another search of the same shapes. [bytes]
Those of many parts without grids are larger, and soon worked out anew."""


class SlotWriter:
    """Collects convex parts into the flat arrays of Slots."""

    def __init__(self) -> None:
        self.first = [0]
        self.start = [0]
        self.corners: list[FloatArray] = []

    def add(self, parts: list[FloatArray]) -> int:
        """Add a slot and return its number."""
        for part in parts:
            self.corners.append(part)
            self.start.append(self.start[-1] + len(part))
        self.first.append(len(self.start) - 1)
        return len(self.first) - 2

    def finish(self) -> Slots:
        """Return the arrays with normals and boxes worked out."""
        corners = np.vstack(self.corners)
        edges = np.vstack([np.roll(c, -1, axis=0) - c for c in self.corners])
        length = np.hypot(edges[:, 0], edges[:, 1])
        nx, ny = edges[:, 1] / length, -edges[:, 0] / length
        reach = nx * corners[:, 0] + ny * corners[:, 1]
        boxes = np.array([[*c.min(axis=0), *c.max(axis=0)] for c in self.corners])
        first = np.array(self.first)
        box = np.array(
            [[*boxes[a:b, :2].min(axis=0), *boxes[a:b, 2:].max(axis=0)] for a, b in pairwise(first)]
        )
        x, y = np.ascontiguousarray(corners[:, 0]), np.ascontiguousarray(corners[:, 1])
        return Slots(first, np.array(self.start), x, y, nx, ny, reach, boxes, box)


def no_tables() -> Tables:
    """Return tables that know no pair."""
    cells = Cells(
        head=np.empty((0, 8)),
        start=np.zeros(1, dtype=np.int32),
        item=np.empty(0, dtype=np.int32),
        deep=np.empty(0),
        side=np.empty((0, 3)),
        edge=np.empty((0, 5)),
    )
    row = np.empty((0, 0), dtype=np.int64)
    return Tables(row, _room(0, 0, 0), cells, np.zeros(0, dtype=np.int64))


def _room(rows: int, pairs: int, planes: int) -> NoFits:
    """Return arrays of the right size, without rims."""
    return NoFits(
        pair=np.zeros(rows + 1, dtype=np.int64),
        plane=np.zeros(pairs + 1, dtype=np.int64),
        nx=np.empty(planes),
        ny=np.empty(planes),
        c=np.empty(planes),
        box=np.empty((pairs, 4)),
        rim=np.zeros(rows + 1, dtype=np.int64),
        ax=np.empty(0),
        ay=np.empty(0),
        bx=np.empty(0),
        by=np.empty(0),
    )


def build_tables(slots: Slots, n_fixed: int, n_tabled: int) -> Tables:
    """Work out the no-fit polygons of all pairs of discrete slots, and of them with obstacles.

    One search after the other asks for the same ones: the last ones are kept.

    Parameters
    ----------
    n_fixed
        How many slots, the first ones, show items in discrete poses.
    n_tabled
        How many there are with those of the containers' obstacles, which come next.
    """
    last = int(slots.first[n_tabled])
    rows = slots.first[: n_tabled + 1], slots.start[: last + 1]
    axes = slots.x[: slots.start[last]], slots.y[: slots.start[last]]
    key = (n_fixed, n_tabled, *(part.tobytes() for part in (*rows, *axes)))
    tables = _KEPT.get(key)
    if tables is None:
        tables = _worked_out(slots, n_fixed, n_tabled)
        _KEPT.put(key, tables)
    # a search writes down what to ask first, which is nobody else's
    return tables._replace(hint=tables.hint.copy())


@dataclass(slots=True)
class _Kept:
    """The last tables that were worked out, as many as there is memory for."""

    most_bytes: int
    _tables: dict[Hashable, Tables] = field(default_factory=dict)
    """The one last asked for comes last."""

    def get(self, key: Hashable) -> Tables | None:
        """Return the tables of a key, if they are still there."""
        tables = self._tables.pop(key, None)
        if tables is not None:
            self._tables[key] = tables
        return tables

    def put(self, key: Hashable, tables: Tables) -> None:
        """Keep tables, and let go of those that weren't asked for longest."""
        if _bytes_of(tables) > self.most_bytes:
            return
        self._tables[key] = tables
        while sum(map(_bytes_of, self._tables.values())) > self.most_bytes:
            self._tables.pop(next(iter(self._tables)))


def _bytes_of(tables: Tables) -> int:
    return sum(array.nbytes for array in (tables.row, *tables.nofits, *tables.cells, tables.hint))


_KEPT = _Kept(MOST_KEPT_BYTES)


def _worked_out(slots: Slots, n_fixed: int, n_tabled: int) -> Tables:
    row = np.full((n_tabled, n_tabled), -1, dtype=np.int64)
    parts = np.diff(slots.first)
    rows = planes = pairs = 0
    for a in range(n_fixed):
        for b in range(a, n_tabled):
            row[a, b] = 0
            rows += 1
            pairs += int(parts[a] * parts[b])
    corners = np.diff(slots.start[slots.first])
    for a in range(n_fixed):
        rest = slice(a, n_tabled)
        planes += int((corners[a] * parts[rest] + corners[rest] * parts[a]).sum())
    if planes > MOST_PLANES:
        row[:] = -1
        rows = planes = pairs = 0
    tables = Tables(
        row=row,
        nofits=_room(rows, pairs, planes),
        cells=no_tables().cells,
        hint=np.zeros(pairs, dtype=np.int64),
    )
    fill_tables(slots, tables, n_tabled)
    return _with_cells(row, _with_rims(slots, tables, n_fixed), tables.hint)


def _with_cells(row: IntArray, nofits: NoFits, hint: IntArray) -> Tables:
    """Lay grids over the no-fit polygons that are known whole: the finer, the more corners."""
    edges = np.diff(nofits.rim)
    planes = np.diff(nofits.plane[nofits.pair])
    whole = (edges > 0) | (np.diff(nofits.pair) == 1)
    sides = np.where(whole, np.sqrt(SQUARE_OF_SIDES * (planes + edges)), 0.0)
    cells = float((sides**2).sum())
    if cells > MOST_CELLS:
        sides *= np.sqrt(MOST_CELLS / cells)
    sides = np.where(whole, np.clip(sides, 4, 64), 0).astype(np.int64)
    frames = np.zeros((len(sides), 4))
    if len(sides):
        first = nofits.pair[:-1]
        frames[:, :2] = np.minimum.reduceat(nofits.box[:, :2], first)
        frames[:, 2:] = np.maximum.reduceat(nofits.box[:, 2:], first)
    lines = np.column_stack((nofits.nx, nofits.ny, nofits.c))
    ux, uy = nofits.bx - nofits.ax, nofits.by - nofits.ay
    rims = np.column_stack((nofits.ax, nofits.ay, ux, uy, 1.0 / (ux * ux + uy * uy)))
    return Tables(row, nofits, build_cells(nofits, sides, frames, lines, rims), hint)


def _with_rims(slots: Slots, tables: Tables, n_fixed: int) -> NoFits:
    """Add the edges of the no-fit polygons, where there are few enough to work out."""
    nofits = tables.nofits
    if nofits.plane.shape[0] - 1 > MOST_RIMS:
        return nofits
    corners = np.column_stack((slots.x, slots.y))
    parts = [
        [corners[slots.start[p] : slots.start[p + 1]] for p in range(first, last)]
        for first, last in pairwise(slots.first[: n_fixed + 1])
    ]
    edges = [np.empty((0, 4))] * (nofits.pair.shape[0] - 1)
    for a in range(n_fixed):
        for b in range(a, n_fixed):
            row = int(tables.row[a, b])
            if row >= 0 and len(parts[a]) * len(parts[b]) > 1:
                edges[row] = _rim(parts[a], parts[b])
    flat = np.vstack(edges) if edges else np.empty((0, 4))
    ax, ay, bx, by = (np.ascontiguousarray(column) for column in flat.T)
    rim = np.cumsum([0, *(len(e) for e in edges)])
    return nofits._replace(rim=rim, ax=ax, ay=ay, bx=bx, by=by)


def _rim(parts: list[FloatArray], others: list[FloatArray]) -> FloatArray:
    """Edges of the no-fit polygon of two shapes: the union of their parts' differences."""
    return _rim_of(_packed(parts), _packed(others))


_Packed = tuple[tuple[int, ...], bytes]
"""Corners of each part, and all their coordinates: what a rim is remembered by."""


def _packed(parts: list[FloatArray]) -> _Packed:
    return tuple(len(p) for p in parts), np.ascontiguousarray(np.vstack(parts)).tobytes()


def _unpacked(packed: _Packed) -> list[FloatArray]:
    flat = np.frombuffer(packed[1]).reshape(-1, 2)
    return np.split(flat, np.cumsum(packed[0])[:-1])


@dataclass(frozen=True, slots=True)
class _Fan:
    """A convex ring from its lowest corner on: that corner, its edges and their directions."""

    corner: FloatArray
    edges: FloatArray
    angles: FloatArray


def _fan(ring: FloatArray) -> _Fan:
    first = int(np.lexsort((ring[:, 0], ring[:, 1]))[0])
    ring = np.roll(ring, -first, axis=0)
    edges = np.roll(ring, -1, axis=0) - ring
    return _Fan(ring[0], edges, np.arctan2(edges[:, 1], edges[:, 0]) % (2.0 * np.pi))


def _sum(a: _Fan, b: _Fan) -> FloatArray:
    """Corners of the Minkowski sum of two convex rings: their edges merged by direction."""
    order = np.argsort(np.concatenate((a.angles, b.angles)), kind="stable")
    steps = np.concatenate((a.edges, b.edges))[order]
    start = a.corner + b.corner
    return np.vstack((start, start + np.cumsum(steps[:-1], axis=0)))


@lru_cache(maxsize=65536)
def _rim_of(packed: _Packed, others: _Packed) -> FloatArray:
    """Work out a rim once for each pair of shapes: every call on the same items asks for it."""
    fans = [_fan(p) for p in _unpacked(packed)]
    backs = [_fan(-q) for q in _unpacked(others)]
    sums = [_sum(a, b) for a in fans for b in backs]
    owner = np.repeat(np.arange(len(sums)), [len(ring) for ring in sums])
    rings = shapely.linearrings(np.vstack(sums), indices=owner)
    hulls = shapely.convex_hull(shapely.polygons(rings))
    edges = []
    for polygon in shapely.get_parts(shapely.union_all(hulls)):
        for ring in (polygon.exterior, *polygon.interiors):
            coords = shapely.get_coordinates(ring)
            edges.append(np.hstack((coords[:-1], coords[1:])))
    return np.vstack(edges)
