"""``[[sheet]]`` and ``[[board]]`` tables to stock records."""

from __future__ import annotations

from dataclasses import replace

from shapely.geometry import Polygon, box

from nestcut.errors import Severity
from nestcut.facts import Size
from nestcut.geometry.usable import usable_area
from nestcut.jobfile.asked import repr_toml
from nestcut.jobfile.tables import Missing, Table
from nestcut.joints.blanks import join_sheets
from nestcut.model.stock import (
    NO_SPARE,
    BoardLength,
    BoardStock,
    Defect,
    KeepOut,
    SheetStock,
    Spare,
    Supplier,
)

_BUY = "buy"


def _read_count(table: Table) -> int | None:
    """How many there are; None to buy. Absent means: buy."""
    value = table.value("count")
    if value is None or (isinstance(value, str) and value.strip().lower() == _BUY):
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 100_000:
        table.fault(
            "count",
            "JOB-005",
            "JOB-227",
            shown=repr_toml(value),
        )
        return None
    return value


def _read_spare(table: Table) -> Spare:
    """What is bought beyond what is cut: a number, or a share as ``"10 %"``."""
    value = table.value("spare")
    if value is None:
        return NO_SPARE
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= 1000:
        return Spare(count=value)
    written = value.strip() if isinstance(value, str) else ""
    number = written.removesuffix("%").strip()
    if written.endswith("%") and number.replace(".", "", 1).isdigit() and float(number) <= 100.0:
        return Spare(share=float(number) / 100.0)
    table.told("spare", "JOB-098", written=repr_toml(value))
    return NO_SPARE


def _check_sale(table: Table, stock: SheetStock | BoardLength) -> None:
    """What lies in the shed isn't sold."""
    for key in ("pack", "most", "spare"):
        if not stock.is_to_buy and key in table.data:
            table.told(key, "JOB-099", word=key)


def read_supplier(table: Table) -> Supplier | None:
    """Read one ``[[supplier]]``; None if it has a fault."""
    made = Supplier(**table.fields())
    table.close()
    return made if table.is_sound else None


def read_sheet(
    table: Table, assumed: list[str], usual_mm: float | Missing = Missing.IS_A_FAULT
) -> SheetStock | None:
    """Read one ``[[sheet]]``; None if it has a fault.

    ``usual_mm`` is the job's thickness, where it names one.

    Parameters
    ----------
    assumed
        Takes sentences about what was assumed.
    usual_mm
        The thickness unless said. [mm]
    """
    stock = SheetStock(
        **table.fields(),
        thickness_mm=table.positive("thickness", usual_mm),
        count=_read_count(table),
        keep_outs=tuple(_read_keep_out(t) for t in table.tables("keep_out")),
        spare=_read_spare(table),
    )
    name, length, width = stock.name, stock.length_mm, stock.width_mm
    _check_sale(table, stock)
    stock = stock if stock.is_to_buy else replace(stock, price_minor=0)  # nobody pays for it again
    if length < width and table.is_sound and not table.has("grain"):
        table.is_sound = False
        size = Size((length, width))
        table.book.tell("JOB-037", table.where("length"), Severity.QUESTION, name=name, size=size)
    number, slope = table.count("joined"), table.slope("joined_slope")
    table.close()
    if table.is_sound:
        _check_sheet(stock, table)
    if table.is_sound and number > 1:
        stock = _joined(stock, number, slope, table, assumed)
    if table.is_sound and stock.is_to_buy and not table.has("price"):
        assumed.append(f"{name}: no price given, so each counts as 1.00 when plans are compared")
    return stock if table.is_sound else None


def _joined(
    stock: SheetStock, number: int, slope: float, table: Table, assumed: list[str]
) -> SheetStock:
    """Return the long sheet that is glued up before marking out."""
    if stock.outline is not None or stock.keep_outs:
        table.fault(
            "joined",
            "JOB-013",
            "JOB-281",
        )
        return stock
    if stock.pack > 1 or stock.most is not None or stock.spare != NO_SPARE:
        table.told("joined", "JOB-097")
        return stock
    blank = join_sheets(stock, number, slope)
    long = table.book.show(blank.length_mm)
    seams = ", ".join(table.book.show(seam) for seam in blank.seams_mm)
    assumed.append(
        f"{blank.name}: scarfed {slope:g}:1 to {long} before marking out, "
        f"seams at {seams}; pieces may lie across a seam anywhere, so ask the plans' designer first"
    )
    return blank


def _check_sheet(stock: SheetStock, table: Table) -> None:
    whole = box(0.0, 0.0, stock.length_mm, stock.width_mm)
    if stock.outline is not None:
        if len(stock.outline) < 3:
            table.fault("outline", "JOB-014", "JOB-285")
            return
        real = Polygon(stock.outline)
        if not real.is_valid or not whole.buffer(0.5).covers(real):
            table.fault(
                "outline",
                "JOB-014",
                "JOB-286",
            )
    for number, keep_out in enumerate(stock.keep_outs, start=1):
        area = Polygon(keep_out.points) if len(keep_out.points) >= 3 else None
        if area is None or not area.is_valid:
            table.told(f"keep_out[{number}]", "JOB-038")
        elif not whole.buffer(0.5).covers(area):
            size = Size((stock.length_mm, stock.width_mm))
            table.told(f"keep_out[{number}]", "JOB-039", size=size)
    if table.is_sound and usable_area(stock.usable).is_empty:
        table.fault("trim", "JOB-013", "JOB-282")


def _read_keep_out(table: Table) -> KeepOut:
    why = table.text("why")
    if table.has("points"):
        points = table.points("points")
    else:
        (ax, ay), (bx, by) = table.point("from"), table.point("to")
        x0, x1, y0, y1 = min(ax, bx), max(ax, bx), min(ay, by), max(ay, by)
        points = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    table.close()
    return KeepOut(points=points, reason=why or "not usable")


def read_board(table: Table) -> BoardStock | None:
    """Read one ``[[board]]``; None if it has a fault."""
    stock = BoardStock(
        **table.fields(),
        lengths=tuple(
            length for t in table.tables("lengths") if (length := _read_board_length(t)) is not None
        ),
        spare=_read_spare(table),
    )
    if not stock.lengths and not table.value("lengths"):
        table.fault(
            "lengths",
            "JOB-004",
            "JOB-212",
        )
    table.close()
    plain = [(b.length_mm, b.is_to_buy) for b in stock.lengths if not b.defects]
    if len(set(plain)) < len(plain):
        table.fault(
            "lengths",
            "JOB-014",
            "JOB-287",
        )
    for length in stock.lengths:
        if 2 * stock.end_trim_mm >= length.length_mm:
            table.fault("end_trim", "JOB-013", "JOB-283")
    if 2 * stock.edge_trim_mm >= stock.width_mm:
        table.fault("edge_trim", "JOB-013", "JOB-283")
    return stock if table.is_sound else None


def _read_board_length(table: Table) -> BoardLength | None:
    length = BoardLength(
        **table.fields(),
        count=_read_count(table),
        defects=tuple(_read_defect(t) for t in table.tables("defects")),
    )
    _check_sale(table, length)
    length = length if length.is_to_buy else replace(length, price_minor=0)
    table.close()
    if table.is_sound and length.defects and length.is_to_buy:
        table.fault(
            "defects",
            "JOB-014",
            "JOB-288",
        )
    return length if table.is_sound else None


def _read_defect(table: Table) -> Defect:
    start, end = table.length("from"), table.length("to")
    why = table.text("why")
    table.close()
    return Defect(from_mm=min(start, end), to_mm=max(start, end), reason=why)
