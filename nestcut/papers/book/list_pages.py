"""The list pages of the book: every piece to tick off, and where all material goes."""

from __future__ import annotations

from typing import Any

from nestcut.papers.book.typesetting import HEAD, TITLE, Typesetter, prose, tick_boxes
from nestcut.papers.lists import (
    COST_NOTE,
    SHARES,
    CutRow,
    Usage,
    UsageLine,
    amount_words,
    amounts_of,
    cost_words,
    cut_rows,
    size_words,
    usage_notes,
)
from nestcut.papers.view import CUT_WORDS, Figures, PlanView, per_mille
from nestcut.units import LengthStyle
from nestcut.words import tell_fact


def cut_list(setter: Typesetter, view: PlanView, figures: Figures) -> list[Any]:
    """Every piece with a box to tick."""
    made: list[Any] = [prose("Cut list", TITLE)]
    words = (
        f"{size_words(figures)} No.: its number on its page. Sheets are sawn in that order, boards "
        "by their cuts' own."
    )
    made.append(prose(words))
    listed = cut_rows(view, figures)
    rows = [_cut_row(r, figures) for r in listed]
    size = "size" if figures.style is LengthStyle.INCH else "size, mm"
    headings = ("", "from", "no.", "piece", size, "thick", "to do")
    widths = setter.widths(headings, rows, words=(3, 6))
    made.append(setter.table(headings, rows, widths, lead=tick_boxes([r.is_cut for r in listed])))
    if view.verified.plan.unplaced:
        made.append(prose("Not placed", HEAD))
        told = [
            f"{view.name_of(u.piece)}: {tell_fact(u.reason, figures.speech)}"
            for u in view.verified.plan.unplaced
        ]
        made += setter.points(told)
    return made


def _cut_row(r: CutRow, figures: Figures) -> tuple[str, ...]:
    to_do = [
        r.is_cut and CUT_WORDS,
        r.timing and f"cut {r.timing}",
        r.joint_work.replace("  ", " "),
        # a rail's angles are few words, those of edges are many
        r.bevels and (r.bevels if r.seat else "bevelled: see its page"),
    ]
    to_do += [
        r.planing,
        r.allowance,
        r.note,
        "PENCIL BACK: its good face is underneath" if r.is_face_told and "down" in r.lies else "",
    ]
    return (
        "",
        r.place.replace(" ", "\u00a0"),
        str(r.turn),
        r.name.replace(" of ", "\u00a0of\u00a0"),
        figures.cut_pair(r.length_mm, r.width_mm).removesuffix(figures.tail).replace(" ", "\u00a0"),
        figures.called(r.thickness_mm).replace(" ", "\u00a0"),
        "; ".join(t for t in to_do if t),
    )


def usage_page(setter: Typesetter, view: PlanView, usage: Usage, figures: Figures) -> list[Any]:
    """Every sheet, board, material and the job, in area, per cent and money; weights, coating."""
    made: list[Any] = [prose("Where the material goes", TITLE)]
    words = (
        f"Area in {figures.area_unit} and share of its line (file usage: every sheet and board, "
        "with what each share costs); rows and columns add up as printed. Trim: edges and ends of "
        f"stock that aren't used. {COST_NOTE}"
    )
    made.append(prose(words))
    used = [k for k in range(len(SHARES)) if usage.job.area_steps[k]]
    headings = ("of", "all", "cost", *(SHARES[k].value for k in used))
    lines = (*usage.over, *usage.sheet_materials, *usage.board_materials, usage.job)
    rows = [_usage_row(line, used, figures) for line in lines]
    widths = (30, 13, 17, *(13 for _ in used))
    made.append(setter.table(headings, rows, widths, figures_from=1, totals=1))
    made += [prose(note) for note in usage_notes(usage, figures)]
    made.append(prose("Weight and coating (estimates)", HEAD))
    made += setter.points(amount_words(amounts_of(view), figures))
    return made


def _usage_row(line: UsageLine, used: list[int], figures: Figures) -> tuple[str, ...]:
    label = f"{line.label}: {line.stock}" if line.stock else line.label
    shares = (
        f"{figures.area_steps(line.area_steps[k])}\n{per_mille(line.thousandths[k])}"
        if line.area_steps[k]
        else "0"
        for k in used
    )
    cost = cost_words(line.money_total, figures)
    return (label, figures.area_steps(line.area_total), cost, *shares)
