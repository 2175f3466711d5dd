"""Whether the files of a folder of results belong together."""

from __future__ import annotations

from pathlib import Path

from nestcut.errors import Finding, Severity, finding
from nestcut.outlet.faults import shown
from nestcut.outlet.folder import Papers, half_way
from nestcut.outlet.register import read_register


def folder_state(folder: Path, papers: Papers) -> tuple[Finding, ...]:
    """Compare a folder's files with its register; nothing is written.

    An error tells of a stop that left papers of two plans, a warning of files that were changed.
    """
    stopped = half_way(folder, papers)
    if stopped:
        return stopped
    register = read_register(folder / papers.register, papers.form)
    files = {} if register is None else register.files
    other = sorted(name for name in files if register and not register.is_as_written(folder, name))
    if len(other) in {0, len(files)}:  # no paper at all, or none as written: a plan file on its own
        return ()
    return (finding("OUT-008", Severity.WARNING, str(folder), names=shown(other)),)
