"""What every piece costs: its share of what was paid for its sheet or board."""

from __future__ import annotations

from nestcut.papers.view import PlanView, shared_out


def piece_prices_minor(view: PlanView) -> dict[str, int]:
    """Share the price of each sheet and board out among its pieces, by their areas. [minor units]

    Pieces carry all that was paid for it, kerf and waste included, so that they add up to the
    buying list but for spares and deliveries.  What comes out of the shed costs nothing.
    """
    prices: dict[str, int] = {}
    for sheet in (s for s in view.sheets if not s.is_beside_rails):
        areas = [p.polygon.area for p in sheet.placed]
        ids = [p.piece.id for p in sheet.placed]
        prices |= dict(zip(ids, shared_out(sheet.price_minor, areas), strict=True))
    for board in view.boards:
        sawn = [p for b in board.blanks for p in b.sawn]
        areas = [c.piece.length_mm * (c.cut.rip_to_mm - c.cut.rip_from_mm) for c in board.cuts]
        areas += [p.polygon.area for p in sawn]
        ids = [c.piece.id for c in board.cuts] + [p.piece.id for p in sawn]
        prices |= dict(zip(ids, shared_out(board.price_minor, areas), strict=True))
    return prices
