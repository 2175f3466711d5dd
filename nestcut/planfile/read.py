"""The text of plan.json back to a plan, or findings that say what is wrong with it."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from cattrs import BaseValidationError, transform_error

from nestcut.errors import Finding, PlanFileError, Severity, finding
from nestcut.facts import Fact
from nestcut.model.held import Held
from nestcut.model.joint import Joint
from nestcut.model.otherwise import Otherwise
from nestcut.model.part import SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import (
    BoardCut,
    BoardLayout,
    Bound,
    BuyLine,
    Counted,
    Delivery,
    Free,
    Offcut,
    Plan,
    Reserve,
    SheetLayout,
    StopReason,
    Unplaced,
)
from nestcut.model.pose import Lie, Placement
from nestcut.model.stock import KeepOut
from nestcut.planfile.codec import converter, finite_number, read_fact, whole_number
from nestcut.planfile.faults import plan_fault
from nestcut.planfile.write import FORMAT, VERSION
from nestcut.search.settings import Effort
from nestcut.words import Speech, tell, tell_fact


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanText:
    """A plan as read, with what it says of its job, and the whole of the file as it stands."""

    plan: Plan
    job_name: str
    job_file: str
    job_sha256: str
    kerf_mm: float
    gap_mm: float
    stock: Held
    """What the layouts are cut from, as the job then had it; empty in older files."""
    document: dict[str, Any]


MOST_ITEMS = 10_000
"""Of a list at a plan's top: a job has a thousand pieces at most. [-]"""


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
        raise PlanFileError([plan_fault("PLAN-001", file, reason=str(error))]) from None
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise PlanFileError([plan_fault("PLAN-002", file, reason="not a nestcut plan file")])
    if document.get("version") != VERSION:
        shown = document.get("version")
        reason = f"version {shown!r} of the plan file is not known here"
        raise PlanFileError([plan_fault("PLAN-002", file, reason=reason)])
    for key, held in document.items():
        if isinstance(held, list) and len(held) > MOST_ITEMS:
            told = finding("LIM-004", Severity.ERROR, key, count=len(held), limit=MOST_ITEMS)
            raise PlanFileError([replace(told, file=file)])
    try:
        return _read(document)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, ArithmeticError) as error:
        raise PlanFileError([plan_fault("PLAN-003", file, reason=str(error))]) from None
    except BaseValidationError as error:
        reasons = "; ".join(transform_error(error)[:3])
        raise PlanFileError([plan_fault("PLAN-003", file, reason=reasons)]) from None


def _read(document: dict[str, Any]) -> PlanText:
    decode = converter().structure
    pieces = tuple(
        decode({**p, "net": p["shape"] if p["net"] is None else p["net"]}, SheetPiece)
        for p in document["pieces"]
    )
    plan = Plan(
        seed=whole_number(document["seed"]),
        effort=Effort(document["effort"]).value,
        workers=_workers(document["workers"]),
        seconds_limit=None if document["seconds"] is None else finite_number(document["seconds"]),
        stopped_by=StopReason(document["stopped_by"]),
        pieces=pieces,
        rail_pieces=tuple(decode(p, RailPiece) for p in document["rail_pieces"]),
        sheets=_numbered(document),
        boards=tuple(_board(b) for b in document["boards"]),
        joints=tuple(_joint(j) for j in document["joints"]),
        unplaced=tuple(
            Unplaced(piece=u["piece"], reason=_fact(u["why"])) for u in document["unplaced"]
        ),
        bounds=tuple(_bound(name, b) for name, b in document["bounds"].items()),
        buy=tuple(_buy(b) for b in document["buy"]),
        findings=tuple(_finding_read(f) for f in document["findings"]),
        added_parts=tuple(decode(p, SheetPart) for p in document["added_parts"]),
        already_cut=tuple(str(p) for p in document.get("already_cut", ())),
        notes=tuple(_fact(n) for n in document["notes"]),
        deliveries=tuple(
            Delivery(supplier=str(d["supplier"]), fee_minor=round(finite_number(d["fee"]) * 100))
            for d in document.get("deliveries", ())
        ),
        reserves=tuple(_reserve(r) for r in document.get("reserves", ())),
        held=decode(document.get("held", {}), Held),
        otherwise=decode(document.get("otherwise", {}), Otherwise),
        continues=str(document.get("continues", "")),
    )
    job = document["job"]
    return PlanText(
        plan=plan,
        job_name=str(job["name"]),
        job_file=str(job["file"]),
        job_sha256=str(job.get("says", job["sha256"])),
        kerf_mm=finite_number(document["kerf_mm"]),
        gap_mm=finite_number(document["gap_mm"]),
        stock=decode(document.get("stock", {}), Held),
        document=document,
    )


def _workers(value: Any) -> int:
    number = whole_number(value)
    if number < 1:
        raise ValueError(f"no plan is made by {number} workers")
    return number


def _joint(data: dict[str, Any]) -> Joint:
    """A joint's broken rules are put into words anew, as findings are."""
    told = {k: v for k, v in data.items() if k != "broken_rules"}
    joint: Joint = converter().structure({**told, "rule_findings": data["broken_rules"]}, Joint)
    for broken in joint.rule_findings:
        tell_fact(broken, Speech())
    return joint


def _fact(data: Any) -> Fact:
    """A fact that has its sentence; KeyError where it can't be told."""
    read = read_fact(data)
    tell_fact(read, Speech())
    return read


def _finding_read(data: dict[str, Any]) -> Finding:
    """A finding is put into words anew: what the file says of it is not believed.

    KeyError where it can't be told.
    """
    own = {key: value for key, value in data.items() if key not in {"message", "remedy"}}
    finding: Finding = converter().structure(own, Finding)
    tell(finding, Speech())
    return finding


def _reserve(data: dict[str, Any]) -> Reserve:
    """What became of a rectangle in reserve: a place, or why there is none."""
    free = None
    if "sheet" in data:
        free = Free(
            stock=str(data["stock"]),
            sheet=whole_number(data["sheet"]),
            from_mm=_points([data["from_mm"]])[0],
            to_mm=_points([data["to_mm"]])[0],
        )
    return Reserve(
        material=str(data["material"]),
        thickness_mm=finite_number(data["thickness_mm"]),
        free=free,
        given_up=_fact(data["why"]) if "why" in data else None,
    )


def _points(rows: list[list[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((finite_number(x), finite_number(y)) for x, y in rows)


def _numbered(document: dict[str, Any]) -> tuple[SheetLayout, ...]:
    """Sheets; in files before 28 November 2026 boards that parts are sawn from had no number."""
    boards = {b["name"] for b in document.get("stock", {}).get("boards", ())}
    last = len(document["boards"])
    sheets = []
    for data in document["sheets"]:
        sheet = _sheet(data)
        if "board" not in data and sheet.stock in boards:
            last += 1
            sheet = replace(sheet, board=last)
        sheets.append(sheet)
    return tuple(sheets)


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
        board=whole_number(data.get("board", 0)),
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
        blanks=tuple(_cut({**c, "piece": ""}) for c in data.get("blanks", ())),
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
        measure=Counted(data["measure"]),
        lower=finite_number(data["lower"]),
        used=finite_number(data["used"]),
        reason=_fact(data["why"]) if "why" in data else None,
        said=_fact(data["said"]) if "said" in data else None,
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
        over=whole_number(data.get("over", 0)),
        supplier=str(data.get("supplier", "")),
    )
