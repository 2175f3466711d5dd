"""The plan as one HTML file: no network, nothing beside it, the same on a phone and on paper.

Ticks are kept in the browser under the plan's own digest and can be saved as a small file, which
:mod:`nestcut.papers.ticks` reads back.
"""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from importlib import resources

from nestcut.model.digest import plan_digest
from nestcut.papers.draw import WEB_FAMILIES, Drawing, Paper, fenced, web_fonts
from nestcut.papers.lists import size_words
from nestcut.papers.marking import MarkingRule, marking_texts
from nestcut.papers.screen.drawings import (
    CROP_MM,
    TOUCH,
    DrawingEntry,
    sheet_entries,
    titled_entries,
)
from nestcut.papers.screen.tables import (
    FactBox,
    Grid,
    buying_grid,
    fact_boxes,
    joints_grid,
    usage_grid,
    warning_boxes,
)
from nestcut.papers.view import (
    CUT_WORDS,
    BoardPiece,
    BoardView,
    Figures,
    PlacedPiece,
    PlanView,
    SheetView,
    allowance_words,
    bevel_words,
    joint_words,
    rail_words,
    stance_of,
    strap_words,
    warnings_for,
)
from nestcut.words import safe_name

BOARDS_AFTER = 1_000_000
"""Boards follow all sheets in the list."""
PAGE_MARGIN_MM = 12
"""Margin of printed pages that hold text. [mm]"""
PAPER_WORDS = {Paper.A4: "A4", Paper.LETTER: "letter"}
"""Names of papers in style sheets (CSS Paged Media)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HtmlMatter:
    """What the page shows besides the plan.

    Parameters
    ----------
    sheets
        The pages of every sheet, in the plan's order: the whole sheet, then what its table had no
        room for and the details.
    boards, joints
        Drawings of boards and of joints, each with its title; one may hold several.
    marking, rule
        Marking-out tables and how they were made.
    """

    figures: Figures
    paper: Paper
    sheets: tuple[tuple[Drawing, ...], ...]
    boards: tuple[tuple[str, Drawing], ...] = ()
    joints: tuple[tuple[str, Drawing], ...] = ()
    rule: MarkingRule | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceEntry:
    """One line of the list of pieces."""

    id: str
    name: str
    anchor: str
    order: int
    turn: int
    more: str
    place: str
    source: str
    stock: str
    number: int
    words: str
    is_cut: bool

    @property
    def find(self) -> str:
        """What the search looks through: the words, and the piece's name in files."""
        return f"{self.words} · {self.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PageModel:
    """All that the template reads."""

    job: str
    sha256: str
    plan: str
    file: str
    page_size: str
    sheet_lie: str
    margin_mm: int
    sheet_margin_mm: int
    warnings: tuple[FactBox, ...]
    boxes: tuple[FactBox, ...]
    reading: tuple[str, ...]
    pieces: tuple[PieceEntry, ...]
    sheets: tuple[DrawingEntry, ...]
    boards: tuple[DrawingEntry, ...]
    joints: tuple[DrawingEntry, ...]
    tables: tuple[Grid, ...]
    marking: tuple[tuple[str, str], ...]


def html_page(view: PlanView, matter: HtmlMatter) -> str:
    """Return the whole file's text.

    Raises
    ------
    ValueError
        If there isn't a drawing of every sheet.
    """
    from jinja2 import DictLoader, Environment, StrictUndefined
    from markupsafe import Markup

    texts = {name: _own_text(name) for name in ("shop.html", "shop.css", "shop.js")}
    house = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        loader=DictLoader({"shop.html": texts["shop.html"]}),
    )
    house.filters["fenced"] = fenced
    page = page_model(view, matter)
    made = house.get_template("shop.html").render(
        page=page,
        style=Markup(texts["shop.css"].replace("OTHER-SCRIPTS", WEB_FAMILIES)),  # noqa: S704 - our own file
        script=Markup(texts["shop.js"]),  # noqa: S704 - our own file
        drawn={
            entry.anchor: Markup(entry.svg)  # noqa: S704 - ElementTree has escaped every text
            for entry in (*page.sheets, *page.boards, *page.joints)
        },
        script_hash=_script_hash(texts["shop.js"]),
    )
    return made.replace("</style>", f"{web_fonts(made)}</style>", 1)


def page_model(view: PlanView, matter: HtmlMatter) -> PageModel:
    """Work out every text of the page.

    Raises
    ------
    ValueError
        If there isn't a drawing of every sheet.
    """
    job = view.verified.job
    figures = matter.figures
    tables = [buying_grid(view, figures), joints_grid(view, figures), usage_grid(view, figures)]
    sheets = zip(view.sheets, matter.sheets, strict=True)
    pieces = _pieces(view, figures)
    return PageModel(
        job=job.name,
        sha256=job.sha256,
        plan=plan_digest(view.verified.plan),
        file=safe_name(job.name),
        page_size=PAPER_WORDS[matter.paper],
        sheet_lie="landscape",
        margin_mm=PAGE_MARGIN_MM,
        sheet_margin_mm=CROP_MM,
        warnings=warning_boxes(view, figures),
        boxes=fact_boxes(view, figures),
        reading=(size_words(figures),),
        pieces=pieces,
        sheets=tuple(
            entry for sheet, pages in sheets for entry in sheet_entries(sheet, pages, view, figures)
        ),
        boards=titled_entries("boards", matter.boards, view, TOUCH),
        joints=titled_entries("joint-drawings", matter.joints, view, ""),
        tables=tuple(t for t in tables if t.rows),
        marking=() if matter.rule is None else marking_texts(view, matter.rule),
    )


def _own_text(name: str) -> str:
    return (resources.files("nestcut.papers.screen") / "templates" / name).read_text(
        encoding="utf-8"
    )


def _script_hash(script: str) -> str:
    digest = hashlib.sha256(script.encode()).digest()
    return "sha256-" + base64.b64encode(digest).decode()


def _pieces(view: PlanView, figures: Figures) -> tuple[PieceEntry, ...]:
    flat = [_flat(sheet, placed, view, figures) for sheet in view.sheets for placed in sheet.placed]
    rails = [_rail(board, piece, view, figures) for board in view.boards for piece in board.cuts]
    return (*flat, *rails)


def _flat(sheet: SheetView, placed: PlacedPiece, view: PlanView, figures: Figures) -> PieceEntry:
    more = [
        CUT_WORDS if view.is_cut(placed.piece.id) else "",
        f"{figures.cut_pair(*placed.size_mm)}, {figures.called(placed.piece.thickness_mm)}",
        *warnings_for(placed),
        allowance_words(placed, figures),
        *(f"bevel: {b}" for b in bevel_words(placed, figures)),
        *(joint_words(end, figures) for end in placed.ends),
        placed.piece.note,
        *strap_words(placed, view, figures),
        *stance_of(placed).words,
    ]
    told = " · ".join(m for m in more if m)
    name = view.name_of(placed.piece.id)
    return PieceEntry(
        id=placed.piece.id,
        name=name,
        anchor=f"s{sheet.index}-{placed.number}",
        order=sheet.index,
        turn=placed.number,
        more=told,
        place=sheet.label,
        source="sheet",
        stock=sheet.layout.stock,
        number=sheet.layout.number,
        words=_words(placed.number, name, told),
        is_cut=view.is_cut(placed.piece.id),
    )


def _words(number: int, name: str, told: str) -> str:
    """What is said of a piece beneath its drawing."""
    return f"{number} {name} · {told}"


def _rail(board: BoardView, cut: BoardPiece, view: PlanView, figures: Figures) -> PieceEntry:
    piece = cut.piece
    section = figures.pair(piece.thickness_mm, piece.width_mm)
    more = [
        f"{figures.cut(piece.length_mm)}{figures.tail} of {section}",
        *rail_words(cut, view, figures),
        piece.note,
    ]
    told = " · ".join(m for m in more if m)
    name = view.name_of(piece.id)
    return PieceEntry(
        id=piece.id,
        name=name,
        anchor=f"b{board.index}-{cut.number}",
        order=BOARDS_AFTER + board.index,
        turn=cut.number,
        more=told,
        place=board.label,
        source="board",
        stock=board.layout.stock,
        number=board.layout.number,
        words=_words(cut.number, name, told),
        is_cut=view.is_cut(piece.id),
    )
