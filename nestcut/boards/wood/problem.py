"""From rails' pieces and boards on sale to a problem in whole numbers.

A *kind* is a section and a length, wanted so many times.  A *supply* is one length of one board
stock.  A *bin* is a stretch between defects of one strip ripped from a supply: what a crosscut
pattern fills.  A *rip* is a way to divide a supply's width into strips.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nestcut.boards.wood.grid import Grid, common_grid, nm
from nestcut.model.plan import Counted
from nestcut.model.stock import BoardLength, BoardStock

Section = tuple[float, float]
"""Thickness and width of a rail. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LikePieces:
    """Pieces of one section and one length. ``weight`` is length plus kerf, in grid units."""

    section: Section
    length_mm: float
    weight: int
    demand: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """One length of one stock.

    Parameters
    ----------
    stretches
        (from, length) of each usable stretch. [mm]
    limit
        How many there are; None: as many as wanted.
    """

    stock: BoardStock
    offer: BoardLength
    stretches: tuple[tuple[float, float], ...]
    price: int
    limit: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bin:
    """A stretch of a strip: what one crosscut pattern fills. ``capacity`` includes one kerf."""

    supply: int
    strip_nm: int
    stretch: int
    capacity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Rip:
    """Strips that come out of one board of a supply: (width in nm, how many)."""

    supply: int
    strips: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingProblem:
    """Everything in whole numbers; rails of one material that may share boards."""

    name: str
    grid: Grid
    kerf_mm: float
    kinds: tuple[LikePieces, ...]
    supplies: tuple[Supply, ...]
    bins: tuple[Bin, ...]
    rips: tuple[Rip, ...]

    def fits(self, kind: int, place: Bin) -> bool:
        """Whether a piece of the kind can be cut from the bin at all."""
        wanted = self.kinds[kind]
        strip = strip_nm(wanted.section, self.supplies[place.supply].stock)
        return strip == place.strip_nm and wanted.weight <= place.capacity


def strip_nm(section: Section, stock: BoardStock) -> int | None:
    """Width of the strip that gives the section from this stock, or None. [nm]

    The board is as thick as one dimension of the rail; the other one is ripped.
    """
    thick, wide = nm(section[0]), nm(section[1])
    board = nm(stock.thickness_mm)
    room = nm(stock.width_mm) - 2 * nm(stock.edge_trim_mm)
    for strip, other in ((wide, thick), (thick, wide)):
        if other == board and strip <= room:
            return strip
    return None


def usable_stretches(
    stock: BoardStock, offer: BoardLength, kerf_mm: float
) -> tuple[tuple[float, float], ...]:
    """Stretches between end trims and defects, at least a kerf apart: (from, length). [mm]

    Parameters
    ----------
    kerf_mm
        What the saw takes. [mm]
    """
    begin, end = stock.end_trim_mm, offer.length_mm - stock.end_trim_mm
    found: list[tuple[float, float]] = []
    for defect in sorted(offer.defects, key=lambda d: (d.from_mm, d.to_mm)):
        if defect.to_mm <= begin:
            continue
        if defect.from_mm > begin:
            stop = min(end, defect.from_mm)
            found.append((begin, stop - begin))
            begin = max(begin, defect.to_mm, stop + kerf_mm)
        else:
            begin = max(begin, defect.to_mm)
    if end > begin:
        found.append((begin, end - begin))
    return tuple((a, n) for a, n in found if n > 0.0)


def make_supplies(stocks: Iterable[BoardStock], kerf_mm: float) -> tuple[Supply, ...]:
    """Return every length of every stock, boards to hand first."""
    supplies = [
        Supply(
            stock=stock,
            offer=offer,
            stretches=usable_stretches(stock, offer, kerf_mm),
            price=offer.price_minor,
            limit=offer.count,
        )
        for stock in stocks
        for offer in stock.lengths
        if offer.count != 0
    ]
    supplies.sort(key=lambda s: s.limit is None)
    return tuple(supplies)


def priced(supplies: tuple[Supply, ...]) -> tuple[tuple[Supply, ...], Counted]:
    """Return the supplies with what is minimised as their price, and its name.

    Where nothing on sale has a price, boards are counted if they are all alike, else the volume of
    wood bought (in cm3).
    """
    on_sale = [s for s in supplies if s.limit is None or s.price > 0]
    if not on_sale or any(s.price > 0 for s in on_sale):
        return supplies, Counted.MONEY
    sizes = {(s.offer.length_mm, s.stock.width_mm, s.stock.thickness_mm) for s in on_sale}

    def stand_in(supply: Supply) -> int:
        if supply.limit is not None:
            return 0
        if len(sizes) == 1:
            return 1
        stock = supply.stock
        return round(supply.offer.length_mm * stock.width_mm * stock.thickness_mm / 1000.0)

    changed = tuple(
        Supply(
            stock=s.stock,
            offer=s.offer,
            stretches=s.stretches,
            price=stand_in(s),
            limit=s.limit,
        )
        for s in supplies
    )
    return changed, Counted.BOARDS if len(sizes) == 1 else Counted.WOOD


def _make_rips(supply: int, stock: BoardStock, widths: tuple[int, ...], kerf_nm: int) -> list[Rip]:
    """Every way to rip a board that leaves no room for another strip."""
    room = nm(stock.width_mm) - 2 * nm(stock.edge_trim_mm) + kerf_nm
    found: list[Rip] = []

    def go_on(k: int, left: int, chosen: tuple[tuple[int, int], ...]) -> None:
        if k == len(widths):
            if chosen and all(left < w + kerf_nm for w in widths):
                found.append(Rip(supply=supply, strips=chosen))
            return
        for n in range(left // (widths[k] + kerf_nm), -1, -1):
            more = ((widths[k], n),) if n else ()
            go_on(k + 1, left - n * (widths[k] + kerf_nm), chosen + more)

    go_on(0, room, ())
    return found


def make_problem(
    name: str,
    wanted: tuple[tuple[Section, float, int], ...],
    supplies: tuple[Supply, ...],
    kerf_mm: float,
) -> CuttingProblem:
    """Put pieces (section, length in mm, how many) and supplies into whole numbers.

    Parameters
    ----------
    name
        Name of the group, for messages.
    wanted
        Section (thickness, width) [mm], length [mm] and how many, a kind each.
    kerf_mm
        Taken by every cut. [mm]
    """
    lengths = [n for _, n, _ in wanted]
    stretches = [n for s in supplies for _, n in s.stretches]
    grid = common_grid([kerf_mm, *lengths, *stretches], max([*stretches, *lengths, 1.0]))
    kinds = tuple(
        LikePieces(section=section, length_mm=n, weight=grid.up(n + kerf_mm), demand=demand)
        for section, n, demand in wanted
    )
    bins, rips = make_bins_and_rips(tuple(s for s, _, _ in wanted), supplies, grid, kerf_mm)
    return CuttingProblem(
        name=name,
        grid=grid,
        kerf_mm=kerf_mm,
        kinds=kinds,
        supplies=supplies,
        bins=bins,
        rips=rips,
    )


def make_bins_and_rips(
    sections: tuple[Section, ...], supplies: tuple[Supply, ...], grid: Grid, kerf_mm: float
) -> tuple[tuple[Bin, ...], tuple[Rip, ...]]:
    """Return the bins and the rips that these sections make of the supplies.

    Parameters
    ----------
    sections
        Sections (thickness, width) that are asked for. [mm]
    kerf_mm
        Taken by every cut. [mm]
    """
    bins: list[Bin] = []
    rips: list[Rip] = []
    for index, supply in enumerate(supplies):
        strips = {strip_nm(section, supply.stock) for section in sections}
        widths = tuple(sorted((w for w in strips if w is not None), reverse=True))
        rips += _make_rips(index, supply.stock, widths, nm(kerf_mm))
        bins += [
            Bin(
                supply=index,
                strip_nm=width,
                stretch=k,
                capacity=grid.down(length + kerf_mm),
            )
            for width in widths
            for k, (_, length) in enumerate(supply.stretches)
        ]
    return tuple(bins), tuple(rips)
