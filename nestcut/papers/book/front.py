"""The front page: what to buy, how to use the papers, what to beware of, how good the plan is."""

from __future__ import annotations

from typing import Any

from nestcut.errors import Severity
from nestcut.facts import Fact
from nestcut.papers.book.typesetting import HEAD, RIGHT_STRONG, TITLE, Typesetter, prose, tick_boxes
from nestcut.papers.lists import (
    BuyRow,
    board_feet_to_buy,
    buy_total_words,
    price_words,
    rows_by_supplier,
    stock_words,
    use_words,
)
from nestcut.papers.view import (
    CAUTIONS,
    CUT_WORDS,
    SPELLED_WORDS,
    Figures,
    PlanView,
    bound_words,
    count_words,
    grouped,
    matters_to_ask,
    search_words,
    spelled_names,
    told_findings,
)
from nestcut.units import LengthStyle
from nestcut.words import tell_fact


def front_page(setter: Typesetter, view: PlanView, figures: Figures) -> list[Any]:
    """Return the front page; it may run over to a second."""
    job, plan = view.verified.job, view.verified.plan
    made: list[Any] = [prose(job.name, TITLE)]
    made.append(prose(f"{count_words(view.verified)}."))
    if plan.already_cut:
        n = len(plan.already_cut)
        lie = "1 piece lies cut already and is" if n == 1 else f"{n} pieces lie cut already and are"
        made.append(
            prose(f'This plan goes on from one that is being cut: {lie} marked "{CUT_WORDS}".')
        )
    if plan.unplaced:
        made.append(prose("NOT PLACED: these pieces are on no sheet", HEAD))
        left = [
            f"{view.name_of(u.piece)}: {tell_fact(u.reason, figures.speech)}" for u in plan.unplaced
        ]
        made += setter.points(left)
    made.append(prose("To buy", HEAD))
    made += _buying(setter, view, figures)
    made.append(prose("How to use these papers", HEAD))
    made += setter.points(use_words(view, figures))
    if job.assumed:
        made.append(prose("Assumed, since the job doesn't say", HEAD))
        made += setter.points(grouped(job.assumed))
    told = told_findings(view.verified, figures)
    minded = [line for severity, line in told if severity is not Severity.NOTE]
    minded += [SPELLED_WORDS] if spelled_names(job) else []
    if minded:
        made.append(prose("To mind", HEAD))
        made += setter.points(minded)
    asked = matters_to_ask(view)
    if asked:
        made.append(prose("To ask your plans", HEAD))
        made += setter.points(
            [
                f"Which end is forward, or which edge up, of: {', '.join(asked)}? Write forward = "
                "or up = in the job (nestcut explain part), and every page marks it."
            ]
        )
    made.append(prose("Before you start", HEAD))
    made += setter.points(CAUTIONS)
    if plan.bounds:
        made.append(prose("How good the plan is", HEAD))
        made += setter.points([bound_words(b, figures) for b in plan.bounds])
        made += setter.points([tell_fact(n, figures.speech) for n in plan.notes if _is_price(n)])
    return made


def method(setter: Typesetter, view: PlanView, figures: Figures) -> list[Any]:
    """How the plan was found and what was checked: for the last page."""
    made: list[Any] = [prose("How the plan was found", HEAD)]
    notes = [tell_fact(n, figures.speech) for n in view.verified.plan.notes if not _is_price(n)]
    made += setter.points([" ".join(search_words(view.verified)), *notes])
    told = told_findings(view.verified, figures)
    noted = [line for severity, line in told if severity is Severity.NOTE]
    if noted:
        made.append(prose("Noted about the parts", HEAD))
        made += setter.points(noted)
    if view.verified.checks:
        made.append(prose("What was checked", HEAD))
        made += setter.points([tell_fact(c, figures.speech) for c in view.verified.checks])
    return made


def _is_price(note: Fact) -> bool:
    """Whether a note says what other numbers of joints cost: that stands beside the bounds."""
    told = dict(note.values).get("what")
    return isinstance(told, Fact) and told.code == "JNT-346"


def _buying(setter: Typesetter, view: PlanView, figures: Figures) -> list[Any]:
    headings = ("", "stock", "material", "thick", "size", "buy", "to hand", "each", "together")
    listed = [
        (yard, [_buying_row(r, view, figures) for r in lines])
        for yard, lines in rows_by_supplier(view)
    ]
    widths = setter.widths(headings, [r for _, rows in listed for r in rows], words=(1, 2))
    made: list[Any] = []
    for yard, rows in listed:
        if yard:
            made.append(prose(f"From {yard}"))
        boxes = tick_boxes([False] * len(rows))
        made.append(setter.table(headings, rows, widths, figures_from=5, lead=boxes))
    words = buy_total_words(view, figures)
    feet = board_feet_to_buy(view)
    if figures.style is LengthStyle.INCH and feet > 0:
        words = f"{feet:.1f} board feet of lumber by nominal size · {words}"
    total = prose(words, RIGHT_STRONG)
    return [*made, total] if made else [prose("Nothing.")]


def _buying_row(r: BuyRow, view: PlanView, figures: Figures) -> tuple[str, ...]:
    return (
        "",
        stock_words(r, view, figures),
        r.material,
        figures.thickness(r.thickness_mm),
        figures.stock(r.length_mm, r.width_mm),
        r.count_words,
        str(r.to_hand) if r.to_hand else "",
        *price_words(r, figures),
    )
