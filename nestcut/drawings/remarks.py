"""Where a label seems to say something else than the job: told as a note, never taken."""

from __future__ import annotations

from dataclasses import replace

from nestcut.drawings.records import DrawnOutline
from nestcut.errors import Finding, Severity, finding
from nestcut.units import LengthError, parse_length_mm

_SAME_THICKNESS_MM = 0.4
"""Thickness names in inches and mm differ by this much and mean the same sheet (6 mm, 1/4 in)."""


def label_remarks(
    outline: DrawnOutline, *, file: str, count: int, thickness_mm: float, is_pair: bool
) -> tuple[Finding, ...]:
    """Return notes where the outline's label and the part's entry don't agree.

    Parameters
    ----------
    outline
        The outline as picked.
    file
        Name of its drawing.
    count, thickness_mm, is_pair
        What the job says of the part; a pair counts twice. [-, mm, -]
    """
    notes = []
    pieces = {count, 2 * count} if is_pair else {count}
    for said in outline.suggestions:
        if said.count is not None and said.count not in pieces:
            notes.append((f"{said.count} of it", f"count {count}"))
        thick = _thickness_mm(said.thickness)
        if thick is not None and abs(thick - thickness_mm) > _SAME_THICKNESS_MM:
            notes.append((said.thickness, f"{thickness_mm:g} mm"))
        if said.hand and not is_pair:
            notes.append((said.hand, "no pair"))
    where = f"{file}, '{outline.name}'"
    return tuple(
        replace(
            finding("DXF-057", Severity.NOTE, where, said=label, asked=job),
            file=file,
            layer=outline.layer,
            handle=outline.handles[0] if outline.handles else "",
        )
        for label, job in notes
    )


def _thickness_mm(text: str) -> float | None:
    try:
        return float(parse_length_mm(text)) if text else None
    except LengthError:
        return None
