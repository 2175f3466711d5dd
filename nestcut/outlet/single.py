"""A single file, written where nothing stands."""

from __future__ import annotations

import os
from pathlib import Path

from nestcut.errors import InputError
from nestcut.outlet.faults import leads_nowhere, taken, unwritable
from nestcut.outlet.lock import alone_in
from nestcut.outlet.staging import clear_files, new_file
from nestcut.outlet.undisturbed import undisturbed


def check_single(target: Path, data: bytes | None = None) -> None:
    """Make sure that a file can be written anew.

    Raises
    ------
    InputError
        If anything stands there but a file that already holds ``data``.
    """
    try:
        if target.is_symlink() and not target.exists():
            raise InputError([leads_nowhere(target)])
        if os.path.lexists(target) and not _holds(target, data):
            raise InputError([taken(target)])
    except (OSError, ValueError) as error:
        fault = error if isinstance(error, OSError) else OSError(str(error))
        raise InputError([unwritable(target, fault)]) from None


def write_single(target: Path, data: bytes) -> None:
    """Write a file whole, where nothing stands; one that already holds the data is left.

    Raises
    ------
    InputError
        If something else stands there, or the file can't be written.
    """
    check_single(target, data)
    if os.path.lexists(target):
        return
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with alone_in(target.parent), undisturbed():
            clear_files(target.parent)
            beside = new_file(target.parent)
            try:
                beside.write_bytes(data)
                _name_it(beside, target)
            finally:
                beside.unlink(missing_ok=True)
    except FileExistsError:
        raise InputError([taken(target)]) from None
    except OSError as error:
        raise InputError([unwritable(target, error)]) from None


def replace_single(target: Path, data: bytes) -> Path:
    """Write a file of the builder's anew, as asked; the old one is kept beside it.

    Returns
    -------
    Path
        The old one: ``NAME~``, or ``NAME~2`` and so on where that is taken.

    Raises
    ------
    InputError
        If the folder can't be written; the file is then as it was.
    """
    try:
        with alone_in(target.parent), undisturbed():
            clear_files(target.parent)
            beside = new_file(target.parent)
            try:
                kept = _kept_beside(target)
                beside.write_bytes(data)
                beside.chmod(target.stat().st_mode & 0o777)
                beside.replace(target.resolve())
            finally:
                beside.unlink(missing_ok=True)
    except OSError as error:
        raise InputError([unwritable(target, error)]) from None
    return kept


def _kept_beside(target: Path) -> Path:
    """Copy a file to a name beside it that nothing has."""
    content = target.read_bytes()
    number = 1
    while True:
        kept = target.with_name(f"{target.name}~{number if number > 1 else ''}")
        try:
            with kept.open("xb") as file:
                file.write(content)
        except FileExistsError:
            number += 1
        else:
            return kept


def _name_it(beside: Path, target: Path) -> None:
    """Give a file its name, unless something has taken it meanwhile."""
    try:
        os.link(beside, target)
    except FileExistsError:
        raise
    except OSError:  # a disk without links (a stick): the name is taken first, then replaced
        target.touch(exist_ok=False)
        beside.replace(target)


def _holds(target: Path, data: bytes | None) -> bool:
    if data is None or not target.is_file() or target.stat().st_size != len(data):
        return False
    return target.read_bytes() == data
