"""Files as they come in: plain files only, of a bounded size, read whole or refused."""

from __future__ import annotations

import codecs
import os
import stat
from enum import StrEnum
from pathlib import Path

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.gate.signs import plain_line


class FileKind(StrEnum):
    """What a file is wanted for."""

    JOB = "job file"
    DRAWING = "drawing"
    PLAN = "plan file"
    TICKS = "file of ticks"
    READINGS = "table of readings"


MAX_BYTES = {
    FileKind.JOB: 5_000_000,
    FileKind.DRAWING: 64_000_000,
    FileKind.PLAN: 50_000_000,
    FileKind.TICKS: 5_000_000,
    FileKind.READINGS: 1_000_000,
}
"""Far above what a boat needs: a larger file is refused, never cut short. [bytes]"""

_SHOWN_SIGNS = 200
"""So much of a long path is shown."""


def read_file(path: Path, kind: FileKind) -> bytes:
    """Read a file whole.

    Raises
    ------
    InputError
        If it isn't there, isn't a plain file (a pipe or a device has no end), is too large, or
        can't be read.
    """
    try:
        number = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(number, "rb") as file:
            if not stat.S_ISREG(os.fstat(number).st_mode):
                raise InputError([_refusal("FIL-002", path, kind=kind.value)])
            content = file.read(MAX_BYTES[kind] + 1)
    except IsADirectoryError:
        raise InputError([_refusal("FIL-004", path, kind=kind.value)]) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError([_refusal("FIL-001", path, kind=kind.value, reason=reason)]) from None
    if len(content) > MAX_BYTES[kind]:
        megabytes = MAX_BYTES[kind] // 1_000_000
        raise InputError([_refusal("FIL-003", path, kind=kind.value, megabytes=megabytes)])
    return content


def read_text(path: Path, kind: FileKind) -> str:
    """Read a file of UTF-8 text; a byte-order mark is passed over.

    Raises
    ------
    InputError
        As :func:`read_file`, or if it is no such text.
    """
    try:
        return read_file(path, kind).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        place = error.start + 1
        raise InputError([_refusal("FIL-005", path, kind=kind.value, place=place)]) from None


def is_wide(content: bytes) -> bool:
    """Whether a text is written in two bytes a sign (UTF-16), as some programs save it."""
    start = content[:_LOOKED_AT]
    if start[:2] in {codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE}:
        return True
    halves = start[::2], start[1::2]
    zeros = [half.count(0) for half in halves]
    most = zeros.index(max(zeros))
    return zeros[1 - most] == 0 and 4 * zeros[most] >= 3 * max(len(halves[most]), 1)


_LOOKED_AT = 4096
"""So much of a file says how it is written. [bytes]"""


def is_plain_file(path: Path) -> bool:
    """Whether a plain file is there; a name that no system takes is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _refusal(code: str, path: Path, **values: str | int) -> Finding:
    where = plain_line(str(path))
    shown = where if len(where) <= _SHOWN_SIGNS else f"{where[:_SHOWN_SIGNS]}..."
    return finding(code, Severity.ERROR, shown, **values)
