"""The door for entries that give several parts or rails at once.

``[[tapered_box]]``, ``[[frames]]``, ``[[slats]]``, ``[[cleats]]`` and ``[[fillets]]`` stand beside
``[[part]]`` and ``[[rail]]`` in a job file.
"""

from __future__ import annotations

from collections.abc import Callable

from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.known import NOTHING_KNOWN, EntryParts, Known
from nestcut.shapes.read.box import read_tapered_box
from nestcut.shapes.read.frames import read_frames
from nestcut.shapes.read.rails import read_cleats, read_fillets, read_slats
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances import FLATNESS_MM

_BUILDERS: dict[str, Callable[[ShapeReader, float, Known], EntryParts]] = {
    "tapered_box": read_tapered_box,
    "frames": read_frames,
    "slats": read_slats,
    "cleats": read_cleats,
    "fillets": read_fillets,
}

SHAPE_ENTRIES = tuple(_BUILDERS)
"""Names of the entries this room reads."""

OFFSETS_ENTRY = "offsets"
"""Name of the table that :func:`nestcut.shapes.table.offsets.read_offset_table` reads."""

LINE_ENTRY = "line"
"""Name of the entries that :func:`nestcut.shapes.read.lines.build_line` reads."""


def build_entry(
    entry: str,
    reader: ShapeReader,
    flatness_mm: float = FLATNESS_MM,
    known: Known = NOTHING_KNOWN,
) -> EntryParts | None:
    """Build the parts of one entry.

    Parameters
    ----------
    entry
        One of :data:`SHAPE_ENTRIES`.
    reader
        Its table.
    flatness_mm
        How near flattened rings follow the true curves. [mm]
    known
        Shapes and lines that the entry may refer to.

    Returns
    -------
    EntryParts or None
        None if anything was at fault; the reader has recorded what.
    """
    try:
        parts = _BUILDERS[entry](reader, flatness_mm, known)
    except ShapeFaultError as fault:
        fault.record(reader)
        reader.close()
        return None
    reader.close()
    return parts if reader.is_sound else None
