"""What a plan tells beside its layouts, as far as the layouts and joints say it too.

A note that tells what lies in the plan (how many sheets, the largest offcut, where a part's joints
are) is worked out again.  What it tells of ways not taken is the search's word: no plan holds them.
"""

from __future__ import annotations

from nestcut.errors import Finding
from nestcut.facts import Area, Fact, Lengths, Value
from nestcut.model.job import Job
from nestcut.model.part import Hand, SheetPart
from nestcut.model.plan import Plan, SheetLayout
from nestcut.model.stock import SheetStock
from nestcut.tolerances.lengths import GIVEN_MM
from nestcut.verify.findings import objection

_OF_PLACES = {"JNT-301", "JNT-302", "JNT-303", "JNT-313"}
_BOTH_HANDS = "JNT-307"
_NO_JOINT = "JNT-304"
_OF_SHEETS = "SHT-101"
_KEPT = "SHT-102"
_SAME_MM2 = 1.0
"""An offcut's area may differ by so much: its corners are rounded when they are written. [mm2]"""


def check_notes(job: Job, plan: Plan) -> list[Finding]:
    """Check every note that tells what the plan itself holds."""
    parts = {p.name: p for p in job.sheet_parts}
    found: list[Finding] = []
    for note in plan.notes:
        values = dict(note.values)
        if note.code in _OF_PLACES and not _are_places(values, parts, plan):
            found.append(objection("VER-073", str(values["part"]), what="where its joints lie"))
        if note.code == _OF_SHEETS:
            found += _of_sheets(job, plan, values)
    return found


def _are_places(values: dict[str, Value], parts: dict[str, SheetPart], plan: Plan) -> bool:
    part, places = parts.get(str(values["part"])), values["places"]
    if part is None or not isinstance(places, Fact):
        return False
    if places.code != _BOTH_HANDS:
        hands = {j.hand for j in plan.joints if j.part == part.name}
        return all(_lie(places, part, hand, plan) for hand in hands or {None})
    told = dict(places.values)
    pairs = ((told["hand"], told["own"]), (told["twin"], told["theirs"]))
    return {h for h, _ in pairs} == set(Hand) and all(
        isinstance(at, Fact) and _lie(at, part, str(hand), plan) for hand, at in pairs
    )


def _lie(places: Fact, part: SheetPart, hand: str | None, plan: Plan) -> bool:
    """Whether all copies of one hand are joined at the places told."""
    at = () if places.code == _NO_JOINT else dict(places.values)["at"]
    wanted = at.mm if isinstance(at, Lengths) else ()
    copies: dict[int, list[float]] = {}
    for joint in plan.joints:
        if (joint.part, joint.hand) == (part.name, hand):
            copies.setdefault(joint.copy, []).append(joint.at_mm)
    rows = [sorted(own) for own in copies.values()] or [[]]
    return all(
        len(own) == len(wanted)
        and all(abs(a - b) <= GIVEN_MM for a, b in zip(own, wanted, strict=True))
        for own in rows
    )


def _of_sheets(job: Job, plan: Plan, values: dict[str, Value]) -> list[Finding]:
    """So many sheets, so large an offcut; better than what one pass takes."""
    name = values["name"]
    group = _group(job, str(name))
    if not group:
        return []  # of boards for curves: named by a fact
    layouts = [s for s in plan.sheets if s.stock in {g.name for g in group}]
    n, plain = values["n"], values["plain"]
    offcut, plain_offcut = (_area_mm2(values[key]) for key in ("offcut", "plain_offcut"))
    found = []
    # a sheet to hand that nothing but the reserve lies on is one more for the search
    counts = {len(layouts), len(layouts) + (job.cutting.reserve_mm is not None)}
    if n not in counts:
        found.append(objection("VER-073", str(name), what="how many sheets it takes"))
    # of sheets to hand no offcut is told where others are bought
    if offcut and min((abs(offcut - _largest_mm2(s)) for s in layouts), default=0.0) > _SAME_MM2:
        found.append(objection("VER-073", str(name), what="its largest offcut"))
    if (
        not isinstance(n, int)
        or not isinstance(plain, int)
        or (n, -offcut) > (plain, -plain_offcut)
    ):
        found.append(objection("VER-073", str(name), what="what one pass takes"))
    return found


def _group(job: Job, name: str) -> list[SheetStock]:
    own = [s for s in job.sheet_stocks if name in {s.name, f"{s.material} {s.thickness_mm:g} mm"}]
    return [
        s
        for s in job.sheet_stocks
        if own and (s.material, s.thickness_mm) == (own[0].material, own[0].thickness_mm)
    ]


def _area_mm2(told: Value) -> float:
    """Area that a fact tells; nothing where it says that there is no offcut worth keeping."""
    if not isinstance(told, Fact) or told.code != _KEPT:
        return 0.0
    area = dict(told.values)["area"]
    return area.mm2 if isinstance(area, Area) else 0.0


def _largest_mm2(layout: SheetLayout) -> float:
    return max(
        ((o.to_mm[0] - o.from_mm[0]) * (o.to_mm[1] - o.from_mm[1]) for o in layout.offcuts),
        default=0.0,
    )
