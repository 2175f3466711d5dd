"""The text of plan.json back to a plan, or findings that say what is wrong with it."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from cattrs import BaseValidationError, transform_error

from nestcut.errors import Finding, PlanFileError, Severity
from nestcut.model.joint import Joint
from nestcut.model.part import SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import (
    BoardCut,
    BoardLayout,
    Bound,
    BuyLine,
    Lie,
    Offcut,
    Placement,
    Plan,
    SheetLayout,
    StopReason,
    Unplaced,
)
from nestcut.model.stock import KeepOut
from nestcut.planfile.codec import converter, finite_number, whole_number
from nestcut.planfile.write import FORMAT, VERSION, layout_figures, placed_shape
from nestcut.tolerances import VERIFY_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanText:
    """A plan as read, with what it says of its job; ``findings`` are contradictions in the file."""

    plan: Plan
    job_name: str
    job_file: str
    job_sha256: str
    kerf_mm: float
    gap_mm: float
    checks: tuple[str, ...]
    findings: tuple[Finding, ...]


def parse_plan_json(text: str, file: str) -> PlanText:
    """Read a plan file.

    Raises
    ------
    PlanFileError
        If it's no plan file of a version known here, or a record in it is broken.
    """
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:  # also whole numbers of thousands of digits
        raise PlanFileError([_finding("PLAN-001", file, f"not a JSON file: {error}.")]) from None
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise PlanFileError([_finding("PLAN-002", file, "not a nestcut plan file.")])
    if document.get("version") != VERSION:
        shown = document.get("version")
        message = f"version {shown!r} of the plan file is not known here."
        raise PlanFileError([_finding("PLAN-002", file, message)])
    try:
        return _read(document)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, ArithmeticError) as error:
        message = f"a record is broken or missing: {error}."
        raise PlanFileError([_finding("PLAN-003", file, message)]) from None
    except BaseValidationError as error:
        reasons = "; ".join(transform_error(error)[:3])
        message = f"a record is broken: {reasons}."
        raise PlanFileError([_finding("PLAN-003", file, message)]) from None


def _read(document: dict[str, Any]) -> PlanText:
    decode = converter().structure
    pieces = tuple(
        decode({**p, "net": p["shape"] if p["net"] is None else p["net"]}, SheetPiece)
        for p in document["pieces"]
    )
    by_id = {p.id: p for p in pieces}
    plan = Plan(
        seed=whole_number(document["seed"]),
        effort=str(document["effort"]),
        workers=whole_number(document["workers"]),
        seconds_limit=None if document["seconds"] is None else finite_number(document["seconds"]),
        stopped_by=StopReason(document["stopped_by"]),
        pieces=pieces,
        rail_pieces=tuple(decode(p, RailPiece) for p in document["rail_pieces"]),
        sheets=tuple(_sheet(s) for s in document["sheets"]),
        boards=tuple(_board(b) for b in document["boards"]),
        joints=tuple(decode(j, Joint) for j in document["joints"]),
        unplaced=tuple(
            Unplaced(piece=u["piece"], reason=u["reason"]) for u in document["unplaced"]
        ),
        bounds=tuple(_bound(name, b) for name, b in document["bounds"].items()),
        buy=tuple(_buy(b) for b in document["buy"]),
        findings=tuple(_finding_read(f) for f in document["findings"]),
        added_parts=tuple(decode(p, SheetPart) for p in document["added_parts"]),
        already_cut=tuple(str(p) for p in document.get("already_cut", ())),
        notes=tuple(str(n) for n in document["notes"]),
    )
    job = document["job"]
    return PlanText(
        plan=plan,
        job_name=str(job["name"]),
        job_file=str(job["file"]),
        job_sha256=str(job["sha256"]),
        kerf_mm=finite_number(document["kerf_mm"]),
        gap_mm=finite_number(document["gap_mm"]),
        checks=tuple(str(c) for c in document["checks"]),
        findings=(
            *_contradictions(document, by_id, plan),
            *_false_figures(document, by_id, plan),
        ),
    )


def _finding_read(data: dict[str, Any]) -> Finding:
    """A finding with values is put into words anew; what the file says of it is not believed."""
    finding: Finding = converter().structure(data, Finding)
    return replace(finding, message="", remedy="") if finding.values else finding


def _points(rows: list[list[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((finite_number(x), finite_number(y)) for x, y in rows)


def _sheet(data: dict[str, Any]) -> SheetLayout:
    return SheetLayout(
        stock=data["stock"],
        number=whole_number(data["number"]),
        length_mm=finite_number(data["length_mm"]),
        width_mm=finite_number(data["width_mm"]),
        thickness_mm=finite_number(data["thickness_mm"]),
        outline=None if data["outline"] is None else _points(data["outline"]),
        edge_trim_mm=finite_number(data["edge_trim_mm"]),
        end_trim_mm=finite_number(data["end_trim_mm"]),
        keep_outs=tuple(
            KeepOut(points=_points(points), reason=reason)
            for points, reason in zip(data["keep_out"], data["keep_out_reasons"], strict=True)
        ),
        spent=tuple(
            KeepOut(points=_points(k["points"]), reason=str(k["why"]))
            for k in data.get("spent", ())
        ),
        placements=tuple(
            Placement(
                piece=p["piece"],
                lie=Lie.FACE_DOWN if p["face_down"] is True else Lie.FACE_UP,
                turn_deg=finite_number(p["turn_deg"]),
                shift_mm=(finite_number(p["shift_mm"][0]), finite_number(p["shift_mm"][1])),
            )
            for p in data["placements"]
        ),
        offcuts=tuple(
            Offcut(from_mm=_points([a])[0], to_mm=_points([b])[0]) for a, b in data["offcuts"]
        ),
    )


def _board(data: dict[str, Any]) -> BoardLayout:
    return BoardLayout(
        stock=data["stock"],
        number=whole_number(data["number"]),
        length_mm=finite_number(data["length_mm"]),
        width_mm=finite_number(data["width_mm"]),
        thickness_mm=finite_number(data["thickness_mm"]),
        cuts=tuple(_cut(c) for c in data["cuts"]),
        spent=tuple(_cut(c) for c in data.get("spent", ())),
    )


def _cut(data: dict[str, Any]) -> BoardCut:
    return BoardCut(
        piece=data["piece"],
        from_mm=finite_number(data["from_mm"]),
        to_mm=finite_number(data["to_mm"]),
        rip_from_mm=finite_number(data["rip_from_mm"]),
        rip_to_mm=finite_number(data["rip_to_mm"]),
    )


def _bound(name: str, data: dict[str, Any]) -> Bound:
    return Bound(
        name=name,
        measure=data["measure"],
        lower=finite_number(data["lower"]),
        used=finite_number(data["used"]),
        reason=data["reason"],
    )


def _buy(data: dict[str, Any]) -> BuyLine:
    return BuyLine(
        stock=data["stock"],
        count=whole_number(data["count"]),
        price_minor=round(finite_number(data["price"]) * 100),
        length_mm=finite_number(data["length_mm"]),
        width_mm=finite_number(data["width_mm"]),
        thickness_mm=finite_number(data["thickness_mm"]),
        to_hand=whole_number(data["to_hand"]),
    )


def _contradictions(
    document: dict[str, Any], pieces: dict[str, SheetPiece], plan: Plan
) -> tuple[Finding, ...]:
    """Outlines in the file that aren't where turn and shift put the piece."""
    found: list[Finding] = []
    for data, layout in zip(document["sheets"], plan.sheets, strict=True):
        for written, placement in zip(data["placements"], layout.placements, strict=True):
            piece = pieces.get(placement.piece)
            if piece is None:
                continue  # the verifier names pieces that nobody knows
            shape = placed_shape(piece, placement)
            rings = [(written["outline"], shape.outline.points)]
            rings += list(zip(written["holes"], (h.points for h in shape.holes), strict=False))
            same = (
                len(written["holes"]) == len(shape.holes)
                and written["hand"] == piece.hand
                and written["part"] == piece.part
                and all(_same_points(a, b) for a, b in rings)
            )
            if not same:
                where = f"sheet {layout.number}, {placement.piece}"
                message = "its outline is not where its turn and shift put it."
                found.append(_finding("PLAN-004", where, message))
    return tuple(found)


_FIGURES_AGREE = 2e-6
"""Shares are written to six places."""


def _false_figures(
    document: dict[str, Any], pieces: dict[str, SheetPiece], plan: Plan
) -> tuple[Finding, ...]:
    """Areas, shares and sums in the file that aren't those of its own layouts and prices."""
    known = {*pieces, *(p.id for p in plan.rail_pieces)}
    placed = {p.piece for s in plan.sheets for p in s.placements}
    if not {*placed, *(c.piece for b in plan.boards for c in b.cuts)} <= known:
        return ()  # the verifier names pieces that nobody knows
    sheets, boards, usage = layout_figures(plan)
    compared: list[tuple[str, dict[str, Any], dict[str, Any]]] = []
    for what, key, rows in (("sheet", "sheets", sheets), ("board", "boards", boards)):
        for data, row in zip(document[key], rows, strict=True):
            figures: dict[str, Any] = {k: row[k] for k in ("used_mm2", "used", "usage") if k in row}
            compared.append((f"{what} {row['number']}", data, figures))
    compared.append(("usage", document["usage"], usage))
    for data, line in zip(document["buy"], plan.buy, strict=True):
        total = line.price_minor * line.count / 100
        compared.append((f"buy, {line.stock}", data, {"total": total}))
    found: list[Finding] = []
    for where, data, figures in compared:
        wrong = [k for k, figure in figures.items() if not _same_figure(data[k], figure)]
        if wrong:
            message = f"{', '.join(wrong)} is not what its own layouts and prices give."
            found.append(_finding("PLAN-004", where, message))
    return tuple(found)


def _same_figure(written: Any, figure: Any) -> bool:
    if written is None or figure is None:
        return written is figure
    tolerance = max(_FIGURES_AGREE, 1e-9 * abs(figure))
    return bool(abs(finite_number(written) - finite_number(figure)) <= tolerance)


def _same_points(written: list[list[float]], points: tuple[tuple[float, float], ...]) -> bool:
    return len(written) == len(points) and all(
        abs(a[0] - b[0]) <= VERIFY_MM and abs(a[1] - b[1]) <= VERIFY_MM
        for a, b in zip(written, points, strict=True)
    )


def _finding(code: str, where: str, message: str) -> Finding:
    return Finding(
        code=code,
        severity=Severity.ERROR,
        where=where,
        message=message,
        remedy="Make the plan again with 'nestcut plan'.",
    )
