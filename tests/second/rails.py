"""Rails: their lengths add up to what is asked for, and every board has room for its cuts."""

from __future__ import annotations

from tests.second.asked import JobAsked, RailAsked, Stock
from tests.second.copies import LISTED_MM, Copy
from tests.second.flat import SLACK_MM, stock_of
from tests.second.written import Row, number

_SLACK = SLACK_MM + LISTED_MM


def check_rail(part: RailAsked, copy: Copy) -> list[str]:
    """Each piece is as long as the places of its joints, its overlaps and allowances make it."""
    found = []
    for row in copy.rows:
        section = sorted((number(row["thickness mm"]), number(row["width mm"])))
        if any(
            abs(a - b) > LISTED_MM
            for a, b in zip(section, sorted((part.thickness_mm, part.width_mm)), strict=True)
        ):
            found.append(f"{row['piece']}: section {section}")
        if part.material is not None and row["material"] != part.material:
            found.append(f"{row['piece']}: of {row['material']}")
    if part.length_mm is None:
        return found
    half = part.joint.overlap_mm(part.thickness_mm) / 2.0 if part.joint else 0.0
    n = len(copy.rows)
    places = copy.at_mm
    if part.joint is not None and part.joint.at_mm is not None and n > 1:
        places = list(part.joint.at_mm)
    for k, row in enumerate(copy.rows):
        low = -part.allowance_mm if k == 0 else places[k - 1] - half
        high = part.length_mm + part.allowance_mm if k == n - 1 else places[k] + half
        if abs(high - low - number(row["length mm"])) > 3.0 * LISTED_MM:
            found.append(f"{row['piece']}: {row['length mm']} long, {high - low:.3f} is needed")
    laid = sum(number(r["length mm"]) for r in copy.rows) - (n - 1) * 2.0 * half
    if abs(laid - part.length_mm - 2.0 * part.allowance_mm) > (n + 1) * LISTED_MM:
        found.append(f"{copy.words}: its pieces add up to {laid:.3f} less overlaps")
    return found


def check_boards(job: JobAsked, cut: list[Row]) -> list[str]:
    """Cuts lie within their boards less trims, a kerf apart, clear of defects."""
    boards: dict[str, list[Row]] = {}
    for row in cut:
        if row["board mm"]:
            boards.setdefault(row["from"], []).append(row)
    found = []
    for name, rows in boards.items():
        kinds = {(r["stock"], r["board mm"]) for r in rows}
        stocks = stock_of(job, rows[0]["stock"], number(rows[0]["board mm"]))
        if len(kinds) != 1 or not stocks:
            found.append(f"{name}: cut from {sorted(kinds)}")
            continue
        for row in rows:
            found += _check_cut(name, row, stocks)
        if not any(all(is_clear(r, s) for r in rows) for s in stocks):
            found.append(f"{name}: a knot in a piece")
        found += _check_apart(name, rows, stocks[0].saw.kerf_mm)
    return found


def seat_of(row: Row) -> tuple[float, float, float, float]:
    """Where a rail lies in its board: along from and to, across from and to. [mm]"""
    return (
        number(row["along from mm"]),
        number(row["along to mm"]),
        number(row["across from mm"]),
        number(row["across to mm"]),
    )


def _check_cut(board: str, row: Row, stocks: list[Stock]) -> list[str]:
    stock = stocks[0]
    a, b, low, high = seat_of(row)
    found = []
    if (
        a < stock.end_trim_mm - _SLACK or b > stock.length_mm - stock.end_trim_mm + _SLACK
        or low < stock.edge_trim_mm - _SLACK or high > stock.width_mm - stock.edge_trim_mm + _SLACK
    ):  # fmt: skip
        found.append(f"{board}: {row['piece']} leaves its board")
    if abs(b - a - number(row["length mm"])) > 3.0 * LISTED_MM:
        found.append(f"{board}: {row['piece']} takes {b - a:.2f}, is {row['length mm']} long")
    section = sorted((number(row["thickness mm"]), number(row["width mm"])))
    taken = sorted((high - low, stock.thickness_mm))
    if any(abs(p - q) > 3.0 * LISTED_MM for p, q in zip(section, taken, strict=True)):
        found.append(f"{board}: {row['piece']} needs {section}, takes {taken}")
    if row["material"] != stock.material:
        found.append(f"{board}: {row['piece']} of {row['material']} from {stock.material}")
    return found


def is_clear(row: Row, stock: Stock) -> bool:
    """Whether a rail lies clear of a board's defects."""
    a, b, _, _ = seat_of(row)
    return all(b <= z.from_mm + _SLACK or a >= z.to_mm - _SLACK for z in stock.defects)


def _check_apart(board: str, rows: list[Row], kerf_mm: float) -> list[str]:
    found = []
    for k, one in enumerate(rows):
        a, b, low, high = seat_of(one)
        for other in rows[k + 1 :]:
            c, d, bottom, top = seat_of(other)
            apart = max(c - b, a - d, bottom - high, low - top)
            if apart < kerf_mm - _SLACK - LISTED_MM:
                found.append(
                    f"{board}: {one['piece']} and {other['piece']} are {apart:.2f} apart, "
                    f"{kerf_mm} is needed"
                )
    return found
