"""Where in a job file a finding points at: its line, and the name of the table it is in.

Key paths count tables (``part[18].joint.kind``), which nobody wants to do in an editor.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.errors import Finding, InputError
from nestcut.gate import FileKind, read_text

_HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z_][\w-]*(?:\s*\.\s*[\w-]+)*)\s*\]\]?\s*(?:#.*)?$")
_STEP = re.compile(r"([A-Za-z_][\w-]*)(?:\[(\d+)\])?")
_MOST_NAMED = 200
"""Findings that are given a name: each costs a walk over the file. [-]"""
_NAME = re.compile(r"""(?:^|[{,\s])name\s*=\s*(?:"([^"]+)"|'([^']+)')""")


@dataclass(frozen=True, slots=True)
class Spot:
    """A line of a file and where in it to point, from 1, and the name of the table round it."""

    line: int
    name: str
    text: str = ""
    column: int = 1
    width: int = 1


def lines_of(path: Path) -> list[str]:
    """Return a job file's lines; none if it can't be read."""
    try:
        return read_text(path, FileKind.JOB).splitlines()
    except InputError:
        return []


def spot_of(where: str, lines: list[str]) -> Spot | None:
    """Find the line that a key path such as ``part[18].joint.kind`` stands for.

    The nearest line is given where the key itself isn't there; None where the table isn't.
    """
    first = _STEP.match(where)
    if first is None:
        return None
    steps = [(step[1], int(step[2] or 0)) for step in _STEP.finditer(where[first.end() :])]
    span = _table_span(first[1], int(first[2] or 1), lines)
    if span is None:
        return None
    met = (_NAME.search(span.of(k, lines)) for k in span.numbers)
    name = next((found[1] or found[2] for found in met if found), "")
    return _spot_in(where, steps, name, span, lines)


def named(findings: Iterable[Finding], lines: list[str]) -> list[Finding]:
    """Have findings at a key of a table with a name say that name: paper has no key paths.

    Those that stop a plan never come onto paper; of others no paper holds more than a few.
    """
    told, count = [], 0
    for f in findings:
        is_meant = not f.is_blocking and not f.about and "[" in f.where
        count += is_meant
        told.append(_named(f, lines) if is_meant and count <= _MOST_NAMED else f)
    return told


def _named(told: Finding, lines: list[str]) -> Finding:
    spot = spot_of(told.where, lines)
    return told if spot is None else replace(told, about=spot.name)


@dataclass(frozen=True, slots=True)
class _Span:
    """A stretch of the file, from a line and column up to another, both from 0."""

    start: int
    column: int
    end: int
    end_column: int

    @property
    def numbers(self) -> range:
        """Numbers of its lines."""
        return range(self.start, self.end + 1)

    def of(self, number: int, lines: list[str]) -> str:
        """What of a line belongs to it, other columns left blank; no remark behind #."""
        line = lines[number] if number < len(lines) else ""
        line = line[: len(_unquoted(line))]
        line = line[: self.end_column] if number == self.end else line
        return " " * self.column + line[self.column :] if number == self.start else line


def _table_span(table: str, number: int, lines: list[str]) -> _Span | None:
    """Where a table is written: below its heading, or within a list in braces."""
    starts = [k for k, line in enumerate(lines) if _header(line) == table]
    if number <= len(starts):
        start = starts[number - 1]
        end = next(
            (k for k in range(start + 1, len(lines)) if _is_other(lines[k], table)), len(lines)
        )
        return _Span(start, 0, end - 1, len(lines[end - 1]))
    whole = _Span(0, 0, len(lines) - 1, len(lines[-1])) if lines else None
    at = None if whole is None else _written(table, whole, lines)
    return None if at is None else _item(at, number, lines)


def _spot_in(
    where: str, steps: list[tuple[str, int]], name: str, span: _Span, lines: list[str]
) -> Spot:
    """Go down the steps of a key path, as far as they are written."""
    key, is_found = "", bool(steps)
    for key, number in steps:
        at = _written(key, span, lines)
        if at is None:
            is_found = False
            break
        item = _item(at, number, lines) if number else None
        span, is_found = (at, True) if item is None else (item, False)
    start = span.start
    if (cell := _CELL.search(where)) is not None:  # a row of a pasted table, or a cell of it
        row = int(cell[1]) - 1
        opened = re.search(r"(\'\'\'|\"\"\")(.*)$", lines[start])
        if opened is not None and not opened[2].strip():  # TOML drops the line break after it
            row += 1
        line = min(start + row, len(lines) - 1)
        return Spot(line + 1, name, *_pointed_cell(lines[line], int(cell[2]) if cell[2] else None))
    if not is_found and span.column:  # a table in braces, or one that hasn't the key
        shown = span.of(start, lines)[: span.column + _SHOWN]
        return Spot(
            start + 1, name, lines[start], span.column + 1, len(shown.rstrip()) - span.column
        )
    index = _INDEX.search(where)
    sought = key if is_found else ""
    pointed = _pointed(lines[start], sought, index and int(index[1]), span.column)
    return Spot(start + 1, name, *pointed)


def _written(key: str, span: _Span, lines: list[str]) -> _Span | None:
    """Where a key's value, or its own table, begins within a stretch."""
    table = re.compile(rf"\s*\[\[?[\w.\s-]*\.\s*{re.escape(key)}\s*\]")
    value = re.compile(rf"(?:^|[{{,\s]){re.escape(key)}\s*=")
    for number in span.numbers:
        line = span.of(number, lines)
        if table.match(line):
            return _Span(number, 0, span.end, span.end_column)
        if line.lstrip().startswith("["):
            continue
        if (found := value.search(line)) is not None:
            column = found.start() + (0 if line[found.start()] == key[0] else 1)
            return _Span(number, column, span.end, span.end_column)
    return None


def _item(at: _Span, number: int, lines: list[str]) -> _Span | None:
    """The table in braces that stands at a place of a list; None where no such list begins."""
    depth, begun, count = 0, (0, 0), 0
    text = at.of(at.start, lines)
    column = text.find("=", at.column) + 1
    for k in range(at.start, at.end + 1):
        line = _unquoted(at.of(k, lines))
        for i in range(column if k == at.start else 0, len(line)):
            if line[i] == "{":
                depth += 1
                if depth == 1:
                    begun, count = (k, i), count + 1
            elif line[i] == "}":
                depth -= 1
                if depth == 0 and count == number:
                    return _Span(begun[0], begun[1], k, i + 1)
            elif line[i] == "]" and depth == 0:
                return None
    return None


def _unquoted(line: str) -> str:
    """A line whose quoted words are blanked out, and what is said behind #."""
    bare = re.sub(r"""\"[^"]*"|'[^']*'""", lambda m: "_" * len(m[0]), line)
    return bare.partition("#")[0]


_SHOWN = 40
"""Most columns of a table in braces that are pointed at."""
_INDEX = re.compile(r"\[(\d+)\]$")
_CELL = re.compile(r"\.table\[(\d+)\](?:\[(\d+)\])?$")
_CELLS = re.compile(r"[^\s|;]+(?: [^\s|;]+)*")
"""Cells of a pasted table: apart by |, ;, a tab or two blanks."""


def _pointed_cell(line: str, cell: int | None) -> tuple[str, int, int]:
    """The line of a pasted table, and where a cell of it is; 0 is the row's name."""
    cells = list(_CELLS.finditer(line))
    if cell is None or cell >= len(cells):
        return _pointed(line, "", None)
    return line, cells[cell].start() + 1, len(cells[cell][0])


def _pointed(line: str, key: str, item: int | None, begin: int = 0) -> tuple[str, int, int]:
    """The line, where the value of a key begins in it, and how long it is."""
    sought = re.compile(rf"(?<![\w-]){re.escape(key)}\s*=\s*")
    found = sought.search(line, begin) if key else None
    start = found.end() if found else len(line) - len(line.lstrip())
    value = _VALUE.match(line, start) if found else None
    if value is None:
        return line, start + 1, max(1, len(line.rstrip()) - start)
    if item is not None and value[0].startswith("["):
        items = list(_ITEM.finditer(line, start + 1, value.end()))
        if item < len(items):
            return line, items[item].start() + 1, len(items[item][0])
    return line, start + 1, len(value[0])


_VALUE = re.compile(r"""\[.*\]|\{.*\}|\"[^"]*"|'[^']*'|[^\s,}#]+""")
_ITEM = re.compile(r"""\[[^\]]*\]|\"[^"]*"|'[^']*'|[^\s,\[\]]+""")


def _header(line: str) -> str:
    found = _HEADER.match(line)
    return "".join(found[1].split()) if found else ""


def _is_other(line: str, table: str) -> bool:
    """Whether a line opens another table than this one's own sub-tables."""
    header = _header(line)
    return bool(header) and not header.startswith(f"{table}.")
