"""A place for compiled kernels where neither the package nor the user's own folder can be written.

numba refuses to compile for a cache without a place; a plan is worth more than a cache.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterable
from pathlib import Path

import numba

_SETTING = "NUMBA_CACHE_DIR"


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
