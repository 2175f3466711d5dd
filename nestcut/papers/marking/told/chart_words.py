"""What stands under a chart's drawing: its rows of figures, and the lines that go with them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from nestcut.model.curves import Point
from nestcut.model.part import Timing
from nestcut.papers.marking.base_lines import BaseLine
from nestcut.papers.marking.charts import Chart, ChartUse, Form
from nestcut.papers.marking.checks import half_checks, panel_checks
from nestcut.papers.marking.lines import Circle, Way
from nestcut.papers.marking.outline import MarkedLine, MarkPoint, Role
from nestcut.papers.marking.panel_form import panel_edges
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.marking.told.arc_words import (
    arc_sentences,
    hollow_arcs,
    minus_sentence,
)
from nestcut.papers.marking.told.chart_joints import cut_sentences, mark_words
from nestcut.papers.marking.told.chart_stance import chart_stance, in_chart
from nestcut.papers.marking.told.over_notch import over_notch_sentence
from nestcut.papers.view import (
    EndNames,
    PlanView,
    bevel_words_short,
    centre_line,
    line_name,
    warnings_for,
)

WAYS = {Way.STRAIGHT: "line", Way.BATTEN: "batten", Way.COMPASS: "arc"}
"""How a point is joined to the next, as tables say it."""
INLINE = 8
"""Marks of so few points are told in a sentence. [-]"""
NONE = "-"
"""Stands in a panel's table where an edge isn't marked at a station."""
Arcs = Callable[[MarkedLine], list[str]]
"""What is said of the arcs of a line."""
CORNER = "•"
"""Stands behind a figure where the batten ends."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head; ``is_wide`` rows don't go two beside each other."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class ChartText:
    """Everything written about a chart, in order: sentences and tables.

    ``warning`` must not be missed at the saw; mostly there is none.
    """

    title: str
    names: str
    parts: tuple[str | Table, ...]
    warning: str = ""


def chart_text(chart: Chart, view: PlanView) -> ChartText:
    """Write a chart's figures."""
    rule = chart.marking.rule
    outline, *others = chart.marking.lines

    def arcs(line: MarkedLine) -> list[str]:
        return arc_sentences(line, chart, view, rule, lambda x, y: _at(chart, x, y, rule))

    parts: list[str | Table] = [*_outline_parts(chart, outline, rule, arcs)]
    for line in others:
        parts += _line_parts(line, chart, view, rule, arcs)
    parts += _centre_parts(chart, rule)
    minus = minus_sentence(chart)
    parts += [minus] if minus else []
    over = over_notch_sentence(chart)
    parts += [over] if over else []
    parts += cut_sentences(chart, view, lambda line: _line_words(line, chart, rule))
    if chart.gauge_mm is not None:
        parts.append(_trim_words(chart, rule, rule.figures.fine(chart.gauge_mm)))
    parts += [f"{told[0].upper()}{told[1:]}." for told in _bevel_parts(chart, rule)]
    checks = [
        f"{d.from_number} to {d.to_number} is {rule.written(d.length_mm)}"
        for d in chart.marking.diagonals
        if _rectangle(outline) is None and chart.form is Form.POINTS
    ]
    checks += panel_checks(chart, rule, lambda x, y: _at(chart, x, y, rule))
    checks += half_checks(chart, rule)
    parts += [f"Check: {'; '.join(checks)}."] if checks else []
    return ChartText(f"Chart {chart.number}", names_of(chart, view), tuple(parts), _warning(chart))


def _trim_words(chart: Chart, rule: MarkingRule, trim: str) -> str:
    """How the trim line is drawn: a gauge needs a sawn edge, and has no room in a notch."""
    apart = ["joints"] if chart.is_whole_panel else []
    apart += ["holes"] if chart.shape.holes else []
    where = f", not at {' and '.join(apart)}" if apart else ""
    has_notches = bool(hollow_arcs(chart.marking.lines[0], chart))
    notches = "; at notches rule and compass" if has_notches else ""
    return f"Trim line, once sawn: marking gauge set to {trim}{where}{notches}."


def _warning(chart: Chart) -> str:
    """That a chart's pieces wait for the dry fit, with their names where others don't."""
    late = [u.piece.part for u in chart.uses if u.piece.timing is Timing.AFTER_DRY_FIT]
    if len(late) == len(chart.uses):
        return "CUT AFTER DRY FIT"
    return f"CUT AFTER DRY FIT: {', '.join(dict.fromkeys(late))}" if late else ""


def _centre_parts(chart: Chart, rule: MarkingRule) -> list[str]:
    """A centre line that its sheet's page draws and that isn't the chart's own."""
    ends = None if chart.form is Form.HALF else centre_line(in_chart(chart.uses[0]))
    return [] if ends is None else [f"CL: {_line_words(ends, chart, rule)}."]


def _bevel_parts(chart: Chart, rule: MarkingRule) -> list[str]:
    """Bevels of a chart's pieces, each kind of part's once."""
    told: dict[str, str] = {}
    for use in chart.uses:
        words = bevel_words_short(in_chart(use), rule.figures, _end_namer(chart, rule))
        if words:
            told.setdefault("; ".join(words), use.piece.part)
    if len(told) == 1:
        return list(told)
    return [f"{part}: {words}" for words, part in told.items()]


def _end_namer(chart: Chart, rule: MarkingRule) -> EndNames | None:
    """How a chart names the ends of bevelled edges, where it shows neither FWD nor UP."""
    stance = chart_stance(chart)
    if stance.up is not None or stance.forward is not None:
        return None

    def named(a: Point, b: Point) -> tuple[str, str]:
        axis = 0 if abs(a[0] - b[0]) >= abs(a[1] - b[1]) else 1
        word = ("along", "out" if chart.form is Form.HALF else "off")[axis]
        first, last = (rule.written(rule.rounded(abs(p[axis]))) for p in (a, b))
        return f"{word} {first}", f"{word} {last}"

    return named


def names_of(chart: Chart, view: PlanView) -> str:
    """Which pieces a chart is for; those that lie as its mirror image say so."""
    groups: dict[tuple[str, str], list[ChartUse]] = {}
    for use in chart.uses:
        hand = use.piece.hand.value if use.piece.hand else ""
        groups.setdefault((use.piece.part, hand), []).append(use)
    told: list[tuple[bool, str]] = []
    for (part, hand), uses in groups.items():
        turned = [use for use in uses if _is_mirror(chart, [use])]
        words = f"{part}, {hand}" if hand else part
        if chart.is_whole_panel:
            told.append((bool(turned), f"{words}, the whole panel"))
        elif len(uses) > 1 and len(turned) in {0, len(uses)}:
            told.append((bool(turned), f"{words}, all {len(uses)}"))
        else:
            told += [(use in turned, view.name_of(use.piece.id)) for use in uses]
    told.sort(key=lambda t: t[0])
    return "; ".join(f"{words} (mirror)" if is_mirror else words for is_mirror, words in told)


def _is_mirror(chart: Chart, uses: list[ChartUse]) -> bool:
    """Whether pieces lie as a chart's mirror image, all of them; what has no hand has none."""
    return chart.has_hand and all(u.is_turned for u in uses)


def base_line_row(
    line: BaseLine, rule: MarkingRule, view: PlanView, page: int = 0
) -> tuple[str, ...]:
    """A piece's base line on its sheet: number, chart and its page, both ends, side, name.

    Which way it stands, and which face is in sight, is told in the rows of the sheet's own page.

    Parameters
    ----------
    page
        Page of its chart; 0: not named.
    """

    def at(p: Point) -> str:
        return f"{rule.written(p[0])}, {rule.written(p[1])}"

    name = view.name_of(line.placed.piece.id)
    return (
        str(line.placed.number),
        f"{line.chart.number}, p. {page}" if page else str(line.chart.number),
        f"{rule.written(line.from_mm)} at {at(line.zero)}",
        f"{rule.written(line.to_mm)} at {at(line.end)}",
        "both" if line.chart.is_alike else "left" if line.to_left else "right",
        "; ".join(
            (
                f"{name} ({_mirror_of(line, view)})"
                if _is_mirror(line.chart, [line.use])
                else name,
                *warnings_for(line.placed),
                *_beside(line, rule),
            )
        ),
    )


def _mirror_of(line: BaseLine, view: PlanView) -> str:
    """Whose mirror image a piece is: its twin's number, where that lies on the same sheet.

    Of two pieces of one hand one may lie with its back up: that makes it no other hand.
    """
    own = line.placed.piece
    part = line.placed.part
    sheet = next(s for s in view.sheets if any(p.piece.id == own.id for p in s.placed))
    if part is not None and own.hand in {None, part.drawn} and not line.placed.is_face_up:
        # where both faces are good no other paper calls one of them the back
        return "mirror: back up" if sheet.has_back or line.placed.is_face_told else "mirror"
    turned = {u.piece.id: u.is_turned for u in line.chart.uses}
    for other in sheet.placed:
        piece = other.piece
        is_alike = (piece.part, piece.copy, piece.share) == (own.part, own.copy, own.share)
        if is_alike and piece.hand is not own.hand and not turned.get(piece.id, True):
            return f"mirror of no. {other.number}"
    return "mirror"


def _beside(line: BaseLine, rule: MarkingRule) -> tuple[str, ...]:
    """How a base line is drawn that doesn't lie on the sheet."""
    if line.off_mm == 0.0:
        return ()
    off = rule.written(rule.rounded(line.off_mm))
    return (f"its base line runs up to {off} beside the sheet: clamp scrap flush there",)


def _outline_parts(
    chart: Chart, line: MarkedLine, rule: MarkingRule, arcs: Arcs
) -> list[str | Table]:
    if line.circle is not None:
        return [f"Circle: {_circle(line.circle, chart, rule)}."]
    size = _rectangle(line) if chart.form is Form.POINTS else None
    if size is not None:
        diagonal = rule.written(rule.rounded(math.hypot(*size)))
        length, width = (rule.written(v) for v in size)
        return [f"Rectangle: {length} x {width}, both diagonals {diagonal}."]
    match chart.form:
        case Form.PANEL:
            way = (
                "out to each edge, to either side"
                if chart.is_through
                else "off to each edge, both to one side"
            )
            lead = f"From the base line {way}; a batten ends at {CORNER}."
            return [lead, _panel_table(chart, rule)]
        case Form.HALF:
            lead = "From the centre line, both sides alike."
            return [lead, _table(line, chart, rule), *arcs(line)]
        case Form.POINTS:
            return [_table(line, chart, rule), *arcs(line)]


def _rectangle(line: MarkedLine) -> tuple[float, float] | None:
    """Length and width of a rectangle on its base line. [mm]"""
    points = [(p.x_mm, p.y_mm) for p in line.points]
    if len(points) != 4 or any(p.way is not Way.STRAIGHT for p in line.points):
        return None
    length, width = max(x for x, _ in points), max(y for _, y in points)
    corners = {(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)}
    return (length, width) if set(points) == corners else None


def _at(chart: Chart, x_mm: float, y_mm: float, rule: MarkingRule) -> str:
    """A point of a chart in words; beside a base line through a panel with the edge it lies to."""
    return f"{rule.written(x_mm)}, {_off(chart, y_mm, rule)}"


def _off(chart: Chart, y_mm: float, rule: MarkingRule) -> str:
    if not chart.is_through:
        return rule.written(y_mm)
    return f"{rule.written(abs(y_mm))} {'lower' if y_mm < 0.0 else 'upper'}"


def _table(line: MarkedLine, chart: Chart, rule: MarkingRule) -> Table:
    rows = []
    for k, p in enumerate(line.points):
        goes_on = line.is_closed or k + 1 < len(line.points)
        way = WAYS[p.way] if goes_on else "end"
        before = line.points[k - 1] if k or line.is_closed else p
        if p.role is Role.CORNER and goes_on and p.way is before.way is Way.BATTEN and p != before:
            way = "new batten"
        rows.append((str(p.number), rule.written(p.x_mm), _off(chart, p.y_mm, rule), way))
    off = "out" if chart.form is Form.HALF else "off"
    return Table(("no.", "along", off, "to next"), tuple(rows))


def _panel_table(chart: Chart, rule: MarkingRule) -> Table:
    lower, upper = panel_edges(chart.marking)
    if chart.is_through:
        lower = [replace(p, y_mm=-p.y_mm) for p in lower]
    return Table(("along", "lower", "upper"), _panel_rows(lower, upper, rule))


def _panel_rows(
    lower: list[MarkPoint], upper: list[MarkPoint], rule: MarkingRule
) -> tuple[tuple[str, ...], ...]:
    """Merge the points of both edges; two of one edge at one station take a row each."""
    rows: list[tuple[float, list[str]]] = []
    for column, edge in enumerate((lower, upper)):
        last = None
        for p in edge:
            mark = f" {CORNER}" if p.role is Role.CORNER else ""
            cell = f"{rule.written(p.y_mm)}{mark}"
            free = next(
                (r for x, r in rows if x == p.x_mm and r[column] == NONE and column == 1), None
            )
            if free is not None and last != p.x_mm:
                free[column] = cell
            else:
                row = [NONE, NONE]
                row[column] = cell
                rows.append((p.x_mm, row))
            last = p.x_mm
    rows.sort(key=lambda r: r[0])  # stable: two points at one station keep their order
    return tuple((rule.written(x), *row) for x, row in rows)


def _line_parts(
    line: MarkedLine, chart: Chart, view: PlanView, rule: MarkingRule, arcs: Arcs
) -> list[str | Table]:
    name = line_name(_line_name(line.name), chart.uses[0].placed.part)
    if line.circle is not None:
        twice = ", both sides" if chart.form is Form.HALF and line.circle.y > 1.0 else ""
        return [f"{name}: {_circle(line.circle, chart, rule)}{twice}."]
    if len(line.points) == 2 and not line.is_closed and line.points[0].way is Way.STRAIGHT:
        a, b = (_at(chart, p.x_mm, p.y_mm, rule) for p in line.points)
        before, after = mark_words(line, chart, view)
        return [f"{before}{name}: {a} to {b}{after}."]
    if is_inline(line):
        told = " to ".join(_at(chart, p.x_mm, p.y_mm, rule) for p in line.points)
        return [f"{name}, batten: {told}."]
    twice = ""
    if chart.form is Form.HALF and line.is_closed:
        twice = " both sides"
    return [f"{name}{twice}:", _table(line, chart, rule), *arcs(line)]


def is_inline(line: MarkedLine) -> bool:
    """Whether a mark is told in a sentence: one straight line, or a batten through few points."""
    if line.is_closed or line.name.startswith("hole") or not line.name.startswith("mark"):
        return False
    first, *inner, _ = line.points
    if not inner:
        return first.way is Way.STRAIGHT
    is_batten = first.way is Way.BATTEN and all(p.role is Role.STATION for p in inner)
    return is_batten and len(line.points) <= INLINE


def _line_name(name: str) -> str:
    if name.startswith("mark"):
        return name.removeprefix("mark").strip() or "line"
    return "Hole" if name.startswith("hole") else name


def _circle(c: Circle, chart: Chart, rule: MarkingRule) -> str:
    return f"centre {_at(chart, c.x, c.y, rule)}, diameter {rule.written(2.0 * c.radius)}"


def _line_words(line: tuple[Point, Point], chart: Chart, rule: MarkingRule) -> str:
    fine = 1 if len(rule.steps_mm) > 1 else 0
    a, b = (_at(chart, rule.rounded(x, fine), rule.rounded(y, fine), rule) for x, y in line)
    return f"{a} to {b}"
