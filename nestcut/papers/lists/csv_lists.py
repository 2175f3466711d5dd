"""The lists as CSV files: commas, quotes where needed, one head line, UTF-8, one row a line."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from nestcut.papers.lists.board_feet import board_feet, board_feet_to_buy
from nestcut.papers.lists.joint_words import rule_words
from nestcut.papers.lists.lists import (
    BuyRow,
    Seat,
    buy_rows,
    buy_total_minor,
    buy_total_note,
    cut_rows,
    joint_rows,
    planed_words,
)
from nestcut.papers.lists.part_prices import piece_prices_minor
from nestcut.papers.lists.usage import SHARES, Usage
from nestcut.papers.view import Figures, PlanView, per_mille
from nestcut.words import tell_fact

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


def safe_text(text: str) -> str:
    """Keep a text from being run as a formula: an apostrophe goes before its first sign."""
    if text.lstrip(" ").startswith(_FORMULA_STARTS):
        return "'" + text
    return text


def plain_mm(length_mm: float) -> str:
    """Millimetres to a hundredth, no trailing zeros: for programs, not for the bench."""
    text = f"{length_mm:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"", "-0"} else text


def to_csv(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Write rows as CSV; texts that aren't ours must have gone through :func:`safe_text`."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(headings)
    writer.writerows(rows)
    return out.getvalue()


def cut_list_csv(view: PlanView, figures: Figures) -> str:
    """Every piece: where it is cut, in which order, how large, what to do with it."""
    headings = (
        "from", "stock", "order", "piece", "name in words", "part", "hand", "copy", "of",
        "piece no.", "pieces of part", "material", "thickness mm", "length mm", "width mm",
        "length", "width", "lies", "when", "joints", "bevels", "allowance mm", "note",
        "board mm", "along from mm", "along to mm", "across from mm", "across to mm",
        "share of price", "currency", "planed from mm",
    )  # fmt: skip
    prices = piece_prices_minor(view)
    currency = safe_text(figures.currency)
    rows = [
        (
            r.place,
            safe_text(r.stock),
            str(r.turn),
            safe_text(r.piece),
            safe_text(r.name),
            safe_text(r.part),
            r.hand,
            str(r.copy),
            str(r.count),
            str(r.share),
            str(r.n_shares),
            safe_text(r.material),
            plain_mm(r.thickness_mm),
            plain_mm(r.length_mm),
            plain_mm(r.width_mm),
            f"{figures.cut(r.length_mm)}{figures.tail}",
            f"{figures.cut(r.width_mm)}{figures.tail}",
            r.lies,
            r.timing,
            safe_text(r.joints),
            safe_text(r.bevels),
            plain_mm(r.allowance_mm),
            safe_text(r.note),
            *_seat_cells(r.seat),
            plain_money(prices[r.piece]),
            currency if prices[r.piece] else "",
            "" if r.planed_from_mm is None else plain_mm(r.planed_from_mm),
        )
        for r in cut_rows(view, figures)
    ]
    for unplaced in view.verified.plan.unplaced:
        blank = [""] * len(headings)
        blank[0], blank[3], blank[4], blank[headings.index("note")] = (
            "NOT PLACED",
            safe_text(unplaced.piece),
            safe_text(view.name_of(unplaced.piece)),
            safe_text(tell_fact(unplaced.reason, figures.speech)),
        )
        rows.append(tuple(blank))
    return to_csv(headings, rows)


def _seat_cells(seat: Seat | None) -> tuple[str, ...]:
    """The board's length, and where a rail lies in it; a flat piece has its sheet's drawing."""
    if seat is None:
        return ("",) * 5
    return tuple(plain_mm(x) for x in (seat.board_mm, *seat.along_mm, *seat.across_mm))


def buying_list_csv(view: PlanView, figures: Figures) -> str:
    """What to buy, what the shed gives, and the total."""
    headings = (
        "stock", "material", "kind", "thickness mm", "length mm", "width mm", "size", "to buy",
        "to hand", "each", "together", "currency", "board feet", "note", "supplier", "over",
    )  # fmt: skip
    currency = safe_text(figures.currency)
    rows = [
        (
            safe_text(r.stock),
            safe_text(r.material),
            r.kind,
            plain_mm(r.thickness_mm),
            plain_mm(r.length_mm),
            plain_mm(r.width_mm),
            figures.stock(r.length_mm, r.width_mm),
            str(r.to_buy),
            str(r.to_hand),
            plain_money(r.each_minor) if r.to_buy else "",
            plain_money(r.together_minor),
            currency if r.together_minor else "",
            _board_feet_text(r),
            "; ".join(w for w in (r.price_note, planed_words(view, r.stock, figures)) if w),
            safe_text(r.supplier),
            str(r.over) if r.over else "",
        )
        for r in buy_rows(view)
    ]
    fees = [
        (
            "delivery",
            *[""] * 9,
            plain_money(d.fee_minor),
            currency,
            "",
            "",
            safe_text(d.supplier),
            "",
        )
        for d in view.verified.plan.deliveries
    ]
    total = plain_money(buy_total_minor(view))
    last = ("together", *[""] * 9, total, currency if total else "")
    feet = _feet_text(board_feet_to_buy(view))
    return to_csv(headings, [*rows, *fees, (*last, feet, buy_total_note(view), "", "")])


def _board_feet_text(row: BuyRow) -> str:
    """Board feet of what is bought on a line, by nominal size; nothing for sheets."""
    if row.kind != "board":
        return ""
    return _feet_text(row.to_buy * board_feet(row.thickness_mm, row.width_mm, row.length_mm))


def _feet_text(feet: float) -> str:
    return f"{feet:.2f}" if feet > 0.0 else ""


def plain_money(minor: int) -> str:
    """Money without its currency; empty where nothing was paid or no price is known."""
    return f"{minor // 100}.{minor % 100:02d}" if minor else ""


def joints_csv(view: PlanView, figures: Figures) -> str:
    """Every joint: where it lies, how it is cut, how far from what must be kept clear."""
    headings = (
        "joint", "name", "part", "hand", "copy", "kind", "slope", "angle deg", "thickness mm",
        "middle at mm", "middle at", "overlap mm", "overlap", "first piece", "first in words",
        "first planed", "second piece", "second in words", "second planed", "strap mm",
        "strap face", "from other end mm", "from piece ends mm", "rules", "to mind", "place",
        "weak",
    )  # fmt: skip
    rows = []
    for r in joint_rows(view):
        j = r.joint
        rows.append(
            (
                r.key,
                safe_text(j.id),
                safe_text(j.part),
                j.hand or "",
                str(j.copy),
                r.kind_words,
                plain_mm(j.slope) if r.angle_deg is not None else "",
                f"{r.angle_deg:.2f}" if r.angle_deg is not None else "",
                plain_mm(j.thickness_mm),
                plain_mm(j.at_mm),
                figures.length(j.at_mm),
                plain_mm(j.overlap_mm),
                figures.fine(j.overlap_mm) if j.overlap_mm > 0 else "",
                safe_text(j.pieces[0]),
                safe_text(view.name_of(j.pieces[0])),
                r.planed_words(0),
                safe_text(j.pieces[1]),
                safe_text(view.name_of(j.pieces[1])),
                r.planed_words(1),
                plain_mm(r.strap_mm) if r.strap_mm is not None else "",
                r.strap_face_words.removeprefix("strap on the "),
                plain_mm(j.part_length_mm - j.at_mm),
                plain_mm(j.overlap_mm / 2.0),
                safe_text("; ".join(rule_words(j, figures))),
                safe_text("; ".join(tell_fact(f, figures.speech) for f in j.rule_findings)),
                "" if r.seam else j.word.value,
                "weak joint" if j.is_weak else "",
            )
        )
    return to_csv(headings, rows)


def usage_csv(usage: Usage, figures: Figures) -> str:
    """Where the material goes, by sheet, board, material and for the job.

    Money is empty where a sheet or board is to hand or no price is given.
    """
    unit = figures.area_unit.replace("²", "2")
    headings = ["of", "stock", "material", f"area {unit}"]
    for share in SHARES:
        headings += [f"{share.value} {unit}", f"{share.value} %", f"{share.value} money"]
    headings += ["money", "currency"]
    rows = []
    for line in usage.lines:
        cells = [safe_text(line.label), safe_text(line.stock), safe_text(line.material)]
        cells.append(figures.area_steps(line.area_total))
        for k in range(len(SHARES)):
            cells.append(figures.area_steps(line.area_steps[k]))
            cells.append(per_mille(line.thousandths[k]).removesuffix(" %"))
            money = f"{line.money_minor[k] / 100:.2f}" if line.money_total else ""
            cells.append(money)
        currency = safe_text(figures.currency) if line.money_total else ""
        rows.append([*cells, plain_money(line.money_total), currency])
    return to_csv(headings, rows)
