"""Lists: every piece, line and joint once, with the figures of the plan."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

from nestcut.errors import Finding, Severity, finding
from nestcut.model.job import Job
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.tolerances.lengths import LISTED_MM

Row = Mapping[str, str]

_SEAT = ("board mm", "along from mm", "along to mm", "across from mm", "across to mm")
"""Heads of where a rail lies in its board."""


def check_lists(folder: Path, verified: VerifiedPlan) -> list[Finding]:
    """Compare the cut list, the buying list and the list of joints with their plan."""
    plan = verified.plan
    rails = {p.id for p in plan.rail_pieces}
    found = _compared("cut-list.csv", _pieces(verified.job, plan), _cut_rows(folder, rails))
    found += _compared("buying-list.csv", _lines(plan), _buy_rows(folder))
    found += _compared("joints.csv", _joints(plan), _joint_rows(folder))
    return found


Figures = dict[str, tuple[tuple[str, ...], tuple[float, ...]]]
"""By name: words that must be equal, and figures that must agree."""


def _compared(file: str, wanted: Figures, written: list[tuple[str, Figures]]) -> list[Finding]:
    names = [name for name, _ in written]
    rows = {name: figures[name] for name, figures in written}
    found = [
        finding("RDB-003", Severity.ERROR, file, name=name)
        for name in sorted(set(names) | set(wanted))
        if names.count(name) != (name in wanted)
    ]
    for name, (words, numbers) in wanted.items():
        if name not in rows or any(f.values == (("name", name),) for f in found):
            continue
        have_words, have_numbers = rows[name]
        if (
            have_words != words
            or len(have_numbers) != len(numbers)
            or any(abs(a - b) > LISTED_MM for a, b in zip(have_numbers, numbers, strict=True))
        ):
            found.append(finding("RDB-004", Severity.ERROR, file, name=name))
    return found


def _read(folder: Path, file: str) -> list[Row]:
    with (folder / file).open(encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))


def _plain(text: str) -> str:
    """A text as the plan has it: an apostrophe keeps it from being run as a formula."""
    starts = ("=", "+", "-", "@", "\t", "\r", "\n")
    return text[1:] if text.startswith("'") and text[1:].lstrip(" ").startswith(starts) else text


def _number(text: str) -> float:
    return float(text) if text else 0.0


def _pieces(job: Job, plan: Plan) -> Figures:
    found: Figures = {}
    shapes = {p.id: p for p in plan.pieces}
    boards = {b.name for b in job.board_stocks}
    n_sheets = 0
    for layout in plan.sheets:
        # a board from which parts are sawn is a board to the builder
        if layout.stock in boards:
            place = f"Board {layout.board}"
        else:
            n_sheets += 1
            place = f"Sheet {n_sheets}"
        for placement in layout.placements:
            piece = shapes[placement.piece]
            found[piece.id] = (
                (place, layout.stock, piece.part, piece.material),
                (piece.thickness_mm,),
            )
    rails = {p.id: p for p in plan.rail_pieces}
    for board in plan.boards:
        for cut in board.cuts:
            rail = rails[cut.piece]
            sides = sorted((rail.length_mm, rail.width_mm))
            seat = (board.length_mm, cut.from_mm, cut.to_mm, cut.rip_from_mm, cut.rip_to_mm)
            found[rail.id] = (
                (f"Board {board.number}", board.stock, rail.part, rail.material),
                (rail.thickness_mm, *sides, *seat),
            )
    return found


def _cut_rows(folder: Path, rails: set[str]) -> list[tuple[str, Figures]]:
    rows: list[tuple[str, Figures]] = []
    for row in _read(folder, "cut-list.csv"):
        if row["from"] == "NOT PLACED":
            continue
        name = _plain(row["piece"])
        words = (row["from"], *(_plain(row[k]) for k in ("stock", "part", "material")))
        figures = [_number(row["thickness mm"])]
        if row["from"].startswith("Board") and name in rails:
            figures += sorted((_number(row["length mm"]), _number(row["width mm"])))
            figures += [_number(row[head]) for head in _SEAT]
        rows.append((name, {name: (words, tuple(figures))}))
    return rows


def _lines(plan: Plan) -> Figures:
    return {
        f"{b.stock}, {b.length_mm:.2f}": (
            (str(b.count), str(b.to_hand)),
            (b.width_mm, b.thickness_mm, b.price_minor * b.count / 100.0),
        )
        for b in plan.buy
    }


def _buy_rows(folder: Path) -> list[tuple[str, Figures]]:
    rows: list[tuple[str, Figures]] = []
    for row in _read(folder, "buying-list.csv"):
        if not row["kind"]:
            continue
        name = f"{_plain(row['stock'])}, {_number(row['length mm']):.2f}"
        figures = tuple(_number(row[k]) for k in ("width mm", "thickness mm", "together"))
        rows.append((name, {name: ((row["to buy"], row["to hand"]), figures)}))
    return rows


def _joints(plan: Plan) -> Figures:
    return {
        j.id: (
            (j.part, j.kind.value, *j.pieces, *(p.value if p else "" for p in j.planed)),
            (j.thickness_mm, j.at_mm, j.overlap_mm),
        )
        for j in plan.joints
    }


def _joint_rows(folder: Path) -> list[tuple[str, Figures]]:
    rows: list[tuple[str, Figures]] = []
    for row in _read(folder, "joints.csv"):
        name = _plain(row["name"])
        keys = ("part", "kind", "first piece", "second piece", "first planed", "second planed")
        words = tuple(_plain(row[k]) for k in keys)
        figures = tuple(_number(row[k]) for k in ("thickness mm", "middle at mm", "overlap mm"))
        rows.append((name, {name: (words, figures)}))
    return rows
