"""All papers of a plan, written into one folder: lists, book, page for a phone, drawings."""

from __future__ import annotations

from pathlib import Path

from nestcut.model.plan import VerifiedPlan
from nestcut.model.stock import BoardStock
from nestcut.papers.book import (
    board_drawing,
    board_pages,
    joint_pages,
    joints_under,
    shop_pdf,
)
from nestcut.papers.draw import Paper, svg_text
from nestcut.papers.lists import (
    Usage,
    buying_list_csv,
    cut_list_csv,
    joints_csv,
    usage_csv,
    usage_of,
)
from nestcut.papers.marking import (
    mark_alone,
    mark_on_sheets,
    marking_csv,
    marking_pdf,
    marking_rule,
)
from nestcut.papers.page import PageMaker
from nestcut.papers.screen import HtmlMatter, html_page
from nestcut.papers.sheet import curved_board_pages, sheet_pages
from nestcut.papers.view import Figures, PlanView, plan_view
from nestcut.units import LengthStyle

__all__ = ["Paper", "write_lists", "write_papers"]


def write_papers(verified: VerifiedPlan, folder: Path, paper: Paper, style: LengthStyle) -> None:
    """Write every paper of a verified plan into ``folder``.

    Writes ``cut-list.csv``, ``buying-list.csv``, ``joints.csv``, ``usage.csv``,
    ``marking-out.csv``, ``marking-out.pdf``, ``shop.pdf``, ``shop.html``,
    ``sheets/NN-<stock>.svg`` and ``boards/NN-<stock>.svg``. The same plan gives the same bytes.

    Parameters
    ----------
    verified
        The plan.
    folder
        Where to write; made if it isn't there.
    paper, style
        Paper of the book, and how lengths are printed.

    Raises
    ------
    OSError
        If the folder can't be written.
    """
    job = verified.job
    view = plan_view(verified)
    figures = Figures(style, job.fraction, job.currency)
    maker = PageMaker(paper, figures, view)
    usage = usage_of(view, figures)
    _write_lists(view, usage, figures, folder)
    by_sheet = [sheet_pages(sheet, maker) for sheet in view.sheets]
    curved = [s for s in view.sheets if isinstance(s.stock, BoardStock)]
    after = curved_board_pages(curved, maker)
    boards = (*board_pages(view.boards, maker, after), *after)
    joints = joint_pages(maker)
    whole = [p for s, ps in zip(view.sheets, by_sheet, strict=True) if s not in curved for p in ps]
    drawings = (*whole, *joints_under(boards, maker))
    (folder / "shop.pdf").write_bytes(shop_pdf(view, usage, drawings, paper, figures))
    (folder / "sheets").mkdir(exist_ok=True)
    (folder / "boards").mkdir(exist_ok=True)
    for sheet, pages in zip(view.sheets, by_sheet, strict=True):
        _write(folder / "sheets" / f"{sheet.stem}.svg", svg_text(pages[0]))
    for board in view.boards:
        _write(folder / "boards" / f"{board.stem}.svg", svg_text(board_drawing(board, maker)))
    rule = marking_rule(style, job.fraction, job.marking)
    marking = (*mark_on_sheets(view, rule), *mark_alone(view, rule))
    _write(folder / "marking-out.csv", marking_csv(marking))
    (folder / "marking-out.pdf").write_bytes(marking_pdf(view, rule, paper))
    matter = HtmlMatter(
        figures=figures,
        paper=paper,
        sheets=tuple(pages[:1] for pages in by_sheet),
        boards=tuple((drawing.caption, drawing) for drawing in boards),
        joints=tuple((drawing.caption, drawing) for drawing in joints),
        rule=rule,
    )
    _write(folder / "shop.html", html_page(view, matter))


def write_lists(verified: VerifiedPlan, folder: Path, style: LengthStyle) -> None:
    """Write only the lists that need no drawing: what to cut, buy and join, and usage.

    Parameters and errors are those of :func:`write_papers`.
    """
    job = verified.job
    view = plan_view(verified)
    figures = Figures(style, job.fraction, job.currency)
    _write_lists(view, usage_of(view, figures), figures, folder)


def _write_lists(view: PlanView, usage: Usage, figures: Figures, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    _write(folder / "cut-list.csv", cut_list_csv(view, figures))
    _write(folder / "buying-list.csv", buying_list_csv(view, figures))
    _write(folder / "joints.csv", joints_csv(view, figures))
    _write(folder / "usage.csv", usage_csv(usage, figures))


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
