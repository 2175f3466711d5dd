"""Tables and boxes of facts for the HTML page, as plain texts; the template only sets them out."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.errors import Severity
from nestcut.joints.kinds import KINDS
from nestcut.papers.lists import (
    COST_NOTE,
    SHARES,
    JointRow,
    UsageLine,
    amount_words,
    amounts_of,
    buy_rows,
    buy_total_words,
    cost_words,
    end_words,
    joint_rows,
    price_words,
    rule_words,
    seam_words,
    stock_words,
    usage_notes,
    usage_of,
    use_words,
    word_words,
)
from nestcut.papers.view import (
    CAUTIONS,
    Figures,
    PlanView,
    bound_words,
    grouped,
    per_mille,
    search_words,
    told_findings,
)
from nestcut.words import tell_fact
from nestcut.words.joint_kinds import JOINT_WORDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """One table; ``numeric`` columns stand to the right, rows in ``totals`` are sums."""

    title: str
    anchor: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: frozenset[int] = frozenset()
    totals: frozenset[int] = frozenset()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a box of facts."""

    text: str
    is_warning: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FactBox:
    """A few facts under a title."""

    title: str
    lines: tuple[Line, ...]


def buying_grid(view: PlanView, figures: Figures) -> Grid:
    """What has to be bought, with what the shed gives."""
    rows = [
        (
            stock_words(row, view, figures) + (f", from {row.supplier}" if row.supplier else ""),
            row.material,
            figures.thickness(row.thickness_mm),
            figures.stock(row.length_mm, row.width_mm),
            row.count_words,
            str(row.to_hand) if row.to_hand else "",
            *price_words(row, figures),
        )
        for row in buy_rows(view)
    ]
    words = buy_total_words(view, figures).removeprefix("together ")
    total = ("together", "", "", "", "", "", "", words)
    return Grid(
        title="Buying list",
        anchor="buying",
        headings=("stock", "material", "thick", "size", "to buy", "to hand", "each", "together"),
        rows=(*rows, total) if rows else (),
        numeric=frozenset({4, 5, 6, 7}),
        totals=frozenset({len(rows)}),
    )


def joints_grid(view: PlanView, figures: Figures) -> Grid:
    """Every joint with its place, slope, angle, and the face to be planed on either piece."""
    rows = joint_rows(view)
    is_planed = any(KINDS[row.joint.kind].laps for row in rows)
    test = " Plane a test piece first." if is_planed else ""
    return Grid(
        title="Joints",
        anchor="joints",
        headings=("no.", "part", "kind", "slope", "middle at", "overlap", "pieces", "to mind"),
        rows=tuple(_joint_cells(row, view, figures) for row in rows),
        numeric=frozenset({4, 5}),
        notes=(
            "The middle of a joint is measured along the trimmed part from the black end of its "
            f"drawing.{test} Places, slopes and strap sizes in the plans win over these.",
        ),
    )


def _joint_cells(row: JointRow, view: PlanView, figures: Figures) -> tuple[str, ...]:
    joint = row.joint
    names = [view.name_of(piece).rpartition(", ")[2] for piece in joint.pieces]
    told = [
        f"{name}: {JOINT_WORDS[joint.kind].verb} the {row.planed_words(k)}"
        if row.planed_words(k)
        else name
        for k, name in enumerate(names)
    ]
    if row.seam is not None:
        told = [seam_words(joint)]
    if row.strap_mm is not None:
        told = [" and ".join(told), f"strap {figures.fine(row.strap_mm)} wide"]
        told += [row.strap_face_words] if row.strap_face_words else []
    planed = "; ".join(told)
    broken = [tell_fact(f, figures.speech) for f in joint.rule_findings]
    near = (*end_words(joint, figures), *rule_words(joint, figures))
    return (
        row.key,
        _joined_name(row, view),
        row.kind_words,
        row.slope_words,
        figures.length(joint.at_mm),
        figures.fine(joint.overlap_mm) if joint.overlap_mm > 0 else "",
        planed,
        "; ".join((*broken, *near, *(() if row.seam else (word_words(joint),)))),
    )


def _joined_name(row: JointRow, view: PlanView) -> str:
    """Name of the whole that a joint is in: its piece's name without the share."""
    words = view.name_of(row.joint.pieces[0]).split(", ")
    whole = [w for w in words if not w.startswith("piece ")]
    return ", ".join(whole)


def usage_grid(view: PlanView, figures: Figures) -> Grid:
    """Where the material goes, by sheet, board, material and job."""
    usage = usage_of(view, figures)
    rows = [_usage_row(line, figures) for line in usage.lines]
    singles = len(usage.sheets) + len(usage.boards) + len(usage.over)
    return Grid(
        title="Usage",
        anchor="usage",
        headings=("of", "stock", f"area {figures.area_unit}", *(s.value for s in SHARES), "money"),
        rows=tuple(rows),
        numeric=frozenset(range(2, 4 + len(SHARES))),
        totals=frozenset(range(singles, len(rows))),
        notes=(
            f"Each share in {figures.area_unit} and per cent of its line; lines and columns add "
            "up as printed. " + (COST_NOTE if any(not x.money_total for x in usage.lines) else ""),
            *usage_notes(usage, figures),
        ),
    )


def _usage_row(line: UsageLine, figures: Figures) -> tuple[str, ...]:
    shares = (
        f"{figures.area_steps(area)}\n{per_mille(thousandths)}"
        for area, thousandths in zip(line.area_steps, line.thousandths, strict=True)
    )
    money = cost_words(line.money_total, figures)
    return (line.label, line.stock, figures.area_steps(line.area_total), *shares, money)


def fact_boxes(view: PlanView, figures: Figures) -> tuple[FactBox, ...]:
    """What was proven, how good it is, what was assumed, what it weighs and takes to coat."""
    verified = view.verified
    told = {
        "What was checked": tuple(tell_fact(c, figures.speech) for c in verified.checks),
        "How good": (
            *(bound_words(b, figures) for b in verified.plan.bounds),
            *(tell_fact(n, figures.speech) for n in verified.plan.notes),
            " ".join(search_words(verified)),
        ),
        "Assumed": grouped(verified.job.assumed),
        "Weight and coating": amount_words(amounts_of(view), figures),
        "How to use the printed papers (page 1 of shop.pdf)": use_words(view, figures),
        "Cautions": CAUTIONS,
    }
    return tuple(
        FactBox(title=title, lines=tuple(Line(text=line) for line in lines))
        for title, lines in told.items()
        if lines
    )


def warning_boxes(view: PlanView, figures: Figures) -> tuple[FactBox, ...]:
    """What the builder has to mind, first of all what has no place."""
    verified = view.verified
    plan = verified.plan
    minded = [
        Line(
            text=f"not placed: {view.name_of(u.piece)}: {tell_fact(u.reason, figures.speech)}",
            is_warning=True,
        )
        for u in plan.unplaced
    ]
    minded += [
        Line(text=line, is_warning=severity is not Severity.NOTE)
        for severity, line in told_findings(verified, figures)
    ]
    return (FactBox(title="To mind", lines=tuple(minded)),) if minded else ()
