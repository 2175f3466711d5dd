"""The private place inside a folder where its next files are made.

It lies in the folder itself, so that a rename is all that is left to do.  A run that is killed
leaves it there; the next one knows it by its name, finishes it if it was whole, and clears it.
"""

from __future__ import annotations

import re
import secrets
import shutil
from pathlib import Path

from nestcut.outlet.register import Register, digest_of, read_register

_PREFIX = ".nestcut-new-"
_NAME = re.compile(re.escape(_PREFIX) + r"[0-9a-f]{16}")


def new_place(folder: Path) -> Path:
    """Make a private place in a folder."""
    place = folder / f"{_PREFIX}{secrets.token_hex(8)}"
    place.mkdir(mode=0o700)
    return place


def places_in(folder: Path) -> tuple[Path, ...]:
    """Return the private places in a folder; none of them is alive while the folder is locked."""
    if not folder.is_dir():
        return ()
    found = sorted(p for p in folder.iterdir() if _NAME.fullmatch(p.name))
    return tuple(p for p in found if p.is_dir() and not p.is_symlink())


def clear_place(place: Path) -> None:
    """Take a private place away, as far as that can be done."""
    shutil.rmtree(place, ignore_errors=True)


def new_file(folder: Path) -> Path:
    """Return the name of a private file in a folder, not yet made."""
    return folder / f"{_PREFIX}{secrets.token_hex(8)}"


def clear_files(folder: Path) -> None:
    """Take away the private files that killed runs have left in a folder."""
    for path in sorted(folder.iterdir()):
        if _NAME.fullmatch(path.name) and path.is_file() and not path.is_symlink():
            path.unlink()


def files_in(place: Path) -> tuple[str, ...]:
    """Return the names of all files in a private place."""
    return tuple(p.relative_to(place).as_posix() for p in sorted(place.rglob("*")) if p.is_file())


def begun(folder: Path, place: Path, register: str, form: str) -> Register | None:
    """Return the register of a place whose files were all made and may be moved; None otherwise.

    Parameters
    ----------
    folder
        Where the files go.
    place
        Where they were made.
    register
        Name of the register's file.
    form
        What kind of register it has to be.
    """
    read = read_register(place / register, form)
    if read is None:
        return None
    for name, digest in read.files.items():
        if digest not in {digest_of(place / name), digest_of(folder / name)}:
            return None
    return read
