"""A file that is replaced whole: written beside its place, made safe on the disk, renamed there."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def put_whole(path: Path, content: bytes) -> None:
    """Replace a file's content; a crash at any moment leaves the old one or the new one.

    A link is followed, and the mode of a file that stands there is kept.

    Raises
    ------
    OSError
        If the place can't be written; what stood there is as it was.
    """
    if path.is_symlink():
        path = path.resolve()
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            Path(name).chmod(path.stat().st_mode & 0o7777)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
