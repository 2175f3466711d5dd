"""Small jobs bought at least cost, by a model of its own: exhaustive patterns and one programme.

Written apart from nestcut's rooms: lots that a board gives are built up from single pieces, sets
of rectangles are laid on a sheet by trying every corner, and HiGHS (scipy) chooses how many of each
are bought, in packs, from which yards.  For jobs of upright rectangles and of rails without joints.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import combinations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import BoardLength, BoardStock, SheetStock, Supplier

# ---- jobs --------------------------------------------------------------------------------------


def _job(name: str, **kept: object) -> Job:
    digest = hashlib.sha256(name.encode()).hexdigest()
    rules = CuttingRules(kerf_mm=3.0, gap_mm=1.0)
    return Job(name=name, file=f"{name}.toml", sha256=digest, cutting=rules, **kept)  # type: ignore[arg-type]


def _rails(luck: np.random.Generator) -> tuple[RailPart, ...]:
    widths = luck.choice([30.0, 40.0, 60.0], size=2, replace=False)
    return tuple(
        RailPart(
            name=f"rail {k}",
            material="fir",
            thickness_mm=20.0,
            width_mm=float(widths[k % 2]),
            length_mm=float(luck.integers(30, 190)) * 10.0,
            count=int(luck.integers(1, 5)),
        )
        for k in range(int(luck.integers(2, 5)))
    )


def _boards(luck: np.random.Generator, yards: tuple[str, ...]) -> tuple[BoardStock, ...]:
    made = []
    for yard in yards:
        lengths = sorted({float(n) * 100.0 for n in luck.integers(20, 42, size=3)})
        made.append(
            BoardStock(
                name=f"fir {yard}".strip(),
                material="fir",
                thickness_mm=20.0,
                width_mm=float(luck.choice([90.0, 120.0])),
                end_trim_mm=5.0,
                supplier=yard,
                lengths=tuple(
                    BoardLength(
                        length_mm=n, price_minor=int(n * luck.uniform(0.28, 0.42)) // 10 * 10
                    )
                    for n in lengths
                ),
            )
        )
    return tuple(made)


def board_job(seed: int) -> Job:
    """Rails of two widths, one or two stocks of boards, some lengths to hand."""
    luck = np.random.default_rng([seed, 1])
    boards = _boards(luck, ("",) if seed % 2 else ("", "b"))
    if seed % 3 == 0:
        hand = BoardLength(length_mm=2300.0, count=int(luck.integers(1, 3)))
        boards = (
            BoardStock(
                name=boards[0].name,
                material="fir",
                thickness_mm=20.0,
                width_mm=boards[0].width_mm,
                end_trim_mm=5.0,
                lengths=(*(o for o in boards[0].lengths if o.length_mm != 2300.0), hand),
            ),
            *boards[1:],
        )
    return _job(f"boards {seed}", board_stocks=boards, rail_parts=_rails(luck))


def _plates(luck: np.random.Generator, most: int) -> tuple[SheetPart, ...]:
    made = []
    for k in range(int(luck.integers(3, most + 1))):
        a, b = float(luck.integers(15, 95)) * 10.0, float(luck.integers(12, 60)) * 10.0
        points = ((0.0, 0.0), (a, 0.0), (a, b), (0.0, b))
        made.append(
            SheetPart(
                name=f"plate {k}",
                shape=Shape(outline=Ring(points=points)),
                material="ply",
                thickness_mm=6.0,
            )
        )
    return tuple(made)


def _sheets(luck: np.random.Generator, yards: tuple[str, ...]) -> tuple[SheetStock, ...]:
    sizes = [(1000.0, 620.0), (1250.0, 700.0), (1500.0, 640.0)]
    return tuple(
        SheetStock(
            name=f"ply {yard or k}",
            material="ply",
            thickness_mm=6.0,
            length_mm=sizes[k][0],
            width_mm=sizes[k][1],
            price_minor=int(sizes[k][0] * sizes[k][1] / 400.0 * luck.uniform(0.8, 1.25)) // 10 * 10,
            supplier=yard,
        )
        for k, yard in enumerate(yards)
    )


def sheet_job(seed: int) -> Job:
    """Up to seven upright rectangles and one or two sizes of sheet."""
    luck = np.random.default_rng([seed, 2])
    return _job(
        f"sheets {seed}",
        sheet_stocks=_sheets(luck, ("", "")[: 1 + seed % 2]),
        sheet_parts=_plates(luck, 7),
    )


def mixed_job(seed: int) -> Job:
    """Rectangles and rails from two or three yards: packs, limits and deliveries."""
    luck = np.random.default_rng([seed, 3])
    yards = ("north", "south", "west")[: 2 + seed % 2]
    sheets = []
    for s in _sheets(luck, yards):
        pack = int(luck.choice([1, 1, 2]))
        most = None if pack > 1 or luck.uniform() < 0.6 else 2
        sheets.append(_sold(s, pack, most))
    boards = []
    for b in _boards(luck, yards):
        pack = int(luck.choice([1, 1, 2, 3]))
        offers = tuple(
            BoardLength(
                length_mm=o.length_mm, price_minor=o.price_minor, pack=pack if k == 0 else 1
            )
            for k, o in enumerate(b.lengths)
        )
        boards.append(
            BoardStock(
                name=b.name,
                material=b.material,
                thickness_mm=b.thickness_mm,
                width_mm=b.width_mm,
                end_trim_mm=b.end_trim_mm,
                supplier=b.supplier,
                lengths=offers,
            )
        )
    return _job(
        f"mixed {seed}",
        sheet_stocks=tuple(sheets),
        board_stocks=tuple(boards),
        sheet_parts=_plates(luck, 5),
        rail_parts=_rails(luck),
        suppliers=tuple(
            Supplier(name=y, delivery_minor=int(luck.integers(0, 9)) * 500) for y in yards
        ),
    )


def _sold(s: SheetStock, pack: int, most: int | None) -> SheetStock:
    return SheetStock(
        name=s.name,
        material=s.material,
        thickness_mm=s.thickness_mm,
        length_mm=s.length_mm,
        width_mm=s.width_mm,
        price_minor=s.price_minor,
        supplier=s.supplier,
        pack=pack,
        most=most,
    )


# ---- the model ---------------------------------------------------------------------------------


@dataclass
class _Programme:
    """Columns and rows; every variable is a whole number from 0 on."""

    cost: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def add(self, cost: float = 0.0, most: float = 60.0) -> int:
        self.cost.append(cost)
        self.most.append(most)
        return len(self.cost) - 1

    def row(self, terms: dict[int, float], low: float, high: float = np.inf) -> None:
        self.rows.append((terms, low, high))

    def least(self) -> float:
        matrix = np.zeros((len(self.rows), len(self.cost)))
        for r, (terms, _, _) in enumerate(self.rows):
            for c, v in terms.items():
                matrix[r, c] = v
        limits = LinearConstraint(
            matrix, [low for _, low, _ in self.rows], [high for *_, high in self.rows]
        )
        done = milp(
            np.array(self.cost),
            constraints=limits,
            integrality=np.ones(len(self.cost)),
            bounds=Bounds(0.0, np.array(self.most)),
            options={"mip_rel_gap": 0.0, "time_limit": 120.0},
        )
        assert done.status == 0, done.message
        return float(done.fun)


def least_cost(job: Job) -> int:
    """Return what a job's stock costs at least, deliveries included. [minor units]"""
    model = _Programme()
    ordered = {s.name: model.add(s.delivery_minor, 1.0) for s in job.suppliers if s.delivery_minor}
    _buy_sheets(model, job, ordered)
    _buy_boards(model, job, ordered)
    return round(model.least())


def _sale(
    model: _Programme,
    used: dict[int, float],
    sold: SheetStock | BoardLength,
    yard: int | None,
) -> None:
    """What is used of one stock is bought in packs, if the yard is ordered from."""
    if sold.count is not None:
        model.row(used, 0.0, float(sold.count))
        return
    packs = model.add(float(sold.price_minor * sold.pack))
    model.row({**{c: -v for c, v in used.items()}, packs: float(sold.pack)}, 0.0)
    if sold.most is not None:
        model.row({packs: float(sold.pack)}, 0.0, float(sold.most))
    if yard is not None:
        model.row({packs: -1.0, yard: 60.0}, 0.0)


def _buy_sheets(model: _Programme, job: Job, ordered: dict[str, int]) -> None:
    clearance = job.cutting.kerf_mm + job.cutting.gap_mm
    sides = [
        (max(x for x, _ in p.shape.outline.points), max(y for _, y in p.shape.outline.points))
        for p in job.sheet_parts
    ]
    cover: dict[int, dict[int, float]] = {i: {} for i in range(len(sides))}
    for stock in job.sheet_stocks:
        used: dict[int, float] = {}
        for n in range(1, len(sides) + 1):
            for chosen in combinations(range(len(sides)), n):
                rects = tuple(sorted(sides[i] for i in chosen))
                if _fit(rects, stock.length_mm, stock.width_mm, clearance):
                    column = model.add()
                    used[column] = 1.0
                    for i in chosen:
                        cover[i][column] = 1.0
        _sale(model, used, stock, ordered.get(stock.supplier))
    for terms in cover.values():
        model.row(terms, 1.0)


@cache
def _fit(
    rects: tuple[tuple[float, float], ...], length: float, width: float, clearance: float
) -> bool:
    """Whether upright rectangles lie on a sheet without turning: every corner is tried.

    Left-bottom justified, each one's x is a sum of some others' lengths and clearances (N.
    Christofides, C. Whitlock, 1977, Operations Research 25:30-44: normal patterns).
    """
    if sum((a + clearance) * (b + clearance) for a, b in rects) > (
        (length + clearance) * (width + clearance) + 1e-6
    ):
        return False
    if any(a > length or b > width for a, b in rects):
        return False
    xs = _sums([a + clearance for a, _ in rects], length)
    ys = _sums([b + clearance for _, b in rects], width)
    placed: list[tuple[float, float, float, float]] = []
    order = sorted(rects, key=lambda r: -r[0] * r[1])

    def go_on(k: int) -> bool:
        if k == len(order):
            return True
        a, b = order[k]
        for x in xs:
            if x + a > length + 1e-9:
                break
            for y in ys:
                if y + b > width + 1e-9:
                    break
                if all(
                    x >= u + p + clearance - 1e-9
                    or u >= x + a + clearance - 1e-9
                    or y >= v + q + clearance - 1e-9
                    or v >= y + b + clearance - 1e-9
                    for u, v, p, q in placed
                ):
                    placed.append((x, y, a, b))
                    if go_on(k + 1):
                        return True
                    placed.pop()
        return False

    return go_on(0)


def _sums(steps: list[float], most: float) -> list[float]:
    found = {0.0}
    for step in steps:
        found |= {round(f + step, 6) for f in found if f + step <= most}
    return sorted(found)


def _buy_boards(model: _Programme, job: Job, ordered: dict[str, int]) -> None:
    kerf = job.cutting.kerf_mm
    kinds = [(r.width_mm, r.length_mm, r.count) for r in job.rail_parts]
    cover: list[dict[int, float]] = [{} for _ in kinds]
    for board in job.board_stocks:
        lots = _sawn_lots(kinds, board.width_mm, kerf)
        for offer in board.lengths:
            room = offer.length_mm - 2.0 * board.end_trim_mm
            used: dict[int, float] = {}
            for lot in _whole_lots({n for n, length in lots.items() if length <= room + 1e-9}):
                column = model.add()
                used[column] = 1.0
                for i, n in enumerate(lot):
                    if n:
                        cover[i][column] = float(n)
            _sale(model, used, offer, ordered.get(board.supplier))
    for terms, (_, _, count) in zip(cover, kinds, strict=True):
        model.row(terms, float(count))


Lot = tuple[int, ...]
"""How many pieces of each kind."""


def _sawn_lots(
    kinds: list[tuple[float, float, int]], width: float, kerf: float
) -> dict[Lot, float]:
    """Every lot that comes out of a board of some width by cuts right through, and how long it is.

    Built up from single pieces: two blocks are put end to end or side by side, a kerf apart, as P.
    Wang does (1983, Operations Research 31:573-586); of blocks of one lot those stay that none is
    both shorter and narrower than.
    """
    blocks: dict[Lot, list[tuple[float, float]]] = {}
    for i, (wide, long, _) in enumerate(kinds):
        if wide <= width:
            blocks[tuple(int(k == i) for k in range(len(kinds)))] = [(long, wide)]
    singles = len(blocks)
    for size in range(2, sum(n for _, _, n in kinds) + 1):
        made: dict[Lot, set[tuple[float, float]]] = {}
        sized = [(lot, sum(lot)) for lot in blocks]
        for a, n in sized:
            if 2 * n > size:
                continue
            for b, m in sized:
                if n + m != size:
                    continue
                lot = tuple(x + y for x, y in zip(a, b, strict=True))
                if any(x > kind[2] for x, kind in zip(lot, kinds, strict=True)):
                    continue
                own = made.setdefault(lot, set())
                for la, wa in blocks[a]:
                    for lb, wb in blocks[b]:
                        own.add((round(la + kerf + lb, 6), max(wa, wb)))
                        if wa + kerf + wb <= width + 1e-9:
                            own.add((max(la, lb), round(wa + kerf + wb, 6)))
        for lot, sizes in made.items():
            best: list[tuple[float, float]] = []
            for block in sorted(sizes):
                if not best or block[1] < best[-1][1]:
                    best.append(block)
            blocks[lot] = best
    assert singles or not blocks
    return {lot: sizes[0][0] for lot, sizes in blocks.items()}


def _whole_lots(lots: set[Lot]) -> Iterator[Lot]:
    """Lots that are no part of another."""
    for lot in sorted(lots):
        if not any((*lot[:k], lot[k] + 1, *lot[k + 1 :]) in lots for k in range(len(lot))):
            yield lot
