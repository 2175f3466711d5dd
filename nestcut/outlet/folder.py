"""A folder of results that appears whole or not at all.

Everything is written into a folder beside the wanted one, which then takes its name.  Files of the
builder's own in an older folder of that name are carried over: nothing is lost.
"""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from nestcut.errors import Finding, InputError, Severity

_OURS = frozenset(
    {
        "plan.json",
        "cut-list.csv",
        "buying-list.csv",
        "joints.csv",
        "usage.csv",
        "marking-out.csv",
        "marking-out.pdf",
        "shop.pdf",
        "shop.html",
        "sheets",
        "boards",
    }
)
"""Names that a run writes; anything else in the folder is the builder's."""


def write_folder(target: Path, fill: Callable[[Path], None]) -> Path:
    """Have ``fill`` write into a folder beside ``target``, then put it in its place.

    Parameters
    ----------
    target
        The folder that shall hold the results.
    fill
        Writes all files into the folder it is given.

    Raises
    ------
    InputError
        If the folder can't be written; ``target`` is then as it was.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.exists() and not target.is_dir():
            raise NotADirectoryError(f"'{target}' is a file")
        made = Path(tempfile.mkdtemp(prefix=f".{target.name}.", dir=target.parent))
    except OSError as error:
        raise InputError([_unwritable(target, error)]) from None
    try:
        fill(made)
        made.chmod(0o755)
        _replace(target, made)
    except OSError as error:
        raise InputError([_unwritable(target, error)]) from None
    finally:
        if made.exists():
            shutil.rmtree(made, ignore_errors=True)
    return target


def _replace(target: Path, made: Path) -> None:
    if not target.exists():
        made.rename(target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}.old.", dir=target.parent))
    target.rename(old / target.name)
    try:
        made.rename(target)
    except OSError:
        (old / target.name).rename(target)
        raise
    for entry in sorted((old / target.name).iterdir()):
        if entry.name not in _OURS:
            entry.rename(target / entry.name)
    shutil.rmtree(old)


def _unwritable(target: Path, error: OSError) -> Finding:
    return Finding(
        code="OUT-001",
        severity=Severity.ERROR,
        where=str(target),
        message=f"the folder can't be written ({error.strerror or error}).",
        remedy="Choose another with --out, or make room.",
    )


def safe_name(text: str) -> str:
    """Turn a name into a file name that is the same on every system and leads nowhere else.

    >>> safe_name("6 mm ply / yard: B")
    '6-mm-ply-yard-B'
    """
    plain = re.sub(r"[^\w]+", "-", text, flags=re.UNICODE).strip("-_.")
    return plain[:60].rstrip("-") or "unnamed"
