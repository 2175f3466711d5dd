"""What is left of a plan that is partly cut: sheets begun, and pieces still to make.

Written as tables for a job file, so that the builder sees and may change what the next plan starts
from: a sheet begun becomes one sheet to hand, with what is cut out of it as areas to keep out of.
"""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon

from nestcut.model.plan import SheetLayout
from nestcut.model.stock import KeepOut, SheetStock
from nestcut.papers.rest.progress_file import CutSource, Progress
from nestcut.papers.rest.remaining_parts import part_lines, piece_tables
from nestcut.papers.rest.toml_words import one_line, toml_mm, toml_points, toml_text
from nestcut.papers.view import PlacedPiece, PlanView, SheetView, many

SCARF = "scarf; 'nestcut again' lets pieces lie across it"
"""Why nothing is cut from where a begun sheet was glued up."""
ROUNDING_MM = 0.1
"""Step of the corner points; what is cut is taken larger by as much. [mm]"""


def started_sheets(view: PlanView, progress: Progress) -> tuple[SheetStock, ...]:
    """Return every sheet from which something is cut, as it lies now: one to hand, no price."""
    begun = {(stock, number) for kind, stock, number in progress.started if kind is CutSource.SHEET}
    rules = view.verified.job.cutting
    return tuple(
        _as_stock(sheet, sheet.stock, progress, rules.on(sheet.stock).kerf_mm)
        for sheet in view.sheets
        if (sheet.layout.stock, sheet.layout.number) in begun
        and isinstance(sheet.stock, SheetStock)
    )


def remaining_text(view: PlanView, progress: Progress) -> str:
    """Return tables for a job file: sheets begun, and as comments what to change at the parts."""
    spoilt = f", {len(progress.spoilt)} of them spoilt" if progress.spoilt else ""
    lines = [
        f"# What is left of '{one_line(view.verified.job.name)}' after "
        f"{many(len(progress.cut), 'piece')} came off the saw{spoilt}.",
        "# Put the tables below into the job file, and change its parts as told. Boards begun are",
        "# not listed: measure what is left of them and enter it as lengths to hand.",
        "",
    ]
    for stock in started_sheets(view, progress):
        lines += [*begun_sheet_lines(stock), ""]
    lines += [*part_lines(view, progress), *piece_tables(view, progress)]
    return "\n".join(lines).rstrip() + "\n"


def _as_stock(
    sheet: SheetView, stock: SheetStock, progress: Progress, kerf_mm: float
) -> SheetStock:
    layout = sheet.layout
    cut = progress.done | progress.spoilt
    areas = (
        k
        for p in sheet.placed
        if p.piece.id in cut
        for k in _gone(p, kerf_mm, layout, progress.spoilt)
    )
    return SheetStock(
        name=f"{layout.stock}, no. {layout.number} begun",
        material=sheet.material,
        thickness_mm=layout.thickness_mm,
        length_mm=layout.length_mm,
        width_mm=layout.width_mm,
        count=1,
        outline=layout.outline,
        edge_trim_mm=layout.edge_trim_mm,
        keep_outs=(*layout.keep_outs, *areas, *_seams(stock, layout)),
        grain=stock.grain,
        good_faces=stock.good_faces,
        actual_thickness_mm=stock.actual_thickness_mm,
    )


def _gone(
    placed: PlacedPiece, kerf_mm: float, layout: SheetLayout, spoilt: frozenset[str]
) -> tuple[KeepOut, ...]:
    """The piece and the saw's way round it, within the sheet; its holes count as gone too."""
    whole = shapely.box(0.0, 0.0, layout.length_mm, layout.width_mm)
    area = Polygon(placed.shape.outline.points).buffer(
        kerf_mm + 2 * ROUNDING_MM, join_style="mitre", mitre_limit=2.0
    )
    rough = shapely.intersection(shapely.simplify(area, ROUNDING_MM), whole)
    reason = (
        f"{placed.piece.id} {'was cut and is spoilt' if placed.piece.id in spoilt else 'is cut'}"
    )
    return tuple(
        KeepOut(points=tuple(_rounded(x, y) for x, y in part.exterior.coords[:-1]), reason=reason)
        for part in shapely.get_parts(rough)
        if isinstance(part, Polygon)
    )


def _seams(stock: SheetStock, layout: SheetLayout) -> tuple[KeepOut, ...]:
    """Scarfs of a sheet that was glued up: a job file has no words for those of a begun sheet."""
    x, y = layout.length_mm, layout.width_mm
    bands = ((max(a, 0.0), min(b, x)) for a, b in stock.seam_bands_mm)
    return tuple(
        KeepOut(points=((a, 0.0), (b, 0.0), (b, y), (a, y)), reason=SCARF)
        for a, b in bands
        if a < b
    )


def _rounded(x: float, y: float) -> tuple[float, float]:
    return (round(x / ROUNDING_MM) * ROUNDING_MM, round(y / ROUNDING_MM) * ROUNDING_MM)


def begun_sheet_lines(stock: SheetStock) -> list[str]:
    """A table of a begun sheet."""
    lines = [
        "[[sheet]]",
        f"name = {toml_text(stock.name)}",
        f"material = {toml_text(stock.material)}",
        f"thickness = {toml_mm(stock.thickness_mm)}",
        f"length = {toml_mm(stock.length_mm)}",
        f"width = {toml_mm(stock.width_mm)}",
        "count = 1",
        f"grain = {toml_text(stock.grain.value)}",
        f"good_faces = {toml_text(stock.good_faces.value)}",
    ]
    if stock.edge_trim_mm > 0:
        lines.append(f"trim = {toml_mm(stock.edge_trim_mm)}")
    if stock.actual_thickness_mm is not None:
        lines.append(f"measured_thickness = {toml_mm(stock.actual_thickness_mm)}")
    if stock.outline:
        lines.append(f"outline = {toml_points(stock.outline)}")
    lines.append("keep_out = [")
    lines += [
        f"  {{ points = {toml_points(k.points)}, why = {toml_text(k.reason)} }},"
        for k in stock.keep_outs
    ]
    lines.append("]")
    return lines
