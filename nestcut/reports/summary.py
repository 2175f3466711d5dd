"""What the terminal says when a plan is made."""

from __future__ import annotations

from nestcut.model.plan import VerifiedPlan
from nestcut.reports.amount_words import weight_words
from nestcut.reports.amounts import amounts_of
from nestcut.reports.figures import Figures, per_mille
from nestcut.reports.lists import bound_words, buy_rows, buy_total_minor, count_words
from nestcut.reports.rows import PlanView, plan_view
from nestcut.reports.usage import SHARES, usage_of
from nestcut.units import LengthStyle


def summary_text(verified: VerifiedPlan, style: LengthStyle) -> str:
    """A few plain lines: what is cut from what, how good that is, what to buy, what is left."""
    job, plan = verified.job, verified.plan
    figures = Figures(style, job.fraction, job.currency)
    view = plan_view(verified)
    usage = usage_of(view, figures)
    lines = [f"{job.name}: {count_words(verified)}."]
    if plan.unplaced:
        lines.append(f"NOT PLACED ({len(plan.unplaced)}):")
        lines += [f"  {u.piece}: {u.reason}" for u in plan.unplaced]
    if plan.joints:
        lines.append(f"Joints: {len(plan.joints)}, listed in joints.csv and on the joints page.")
    lines += [f"  {bound_words(b, figures)}" for b in plan.bounds]
    lines += [f"  {note}" for note in plan.notes]
    lines += _buying(view, figures)
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
    lines.append(f"The search ended because {_why(verified)}.")
    if not plan.is_repeatable:
        lines.append("A plan cut short by the clock or by hand may come out differently next time.")
    return "\n".join(lines)


def _buying(view: PlanView, figures: Figures) -> list[str]:
    """What to buy and what to fetch from the shed."""
    rows = buy_rows(view)
    lines = ["To buy:"] if any(r.to_buy for r in rows) else []
    for r in rows:
        if r.to_buy:
            size = figures.pair(r.length_mm, r.width_mm)
            price = f" at {figures.money(r.each_minor)}" if r.each_minor else ""
            lines.append(f"  {r.to_buy} x {r.stock}, {size}{price}")
    if buy_total_minor(view):
        lines.append(f"  together {figures.money(buy_total_minor(view))}")
    fetched = [
        f"{r.to_hand} x {r.stock}, {figures.pair(r.length_mm, r.width_mm)}"
        for r in rows
        if r.to_hand
    ]
    if fetched:
        lines.append("To hand and used: " + "; ".join(fetched) + ".")
    return lines


def _why(verified: VerifiedPlan) -> str:
    text = verified.plan.stopped_by.value
    return "it was interrupted" if text == "interrupted" else text
