"""One run at a time writes into a folder."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from nestcut.errors import InputError
from nestcut.outlet.faults import busy
from nestcut.outlet.undisturbed import undisturbed

PATIENCE_S = 20.0
"""How long one run waits while another writes into the same folder. [s]"""
LOCK = ".nestcut-lock"
"""Name of the lock file."""


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Hold a folder against other runs.

    The lock is the system's, so a killed run holds nothing; the lock file is taken away while it is
    still held (whoever waits for it sees that and takes a new one).

    Raises
    ------
    InputError
        If another run holds it for long.
    """
    path = folder / LOCK
    lock = FileLock(path, timeout=PATIENCE_S)
    try:
        lock.acquire()
    except Timeout:
        raise InputError([busy(folder)]) from None
    try:
        yield
    finally:
        with undisturbed():
            path.unlink(missing_ok=True)
            lock.release()
