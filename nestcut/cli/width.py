"""Long lines on a terminal: broken between words, what belongs together below itself."""

from __future__ import annotations

import re
import shutil
from typing import TextIO

import click

_WIDE_UNKNOWN = (80, 24)
"""Columns and lines of a terminal that doesn't say its size. [characters]"""
_COLUMN = re.compile(r"^ +(?:-> )?| {2,}")
_HANGS_WITHIN = 0.7
"""What follows a column further right than this share of a line has no room below itself. [-]"""
_DEEPER = "    "


def columns() -> int:
    """Return how wide the terminal is. [characters]"""
    return shutil.get_terminal_size(_WIDE_UNKNOWN).columns


def fitted(text: str, stream: TextIO) -> str:
    """Return a text as a stream takes it: lines are broken for a terminal alone.

    Whatever else reads them finds each line whole.
    """
    if not stream.isatty():
        return text
    return "\n".join(broken(line, columns()) for line in text.split("\n"))


def broken(line: str, wide: int) -> str:
    """Return a line in several, none wider than the terminal but for words that are.

    Parameters
    ----------
    line
        A line, perhaps with colours.
    wide
        How many characters a line has room for.
    """
    bare = click.unstyle(line)
    if len(bare) <= wide:
        return line
    starts = [m.end() for m in _COLUMN.finditer(bare) if m.end() <= _HANGS_WITHIN * wide]
    below = " " * starts[-1] if starts and starts[-1] >= len(_DEEPER) else _DEEPER
    lines = [""]
    for word in re.split(r"(?<=\S) ", line):
        longer = f"{lines[-1]} {word}" if lines[-1].strip() else lines[-1] + word
        if lines[-1].strip() and len(click.unstyle(longer)) > wide:
            lines.append(below + word.lstrip(" "))
        else:
            lines[-1] = longer
    return "\n".join(lines)
