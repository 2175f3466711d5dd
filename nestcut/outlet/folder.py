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

PLAN_FILE = "plan.json"
_OURS = re.compile(
    r"plan\.json|(cut-list|buying-list|joints|usage|marking-out)\.csv|(shop|marking-out|labels)\.pdf"
    r"|pattern-.*\.pdf|shop\.html|sheets/\d\d+-[^/]*\.(svg|dxf)|boards/\d\d+-[^/]*\.svg"
)
"""Files that a run writes or that belong to its plan; anything else in the folder is the builder's.
Labels and patterns of an older plan go with it: a stale pattern would be cut from."""
_OF_THE_PLAN = re.compile(r"labels\.pdf|pattern-.*\.pdf")
"""Files made from a plan one by one: they stay where the plan is still the same."""


def check_folder(target: Path) -> None:
    """Make sure, before a long search, that results can go into a folder.

    Raises
    ------
    InputError
        If ``target`` is a file, is the working folder itself, or holds files under our names that
        no plan of ours stands beside.
    """
    if target.exists() and not target.is_dir():
        raise InputError([_refused(target, "there is a file of this name.")])
    if target.exists() and target.resolve() in {Path.cwd(), *Path.cwd().parents}:
        raise InputError([_refused(target, "this is the folder you are working in.")])
    if target.is_dir() and not _is_ours(target):
        taken = sorted(
            f for f in _files(target) if _OURS.fullmatch(f) and not f.startswith("pattern-")
        )
        if taken:
            shown = ", ".join(taken[:3])
            raise InputError([_refused(target, f"it holds files that aren't ours ({shown}).")])


def _files(folder: Path) -> list[str]:
    return [p.relative_to(folder).as_posix() for p in sorted(folder.rglob("*")) if p.is_file()]


def _is_ours(folder: Path) -> bool:
    """Whether a plan of ours lies in the folder."""
    try:
        with (folder / PLAN_FILE).open("rb") as file:
            return b'"nestcut plan"' in file.read(200)
    except OSError:
        return False


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
    check_folder(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
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
    before = old / target.name
    is_same_plan = _plan_bytes(before) == _plan_bytes(target)
    for name in _files(before):
        if not _OURS.fullmatch(name) or (is_same_plan and _OF_THE_PLAN.fullmatch(name)):
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            (before / name).rename(target / name)
    shutil.rmtree(old)


def _plan_bytes(folder: Path) -> bytes:
    path = folder / PLAN_FILE
    return path.read_bytes() if path.exists() else b""


def _refused(target: Path, message: str) -> Finding:
    return Finding(
        code="OUT-003",
        severity=Severity.ERROR,
        where=str(target),
        message=message,
        remedy="Choose another folder with --out.",
    )


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
