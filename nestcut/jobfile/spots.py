"""Where in a job file a finding points at: its line, and the name of the table it is in.

Key paths count tables (``part[18].joint.kind``), which nobody wants to do in an editor.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from nestcut.errors import InputError
from nestcut.gate import Kind, read_text

_HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z_][\w-]*(?:\s*\.\s*[\w-]+)*)\s*\]\]?\s*(?:#.*)?$")
_STEP = re.compile(r"([A-Za-z_][\w-]*)(?:\[(\d+)\])?")
_NAME = re.compile(r"""\s*name\s*=\s*(["'])(.+?)\1""")


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
        return read_text(path, Kind.JOB).splitlines()
    except InputError:
        return []


def spot_of(where: str, lines: list[str]) -> Spot | None:
    """Find the line that a key path such as ``part[18].joint.kind`` stands for.

    The nearest line is given where the key itself isn't there; None where the table isn't.
    """
    first = _STEP.match(where)
    if first is None:
        return None
    table, number = first[1], int(first[2] or 1)
    starts = [k for k, line in enumerate(lines) if _header(line) == table]
    if number > len(starts):
        return None
    start = starts[number - 1]
    end = next((k for k in range(start + 1, len(lines)) if _is_other(lines[k], table)), len(lines))
    keys = [step[1] for step in _STEP.finditer(where[first.end() :])]
    name = next((found[2] for line in lines[start:end] if (found := _NAME.match(line))), "")
    at = _line_of(keys, lines, start, end)
    if (cell := _CELL.search(where)) is not None:  # a row of a pasted table, or a cell of it
        row = int(cell[1]) - 1
        opened = re.search(r"(\'\'\'|\"\"\")(.*)$", lines[at])
        if opened is not None and not opened[2].strip():  # TOML drops the line break after it
            row += 1
        line = min(at + row, len(lines) - 1)
        return Spot(line + 1, name, *_pointed_cell(lines[line], int(cell[2]) if cell[2] else None))
    index = _INDEX.search(where)
    return Spot(
        at + 1, name, *_pointed(lines[at], keys[-1] if keys else "", index and int(index[1]))
    )


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


def _pointed(line: str, key: str, item: int | None) -> tuple[str, int, int]:
    """The line, where the value of a key begins in it, and how long it is."""
    found = re.search(rf"(?<![\w-]){re.escape(key)}\s*=\s*", line) if key else None
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


def _line_of(keys: list[str], lines: list[str], start: int, end: int) -> int:
    """The line where the deepest key that is written begins."""
    at = start
    for key in keys:
        opened = re.compile(rf"\s*(?:\[\[?[\w.\s-]*\.)?\s*{re.escape(key)}\s*(?:=|\]|$)")
        found = next((k for k in range(at, end) if opened.match(lines[k])), None)
        if found is None:
            break
        at = found
    return at
