"""Where compiled kernels are kept, and when they are thrown away.

numba refuses to compile for a cache without a place; a plan is worth more than a cache.  And it
compiles a kernel anew when its own file has changed, but not when what it calls has, in another
file: after an update an old search would go on running.
"""

from __future__ import annotations

import atexit
import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

import numba

import nestcut.tolerances

_SETTING = "NUMBA_CACHE_DIR"

_NOTE = "kernels.sha256"
"""File beside compiled kernels: what they were compiled from."""


def ensure_cache(usual: Iterable[Path] | None = None) -> None:
    """Give numba a cache for this run alone, if none of the usual places can be written.

    The setting is left in the environment for the workers that this process starts.
    """
    places = _usual_places() if usual is None else usual
    if os.environ.get(_SETTING) or any(_is_writable(place) for place in places):
        return
    made = tempfile.mkdtemp(prefix="nestcut-")
    os.environ[_SETTING] = made
    setattr(numba.config, "CACHE_DIR", made)  # noqa: B010 - read when numba was loaded; untyped
    atexit.register(shutil.rmtree, made, ignore_errors=True)


def renew_cache(place: Path | None = None, sources: Iterable[Path] | None = None) -> None:
    """Throw away kernels that were compiled from other sources than today's.

    Parameters
    ----------
    place
        Folder of the cache; None: where numba keeps it.
    sources
        What kernels are made of; None: this room, and the numbers that it takes from tolerances.
    """
    folder = _place() if place is None else place
    today = _digest(_sources() if sources is None else sources)
    note = folder / _NOTE
    with suppress(OSError):
        if note.is_file() and note.read_text(encoding="utf-8") == today:
            return
        for compiled in folder.glob("*.nb[ic]"):
            compiled.unlink(missing_ok=True)
        folder.mkdir(parents=True, exist_ok=True)
        note.write_text(today, encoding="utf-8")


def _place() -> Path:
    @numba.njit(cache=True)
    def nothing() -> None:
        """Stand for the kernels: all of a folder are kept in one place."""

    return Path(nothing.stats.cache_path or _usual_places()[0])


def _sources() -> list[Path]:
    numbers = Path(nestcut.tolerances.__file__).parent
    return [*Path(__file__).parent.glob("*.py"), *numbers.glob("*.py")]


def _digest(sources: Iterable[Path]) -> str:
    whole = hashlib.sha256()
    for path in sorted(sources):
        data = path.read_bytes()
        whole.update(f"{path.name} {len(data)}\n".encode())
        whole.update(data)
    return whole.hexdigest()


def _usual_places() -> tuple[Path, ...]:
    """Where numba would look: beside the code, then in the user's own cache folder."""
    own = os.environ.get("XDG_CACHE_HOME") or Path("~/.cache").expanduser()
    return Path(__file__).parent / "__pycache__", Path(own) / "numba"


def _is_writable(place: Path) -> bool:
    try:
        place.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=place):
            return True
    except (OSError, RuntimeError):
        return False
