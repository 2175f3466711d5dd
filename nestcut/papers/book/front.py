"""The front page: what it is, what to buy, how good it is, what was assumed, what to beware of."""

from __future__ import annotations

from pathlib import PurePath
from typing import Any

from nestcut.papers.book.typesetting import Typesetter, tick_boxes
from nestcut.papers.lists import (
    board_feet_to_buy,
    buy_total_words,
    price_words,
    rows_by_supplier,
)
from nestcut.papers.view import (
    CAUTIONS,
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
    made: list[Any] = [setter.paragraph(job.name, setter.title)]
    made.append(
        setter.paragraph(
            f"{count_words(view.verified)}. From the job file {PurePath(job.file).name}."
        )
    )
    if plan.unplaced:
        made.append(setter.paragraph("NOT PLACED: these pieces are on no sheet", setter.head))
        told = [
            f"{view.name_of(u.piece)}: {tell_fact(u.reason, figures.speech)}" for u in plan.unplaced
        ]
        made += setter.points(told)
    made.append(setter.paragraph("To buy", setter.head))
    made += _buying(setter, view, figures)
    if plan.bounds:
        made.append(setter.paragraph("How good the plan is", setter.head))
        made += setter.points([bound_words(b, figures) for b in plan.bounds])
    if job.assumed:
        made.append(setter.paragraph("Assumed, since the job doesn't say", setter.head))
        made += setter.points(grouped(job.assumed))
    minded = [line for _, line in told_findings(view.verified, figures)]
    minded += [SPELLED_WORDS] if spelled_names(job) else []
    if minded:
        made.append(setter.paragraph("To mind", setter.head))
        made += setter.points(minded)
    asked = matters_to_ask(view)
    if asked:
        made.append(setter.paragraph("To ask your plans", setter.head))
        made += setter.points(
            [
                f"Which end is forward, or which edge up, of: {', '.join(asked)}? Write forward = "
                "or up = in the job (nestcut explain part), and every page marks it."
            ]
        )
    made.append(setter.paragraph("Before you start", setter.head))
    made += setter.points(CAUTIONS)
    return made


def method(setter: Typesetter, view: PlanView, figures: Figures) -> list[Any]:
    """How the plan was found and what was checked: for the last page."""
    made: list[Any] = [setter.paragraph("How the plan was found", setter.head)]
    notes = [tell_fact(n, figures.speech) for n in view.verified.plan.notes]
    made += setter.points([" ".join(search_words(view.verified)), *notes])
    if view.verified.checks:
        made.append(setter.paragraph("What was checked", setter.head))
        made += setter.points([tell_fact(c, figures.speech) for c in view.verified.checks])
    return made


def _buying(setter: Typesetter, view: PlanView, figures: Figures) -> list[Any]:
    headings = ("", "stock", "material", "thick", "size", "buy", "to hand", "each", "together")
    shares = (5, 24, 19, 13, 27, 8, 11, 17, 17)
    made: list[Any] = []
    for yard, listed in rows_by_supplier(view):
        rows = [
            (
                "",
                r.stock,
                r.material,
                figures.thickness(r.thickness_mm),
                figures.pair(r.length_mm, r.width_mm),
                r.count_words,
                str(r.to_hand) if r.to_hand else "",
                *price_words(r, figures),
            )
            for r in listed
        ]
        if yard:
            made.append(setter.paragraph(f"From {yard}"))
        made.append(
            setter.table(headings, rows, shares, figures_from=5, lead=tick_boxes(len(rows)))
        )
    words = buy_total_words(view, figures)
    feet = board_feet_to_buy(view)
    if figures.style is LengthStyle.INCH and feet > 0:
        words = f"{feet:.1f} board feet of lumber by nominal size · {words}"
    total = setter.paragraph(words, setter.right_strong)
    return [*made, total] if made else [setter.paragraph("Nothing.")]
