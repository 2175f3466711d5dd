"""The job file for what is left: the old one with new counts, begun sheets and pieces added.

The old file's text is kept line by line, comments and all.  What comes out is read again and
compared with what was meant; where the two differ, nothing is given out, and the changes are left
to the builder.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.model.part import Hand, RailPart, SheetPart
from nestcut.papers.rest.progress_file import CutSource, Progress
from nestcut.papers.rest.remaining import begun_sheet_lines, started_sheets
from nestcut.papers.rest.remaining_parts import LeftOfPart, left_of_parts, piece_tables
from nestcut.papers.rest.toml_words import one_line, toml_text
from nestcut.papers.view import PlanView

_HEADER = re.compile(r"\s*(\[\[?)\s*([A-Za-z_][\w-]*)((?:\s*\.\s*[\w-]+)*)\s*\]\]?\s*(?:#.*)?$")
_KINDS = ("sheet", "board", "part", "rail")
_REST = re.compile(r" - rest(?: (\d+))?$")


@dataclass(frozen=True, slots=True, kw_only=True)
class NextJob:
    """A new job file's text, and what is left for the builder to change in it."""

    text: str
    by_hand: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Block:
    """A table with its sub-tables, as lines; ``kind`` is empty before the first table."""

    kind: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What becomes of one table: ``changes`` for each that it turns into; none: it goes."""

    changes: tuple[dict[str, str | int], ...]
    offers: tuple[dict[str, str | int], ...] = ()
    why: str = ""


_AS_IT_IS = _Wanted(({},))


def next_job(old: str, view: PlanView, progress: Progress) -> NextJob:
    """Write the job file for what is left of a plan.

    Parameters
    ----------
    old
        Text of the job file that the plan was made from.

    Raises
    ------
    InputError
        If the old file is written in a way that can't be changed safely.
    """
    data = tomllib.loads(old)
    blocks = _blocks(old)
    wanted = _wanted_of_parts(view, progress) | _wanted_of_sheets(view, progress)
    counts = {kind: sum(b.kind == kind for b in blocks) for kind in _KINDS}
    if any(counts[kind] != len(data.get(kind, [])) for kind in _KINDS):
        raise InputError([_unsafe(view)])
    tables = {kind: iter(data.get(kind, [])) for kind in _KINDS}
    lines: list[str] = []
    meant: dict[str, list[dict[str, object]]] = {kind: [] for kind in _KINDS}
    for block in blocks:
        if block.kind == "job":
            lines += _changed(block.lines, {"name": _next_name(str(data["job"].get("name", "")))})
            continue
        if block.kind not in _KINDS:
            lines += block.lines
            continue
        table = next(tables[block.kind])
        made = wanted.get((block.kind, str(table.get("name", ""))), _AS_IT_IS)
        lines += _rewritten(block, made)
        meant[block.kind] += [{**table, **changes} for changes in made.changes]
    begun = started_sheets(view, progress)
    for stock in begun:
        lines += ["", *begun_sheet_lines(stock)]
    lines += piece_tables(view, progress)
    text = "\n".join(lines).rstrip() + "\n"
    _compare(text, meant, view)
    return NextJob(text=text, by_hand=tuple(_by_hand(view, progress, data)))


def _blocks(text: str) -> list[_Block]:
    """Cut a job file's text at its tables; comments above a table go with it."""
    blocks: list[_Block] = [_Block("", ())]
    waiting: list[str] = []
    for line in text.splitlines():
        found = _HEADER.match(line)
        if found is None:
            if line.lstrip().startswith("#") or not line.strip():
                waiting.append(line)
                continue
        elif not found[3]:
            blocks.append(_Block(found[2], ()))
        last = blocks[-1]
        blocks[-1] = replace(last, lines=(*last.lines, *waiting, line))
        waiting = []
    blocks[-1] = replace(blocks[-1], lines=(*blocks[-1].lines, *waiting))
    return blocks


def _wanted_of_parts(view: PlanView, progress: Progress) -> dict[tuple[str, str], _Wanted]:
    job = view.verified.job
    parts: dict[str, SheetPart | RailPart] = {p.name: p for p in job.sheet_parts}
    parts |= {r.name: r for r in job.rail_parts}
    made = {}
    for left in left_of_parts(view, progress):
        part = parts[left.part]
        kind = "rail" if isinstance(part, RailPart) else "part"
        made[kind, left.part] = _wanted_of_part(left, part)
    return made


def _wanted_of_part(left: LeftOfPart, part: SheetPart | RailPart) -> _Wanted:
    counts = dict(left.whole)
    if all(count == part.count for count in counts.values()):
        return _AS_IT_IS
    if not any(counts.values()):
        rest = "cut" if left.is_done else "cut but for what is a table of its own below"
        return _Wanted((), why=rest)
    few, most = min(counts.values()), max(counts.values())
    if few == most:
        return _Wanted(({"count": few},))
    more = next(hand for hand, count in left.whole if count == most)
    single: dict[str, str | int] = {"hand": _hand(more), "count": most - few}
    if few == 0:
        return _Wanted((single,))
    return _Wanted(({"count": few}, {"name": f"{left.part}, {_hand(more)}", **single}))


def _hand(hand: Hand | None) -> str:
    return hand.value if hand else "none"


def _wanted_of_sheets(view: PlanView, progress: Progress) -> dict[tuple[str, str], _Wanted]:
    """Begun sheets are no longer whole ones to hand; what was bought and isn't begun is offered."""
    begun = Counter(stock for kind, stock, _ in progress.started if kind is CutSource.SHEET)
    used = Counter(s.layout.stock for s in view.sheets)
    made = {}
    for stock in view.verified.job.sheet_stocks:
        if not begun[stock.name]:
            continue
        if stock.is_to_buy:
            spare = used[stock.name] - begun[stock.name]
            shed: dict[str, str | int] = {"name": f"{stock.name}, in the shed", "count": spare}
            offer = (shed,) if spare else ()
            made["sheet", stock.name] = _Wanted(({},), offers=offer)
        else:
            whole = int(stock.count or 0) - begun[stock.name]
            kept: tuple[dict[str, str | int], ...] = ({"count": whole},) if whole > 0 else ()
            made["sheet", stock.name] = _Wanted(kept, why="begun, see below")
    return made


def _rewritten(block: _Block, made: _Wanted) -> Iterator[str]:
    """A table once for each of its changes, or as comments where it goes."""
    if not made.changes:
        yield from _commented(block.lines, made.why)
    for k, changes in enumerate(made.changes):
        if k:
            yield ""
        yield from _changed(block.lines, changes)
    for offer in made.offers:
        yield ""
        head = "bought for the last plan and not begun; if so, take the marks away"
        first = next(k for k, line in enumerate(block.lines) if _HEADER.match(line))
        lines = _changed(block.lines[first:], offer)
        yield from _commented([line for line in lines if not _sets(line, "price")], head)


def _commented(lines: Sequence[str], why: str) -> Iterator[str]:
    is_told = False
    for line in lines:
        if not line.strip() or line.lstrip().startswith("#"):
            yield line
            continue
        if not is_told:
            yield f"# {why}:"
            is_told = True
        yield f"# {line}"


def _sets(line: str, key: str) -> bool:
    return re.match(rf"\s*{key}\s*=", line) is not None


def _changed(lines: Sequence[str], changes: dict[str, str | int]) -> list[str]:
    """The table's own lines with some keys set anew; sub-tables stay as they are."""
    made = list(lines)
    first = next(k for k, line in enumerate(made) if _HEADER.match(line))
    rest = (k for k, line in enumerate(made) if k > first and _HEADER.match(line))
    end = next(rest, len(made))
    for key, value in changes.items():
        shown = toml_text(value) if isinstance(value, str) else str(value)
        line = f"{key} = {shown}"
        at = next((k for k in range(first, end) if _sets(made[k], key)), None)
        if at is None:
            made.insert(first + 1, line)
            end += 1
        else:
            made[at] = line
    return made


def _compare(text: str, meant: dict[str, list[dict[str, object]]], view: PlanView) -> None:
    """Make sure that the new text says what was meant.

    Raises
    ------
    InputError
        If it doesn't.
    """
    try:
        read = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise InputError([_unsafe(view)]) from None
    for kind, tables in meant.items():
        found = read.get(kind, [])[: len(tables)]
        if found != tables:
            raise InputError([_unsafe(view)])


def _by_hand(
    view: PlanView, progress: Progress, data: dict[str, list[dict[str, object]]]
) -> Iterator[str]:
    """What the tables of the new file don't say by themselves."""
    names = {str(t.get("name", "")) for kind in ("part", "rail") for t in data.get(kind, [])}
    for left in left_of_parts(view, progress):
        is_touched = bool(left.begun) or left.is_done
        if left.part not in names and is_touched:
            yield f"'{one_line(left.part)}' comes from a table of several parts: change it there"
    boards = Counter(stock for kind, stock, _ in progress.started if kind is CutSource.BOARD)
    for stock, count in sorted(boards.items()):
        yield f"{count} of '{one_line(stock)}' begun: measure what is left, enter it as to hand"


def _next_name(name: str) -> str:
    """Name of the next job: results of the old one stay where they are."""
    found = _REST.search(name)
    if found is None:
        return f"{name} - rest"
    return f"{name[: found.start()]} - rest {int(found[1] or 1) + 1}"


def _unsafe(view: PlanView) -> Finding:
    return finding("TCK-006", Severity.ERROR, view.verified.job.file)
