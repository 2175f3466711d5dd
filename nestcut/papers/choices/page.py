"""The ways side by side as one HTML file: the picture, the table, and where each plan lies."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import quote
from xml.etree import ElementTree as ET
from xml.sax.saxutils import escape

from nestcut.papers.choices.row import ChoiceRow, best_rows, words_of
from nestcut.papers.draw import Drawing, svg_element
from nestcut.papers.view import Figures

_STYLE = """
:root{--page:#f4f1e8;--card:#fffdf7;--ink:#1c2529;--soft:#4c585c;--rule:#cfc7b4;--accent:#0c5565}
*{box-sizing:border-box}
body{margin:0;background:var(--page);color:var(--ink);font:1rem/1.45 system-ui,sans-serif}
main{max-width:72rem;margin:0 auto;padding:1rem}
h1{font-size:1.35rem;overflow-wrap:anywhere}
a{color:var(--accent)}
.scroll{overflow-x:auto;background:var(--card);border:1px solid var(--rule);border-radius:.5rem}
table{border-collapse:collapse;width:100%;min-width:44rem}
th,td{padding:.4rem .6rem;text-align:left;vertical-align:top;border-bottom:1px solid var(--rule)}
th.figure,td.figure{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
tr.best td{font-weight:700}
figure{margin:1rem 0;background:#fff;border:1px solid var(--rule);border-radius:.5rem}
figure svg{display:block;width:100%;height:auto}
@media print{body{background:#fff}main{padding:0}}
"""
_HEADS = ("", "way", "to buy", "joints", "sheets", "boards", "largest offcut to keep", "plan")
_FIGURE = ' class="figure"'
_FIGURES = {"to buy", "joints", "sheets", "boards", "largest offcut to keep"}


def choices_page(job: str, rows: Sequence[ChoiceRow], drawing: Drawing, figures: Figures) -> str:
    """Return the page.

    Parameters
    ----------
    job
        Its name.
    drawing
        The first of :func:`choices_drawings`.
    """
    told = "".join(f"<p>{escape(line)}</p>\n" for line in words_of(rows, figures))
    picture = ET.tostring(svg_element(drawing), encoding="unicode")
    heads = "".join(f"<th{_FIGURE if h in _FIGURES else ''}>{escape(h)}</th>" for h in _HEADS)
    best = best_rows(rows)
    body = "\n".join(_row(k, row, figures, best) for k, row in enumerate(rows))
    title = escape(f"{job}: ways to plan it")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n"
        f'<h1>{title}</h1>\n{told}<div class="scroll"><table>\n<thead><tr>{heads}</tr></thead>\n'
        f"<tbody>\n{body}\n</tbody>\n</table></div>\n"
        "<p>Bold: no other way costs less with as few joints. Each plan is whole and proven: "
        "'nestcut report' with its folder prints its papers.</p>\n"
        f"<figure>{picture}</figure>\n</main>\n</body>\n</html>\n"
    )


def _row(k: int, row: ChoiceRow, figures: Figures, best: frozenset[int]) -> str:
    if row.cost_minor is None:
        why = escape(row.fault)
        return f'<tr><td>{k + 1}</td><td>{escape(row.name)}</td><td colspan="6">{why}</td></tr>'
    name = row.name + (f", {row.unplaced} without a place" if row.unplaced else "")
    name += ", cut short" if row.is_cut_short else ""
    offcut = figures.pair(*row.offcut_mm) if min(row.offcut_mm) > 0.0 else "none"
    counts = (row.joints, row.sheets, row.boards)
    cells = [figures.money(row.cost_minor), *map(str, counts), offcut]
    figured = "".join(f"<td{_FIGURE}>{escape(c)}</td>" for c in cells)
    plan = ""
    if row.folder:
        plan = f'<a href="{quote(row.folder)}/plan.json">{escape(row.folder)}</a>'
    kind = ' class="best"' if k in best else ""
    return f"<tr{kind}><td>{k + 1}</td><td>{escape(name)}</td>{figured}<td>{plan}</td></tr>"
