"""Findings about places to write."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Names
from nestcut.gate import plain_line

SHOWN = 5
"""So many names are shown; the rest is counted."""
SHOWN_SIGNS = 200
"""So much of a long path is shown."""


def shown(names: Sequence[str]) -> Names:
    """Return the first names; the rest is counted."""
    more = len(names) - SHOWN
    return Names((*names[:SHOWN], f"and {more} more") if more > 0 else tuple(names))


def where(place: Path) -> str:
    """Return a path as it is shown: a very long one cut, and nothing that steers a terminal."""
    text = plain_line(str(place))
    return text if len(text) <= SHOWN_SIGNS else f"{text[:SHOWN_SIGNS]}..."


def reason_of(error: OSError) -> str:
    """Return what the system says, in a few words."""
    return error.strerror or str(error) or type(error).__name__


def unwritable(place: Path, error: OSError) -> Finding:
    """The place can't be written."""
    return finding("OUT-001", Severity.ERROR, where(place), reason=reason_of(error))


def taken(place: Path) -> Finding:
    """There is a file under this name that isn't ours."""
    return finding("OUT-002", Severity.ERROR, where(place))


def in_the_way(folder: Path, names: Sequence[str]) -> Finding:
    """Things stand where papers would go, and the folder's register doesn't vouch for them."""
    return finding("OUT-003", Severity.ERROR, where(folder), names=shown(names))


def no_folder(place: Path) -> Finding:
    """There is something here that isn't a folder."""
    return finding("OUT-011", Severity.ERROR, where(place))


def leads_nowhere(place: Path) -> Finding:
    """A link that leads nowhere."""
    return finding("OUT-012", Severity.ERROR, where(place))


def working_folder(place: Path) -> Finding:
    """The folder is the one that is worked in, or one above."""
    return finding("OUT-013", Severity.ERROR, where(place), path=(place / "result").as_posix())


def busy(folder: Path) -> Finding:
    """Another run is writing into the folder."""
    return finding("OUT-005", Severity.ERROR, where(folder))
