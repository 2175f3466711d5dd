"""Drawings and pictures in a folder of the builder's choice, with a register of their own."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path

from nestcut.cli.talk import show_findings
from nestcut.door.papers import Papers, write_folder

DRAWN = Papers(
    register="nestcut-files.json",
    form="nestcut files",
    names=re.compile(r"[^/]+\.(svg|png|dxf|csv|html)"),
)
"""Drawings of earlier runs stay until they are drawn again."""
_MATTER = json.dumps({"format": DRAWN.form, "version": 1})


def write_drawings(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write drawings, over none but our own.

    Raises
    ------
    InputError
        If something else stands in the way, or the folder can't be written.
    """

    def fill(made: Path) -> None:
        for name, content in files.items():
            (made / name).write_bytes(content)

    if files:
        show_findings(write_folder(folder, DRAWN, fill, _MATTER).findings)
