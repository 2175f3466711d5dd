"""The list pages of the book: every piece to tick off, and where all material goes."""

from __future__ import annotations

from typing import Any

from nestcut.papers.book.typesetting import Typesetter, tick_boxes
from nestcut.papers.lists import (
    COST_NOTE,
    SHARES,
    UNKNOWN_COST,
    CutRow,
    Usage,
    UsageLine,
    amount_words,
    amounts_of,
    cost_words,
    cut_rows,
    size_words,
)
from nestcut.papers.view import SHORT_NAMES_EXPLAINED, Figures, PlanView, per_mille


def cut_list(setter: Typesetter, view: PlanView, figures: Figures) -> list[Any]:
    """Every piece with a box to tick."""
    made: list[Any] = [setter.paragraph("Cut list", setter.title)]
    words = (
        f"{size_words(figures)} No. is the order of cutting on its sheet or board, and the number "
        "on the drawing."
    )
    made.append(setter.paragraph(words))
    listed = cut_rows(view, figures)
    if any(r.code for r in listed):
        made.append(setter.paragraph(SHORT_NAMES_EXPLAINED))
    rows = [_cut_row(r, figures) for r in listed]
    headings = ("", "from", "no.", "piece", "short", "size", "thick", "to do")
    shares = (6, 16, 9, 46, 14, 38, 15, 56)
    made.append(setter.table(headings, rows, shares, lead=tick_boxes(len(rows))))
    if view.verified.plan.unplaced:
        made.append(setter.paragraph("Not placed", setter.head))
        told = [f"{view.name_of(u.piece)}: {u.reason}" for u in view.verified.plan.unplaced]
        made += setter.points(told)
    return made


def _cut_row(r: CutRow, figures: Figures) -> tuple[str, ...]:
    to_do = [r.timing and f"cut {r.timing}", r.joints, r.bevels and f"bevel: {r.bevels}"]
    to_do += [r.allowance, r.note, "good face down on the sheet" if "down" in r.lies else ""]
    return (
        "",
        r.place.replace(" ", "\u00a0"),
        str(r.turn),
        r.name.replace(" of ", "\u00a0of\u00a0"),
        r.code.replace(" ", "\u00a0"),
        figures.pair(r.length_mm, r.width_mm).replace("' ", "'\u00a0"),
        figures.thickness(r.thickness_mm).replace(" ", "\u00a0"),
        "; ".join(t for t in to_do if t),
    )


def usage_page(setter: Typesetter, view: PlanView, usage: Usage, figures: Figures) -> list[Any]:
    """Every sheet, board, material and the job, in area, per cent and money; weights, coating."""
    made: list[Any] = [setter.paragraph("Where the material goes", setter.title)]
    words = (
        f"Each figure three times: area in {figures.area_unit}, share of its line, and that share "
        f"of the price. Rows and columns add up as printed. {COST_NOTE}"
    )
    made.append(setter.paragraph(words))
    used = [k for k in range(len(SHARES)) if usage.job.area_steps[k]]
    headings = ("of", "all", *(SHARES[k].value for k in used))
    rows = [_usage_row(line, used, figures) for line in usage.lines]
    sums = len(usage.sheet_materials) + len(usage.board_materials) + 1
    widths = (40, 18, *(18 for _ in used))
    made.append(setter.table(headings, rows, widths, figures_from=1, totals=sums))
    made.append(setter.paragraph("Weight and coating (estimates)", setter.head))
    made += setter.points(amount_words(amounts_of(view), figures))
    return made


def _usage_row(line: UsageLine, used: list[int], figures: Figures) -> tuple[str, ...]:
    label = f"{line.label}\n{line.stock}" if line.stock else line.label
    whole = f"{figures.area_steps(line.area_total)}\n{cost_words(line.money_total, figures)}"
    shares = (
        f"{figures.area_steps(line.area_steps[k])}\n{per_mille(line.thousandths[k])}\n"
        f"{figures.money(line.money_minor[k]) if line.money_total else UNKNOWN_COST}"
        if line.area_steps[k]
        else "0"
        for k in used
    )
    return (label, whole, *shares)
