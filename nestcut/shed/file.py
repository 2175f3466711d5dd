"""A book on disk: read, changed under a lock, never half written, every state kept.

Each state is a file ``NAME.states/0012.toml`` beside the book, made safe there before the book
itself is replaced by a file written whole.  A crash at any moment leaves the old book or the new.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from filelock import FileLock, Timeout

from nestcut.durable import put_whole
from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.shed.book import Book, parse_book
from nestcut.shed.edit import Change, changed_text, new_book_text

MAX_BOOK_BYTES = 5_000_000
"""No book is longer. [bytes]"""
PATIENCE_S = 10.0
"""How long one run waits for another. [s]"""
_STATE = re.compile(r"(\d{4,})\.toml")


def read_book(path: Path) -> Book:
    """Read a book; one that isn't there yet is empty.

    Raises
    ------
    InputError
        If the file can't be read, or holds anything that can't be understood: a damaged book is
        never written over.
    """
    try:
        book = parse_book(_bytes_of(path).decode("utf-8-sig"), path.as_posix())
    except UnicodeDecodeError:
        fault = "it is no UTF-8 text"
        raise InputError([_fault("SHD-001", path, fault=fault)]) from None
    except OSError as error:
        raise InputError([_no_use(path, error)]) from None
    if book.findings:
        raise InputError(book.findings)
    return book


def states_of(path: Path) -> tuple[int, ...]:
    """Return the numbers of the states that can be brought back, the oldest first."""
    folder = _folder(path)
    names = [_STATE.fullmatch(p.name) for p in folder.iterdir()] if folder.is_dir() else []
    return tuple(sorted(int(m[1]) for m in names if m))


def write_change(path: Path, decide: Callable[[Book], Change]) -> Book:
    """Change a book.

    Parameters
    ----------
    path
        The book; made if it isn't there.
    decide
        Is shown the book as it is, under the lock, and says what to do.

    Returns
    -------
    Book
        The book afterwards.

    Raises
    ------
    InputError
        If the book is damaged, held by another run for long, or can't be written; it is then as it
        was.
    """
    with _alone(path):
        book = read_book(path)
        change = decide(book)
        kept = _keep(path, book.text.encode(), book.change)
        number = max(kept, *states_of(path)) + 1
        made = changed_text(replace(book, change=kept), change, number)
        put_whole(_state(path, number), made.encode())
        put_whole(path, made.encode())
    return parse_book(made, path.as_posix())


def go_back(path: Path, to: int | None = None) -> Book:
    """Bring back the state before the last change, or the state numbered ``to``.

    A damaged book can be brought back as well; what it held is kept as a state of its own.

    Raises
    ------
    InputError
        If there is no such state, or the book can't be written.
    """
    with _alone(path):
        content = _bytes_of(path)
        book = parse_book(content.decode("utf-8-sig", errors="replace"), path.as_posix())
        last = max(states_of(path), default=0)
        usual = last if book.findings else book.before
        wanted = _state(path, usual if to is None else to)
        if not wanted.is_file():
            known = ", ".join(map(str, states_of(path))) or "none"
            raise InputError([_fault("SHD-007", path, known=known)])
        back = wanted.read_bytes()
        _keep(path, content, book.change)
        put_whole(path, back)
    return parse_book(back.decode("utf-8"), path.as_posix())


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Hold the book against other runs, and turn faults of the disk into findings."""
    try:
        _folder(path).mkdir(parents=True, exist_ok=True)
        with FileLock(_folder(path) / "lock", timeout=PATIENCE_S):
            yield
    except Timeout:
        raise InputError([_fault("SHD-008", path)]) from None
    except OSError as error:
        raise InputError([_no_use(path, error)]) from None


def _keep(path: Path, content: bytes, number: int) -> int:
    """Keep the book as it lies among the states; under a new number if it was edited by hand."""
    known = _state(path, number)
    if known.is_file() and known.read_bytes() != content:
        number = max(states_of(path)) + 1
    put_whole(_state(path, number), content)
    return number


def _bytes_of(path: Path) -> bytes:
    if not path.exists():
        return new_book_text().encode()
    if not path.is_file() or path.stat().st_size > MAX_BOOK_BYTES:
        raise InputError([_fault("SHD-006", path)])
    return path.read_bytes()


def _folder(path: Path) -> Path:
    return path.with_name(f"{path.name}.states")


def _state(path: Path, number: int) -> Path:
    return _folder(path) / f"{number:04}.toml"


def _fault(code: str, path: Path, **values: str) -> Finding:
    return finding(code, Severity.ERROR, path.as_posix(), **values)


def _no_use(path: Path, error: OSError) -> Finding:
    return _fault("SHD-009", path, reason=error.strerror or str(error))
