"""What is left of a plan that is partly cut: sheets begun, and pieces still to make.

Written as tables for a job file, so that the builder sees and may change what the next plan starts
from: a sheet begun becomes one sheet to hand, with what is cut out of it as areas to keep out of.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon

from nestcut.model.part import Hand, SheetPart
from nestcut.model.plan import SheetLayout
from nestcut.model.stock import KeepOut, SheetStock
from nestcut.reports.progress_file import CutSource, Progress
from nestcut.reports.rows import PlacedPiece, PlanView, SheetView

ROUNDING_MM = 0.1
"""Step of the corner points; what is cut is taken larger by as much. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOfPart:
    """How much of a flat part is still to cut.

    ``whole`` counts copies of which nothing is cut, by hand; ``begun`` names the shares that are
    missing of copies cut in part.
    """

    part: str
    whole: tuple[tuple[Hand | None, int], ...]
    begun: tuple[str, ...]

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to cut."""
        return not self.begun and not any(count for _, count in self.whole)


def started_sheets(view: PlanView, progress: Progress) -> tuple[SheetStock, ...]:
    """Return every sheet from which something is cut, as it lies now: one to hand, no price."""
    begun = {(stock, number) for kind, stock, number in progress.started if kind is CutSource.SHEET}
    cut = {c.piece for c in progress.cut}
    kerf = view.verified.job.cutting.kerf_mm
    return tuple(
        _as_stock(sheet, sheet.stock, cut, kerf)
        for sheet in view.sheets
        if (sheet.layout.stock, sheet.layout.number) in begun
        and isinstance(sheet.stock, SheetStock)
    )


def left_of_parts(view: PlanView, progress: Progress) -> tuple[LeftOfPart, ...]:
    """Count what is still to cut of every flat part, in the job's order."""
    cut = {c.piece for c in progress.cut}
    pieces = view.verified.plan.pieces
    left = []
    for part in view.verified.job.sheet_parts:
        shares: dict[tuple[Hand | None, int], list[str]] = {}
        for piece in pieces:
            if piece.part == part.name:
                shares.setdefault((piece.hand, piece.copy), []).append(piece.id)
        whole = Counter(hand for (hand, _), ids in shares.items() if not cut & set(ids))
        begun = tuple(
            i for ids in shares.values() if cut & set(ids) for i in sorted(set(ids) - cut)
        )
        hands = sorted({hand for hand, _ in shares}, key=str)
        counted = tuple((hand, whole[hand]) for hand in hands)
        left.append(LeftOfPart(part=part.name, whole=counted, begun=begun))
    return tuple(left)


def remaining_text(view: PlanView, progress: Progress) -> str:
    """Return tables for a job file: sheets begun, and as comments what to change at the parts."""
    lines = [
        f"# What is left of '{_one_line(view.verified.job.name)}' after {len(progress.cut)} pieces "
        "were ticked as cut.",
        "# Put the sheets below into the job file, and change its parts as told. Boards begun are",
        "# not listed: measure what is left of them and enter it as lengths to hand.",
        "",
    ]
    for stock in started_sheets(view, progress):
        lines += [*_sheet_lines(stock), ""]
    parts = {p.name: p for p in view.verified.job.sheet_parts}
    for left in left_of_parts(view, progress):
        lines += _part_lines(left, parts[left.part])
    return "\n".join(lines).rstrip() + "\n"


def _as_stock(sheet: SheetView, stock: SheetStock, cut: set[str], kerf_mm: float) -> SheetStock:
    layout = sheet.layout
    gone = [p for p in sheet.placed if p.piece.id in cut]
    return SheetStock(
        name=f"{layout.stock}, no. {layout.number} begun",
        material=sheet.material,
        thickness_mm=layout.thickness_mm,
        length_mm=layout.length_mm,
        width_mm=layout.width_mm,
        count=1,
        outline=layout.outline,
        edge_trim_mm=layout.edge_trim_mm,
        keep_outs=(*layout.keep_outs, *(k for p in gone for k in _gone(p, kerf_mm, layout))),
        grain=stock.grain,
        good_faces=stock.good_faces,
        actual_thickness_mm=stock.actual_thickness_mm,
    )


def _gone(placed: PlacedPiece, kerf_mm: float, layout: SheetLayout) -> tuple[KeepOut, ...]:
    """The piece and the saw's way round it, within the sheet; its holes count as gone too."""
    whole = shapely.box(0.0, 0.0, layout.length_mm, layout.width_mm)
    area = Polygon(placed.shape.outline.points).buffer(
        kerf_mm + 2 * ROUNDING_MM, join_style="mitre", mitre_limit=2.0
    )
    rough = shapely.intersection(shapely.simplify(area, ROUNDING_MM), whole)
    reason = f"{placed.piece.id} is cut"
    return tuple(
        KeepOut(points=tuple(_rounded(x, y) for x, y in part.exterior.coords[:-1]), reason=reason)
        for part in shapely.get_parts(rough)
        if isinstance(part, Polygon)
    )


def _rounded(x: float, y: float) -> tuple[float, float]:
    return (round(x / ROUNDING_MM) * ROUNDING_MM, round(y / ROUNDING_MM) * ROUNDING_MM)


def _sheet_lines(stock: SheetStock) -> list[str]:
    lines = [
        "[[sheet]]",
        f"name = {_text(stock.name)}",
        f"material = {_text(stock.material)}",
        f"thickness = {_mm(stock.thickness_mm)}",
        f"length = {_mm(stock.length_mm)}",
        f"width = {_mm(stock.width_mm)}",
        "count = 1",
        f"grain = {_text(stock.grain.value)}",
        f"good_faces = {_text(stock.good_faces.value)}",
    ]
    if stock.edge_trim_mm > 0:
        lines.append(f"trim = {_mm(stock.edge_trim_mm)}")
    if stock.actual_thickness_mm is not None:
        lines.append(f"measured_thickness = {_mm(stock.actual_thickness_mm)}")
    if stock.outline:
        lines.append(f"outline = {_points(stock.outline)}")
    lines.append("keep_out = [")
    lines += [
        f"  {{ points = {_points(k.points)}, why = {_text(k.reason)} }}," for k in stock.keep_outs
    ]
    lines.append("]")
    return lines


def _part_lines(left: LeftOfPart, part: SheetPart) -> list[str]:
    """What to change at a part, as comments; nothing where nothing of it is cut."""
    name = _one_line(left.part)
    counts = dict(left.whole)
    if left.is_done:
        return [f"# part '{name}': all cut; take it out"]
    lines = []
    if any(count != part.count for count in counts.values()):
        few = min(counts.values())
        told = [f"{count} {hand.value}" if hand else str(count) for hand, count in left.whole]
        lines.append(f"# part '{name}': {' and '.join(told)} left of {part.count}")
        if len(counts) > 1 and few != max(counts.values()):
            more = next(h for h, c in left.whole if c == max(counts.values()))
            lines.append(
                f"#   as count = {few} pairs and a part of its own with hand = "
                f"{_text(more.value if more else 'none')}, count = {max(counts.values()) - few}"
            )
    lines += [
        f"#   {_one_line(piece)}: its other share is cut, this one isn't" for piece in left.begun
    ]
    return lines


def _points(points: tuple[tuple[float, float], ...]) -> str:
    return "[" + ", ".join(f"[{_mm(x)}, {_mm(y)}]" for x, y in points) + "]"


def _mm(length_mm: float) -> str:
    return f'"{length_mm:.4f}'.rstrip("0").rstrip(".") + ' mm"'


def _text(text: str) -> str:
    """A TOML basic string: JSON's, with the one control character more that TOML escapes."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _one_line(text: str) -> str:
    """A text that can't end its comment."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
