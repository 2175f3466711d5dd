"""What the terminal says when a plan is made."""

from __future__ import annotations

from nestcut.model.plan import VerifiedPlan
from nestcut.papers.lists.amount_words import weight_words
from nestcut.papers.lists.amounts import amounts_of
from nestcut.papers.lists.lists import (
    BuyRow,
    buy_rows,
    buy_total_words,
    planed_words,
    price_words,
)
from nestcut.papers.lists.usage import SHARES, usage_of
from nestcut.papers.view import (
    Figures,
    PlanView,
    bound_words,
    count_words,
    per_mille,
    plan_view,
    search_words,
)
from nestcut.units import LengthStyle
from nestcut.words import tell_fact


def summary_text(verified: VerifiedPlan, style: LengthStyle) -> str:
    """A few plain lines: what is cut from what, how good that is, what to buy, what is left."""
    job, plan = verified.job, verified.plan
    figures = Figures(style, job.fraction, job.currency)
    view = plan_view(verified)
    usage = usage_of(view, figures)
    lines = [f"{job.name}: {count_words(verified)}."]
    if plan.unplaced:
        lines.append(f"NOT PLACED ({len(plan.unplaced)}):")
        lines += [
            f"  {view.name_of(u.piece)} ({u.piece}): {tell_fact(u.reason, figures.speech)}"
            for u in plan.unplaced
        ]
    if plan.joints:
        lines.append(f"Joints: {len(plan.joints)}, listed in joints.csv and on the joints page.")
    lines += _buying(view, figures)
    told = [
        *(bound_words(b, figures) for b in plan.bounds),
        *(tell_fact(n, figures.speech) for n in plan.notes),
    ]
    lines += ["How good the plan is:"] if told else []
    lines += [f"  {words}" for words in told]
    if usage.job.area_total:
        shares = ", ".join(
            f"{share.value} {per_mille(part)}"
            for share, part in zip(SHARES, usage.job.thousandths, strict=True)
            if part
        )
        total = f"{figures.area_steps(usage.job.area_total)} {figures.area_unit}"
        lines.append(f"Of {total} bought or to hand: {shares}.")
    weight = weight_words(amounts_of(view), figures)
    lines += [weight] if weight else []
    ended, again = search_words(verified)
    lines += [ended] if plan.is_repeatable else [ended, again]
    return "\n".join(lines)


def _buying(view: PlanView, figures: Figures) -> list[str]:
    """What to buy and what to fetch from the shed."""
    rows = buy_rows(view)
    bought = [r for r in rows if r.to_buy]
    lines = ["To buy:"] if bought else []
    for r in bought:
        each, _ = price_words(r, figures)
        price = f"{each} each" if r.each_minor and r.to_buy > 1 else each
        over = f", {r.over} of them over" if r.over else ""
        yard = f", from {r.supplier}" if r.supplier else ""
        planed = planed_words(view, r.stock, figures)
        lines.append(
            f"  {_how_many(r.to_buy, r, figures)}{over}{yard}, {price}"
            + (f"; {planed}" if planed else "")
        )
    if bought:
        lines.append(f"  {buy_total_words(view, figures)}")
    fetched = [_how_many(r.to_hand, r, figures) for r in rows if r.to_hand]
    if fetched:
        lines.append("To hand and used:")
        lines += [f"  {words}" for words in fetched]
    return lines


def _how_many(count: int, row: BuyRow, figures: Figures) -> str:
    """Name a number of sheets or boards: ``3 boards of 20 x 95 larch, 2400 x 95 mm``."""
    kind = row.kind if count == 1 else f"{row.kind}s"
    return f"{count} {kind} of {row.stock}, {figures.stock(row.length_mm, row.width_mm)}"
