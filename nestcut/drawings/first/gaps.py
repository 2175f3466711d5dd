"""A drawing read for a first job: gaps that one setting closes are closed on trial and asked of.

Nothing is closed in silence: the job holds the setting as an open question, and each gap is ringed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, ReadOptions
from nestcut.drawings.tell import with_rings
from nestcut.errors import Finding
from nestcut.facts import Length

_GAPS = frozenset({"DXF-046", "DXF-047"})
_NOTHING = frozenset({"DXF-020", "DXF-022"})
"""What no longer holds, or is said better by the gaps themselves."""


def read_for_start(path: Path) -> Drawing:
    """Read a drawing; layers whose gaps close without changing anything else are read closed.

    Their settings are the ``layer_gaps`` of the drawing's options, in the unit that is assumed
    where only the builder knows it.

    Raises
    ------
    DrawingError
        If it can't be read.
    """
    drawing = read_drawing(path)
    gaps = _settings(drawing.findings)
    if not gaps:
        return drawing
    closed = read_drawing(path, ReadOptions(layer_gaps=tuple(sorted(gaps.items()))))
    if len(closed.outlines) + len(closed.offered) <= len(drawing.outlines) + len(drawing.offered):
        return drawing
    told = [f for f in drawing.findings if f.code in _GAPS and f.layer in gaps]
    told += [f for f in closed.findings if f.code not in _NOTHING or f.layer not in {*gaps, ""}]
    return replace(closed, findings=with_rings(tuple(map(_without_ring, told))))


def _settings(findings: Iterable[Finding]) -> dict[str, float]:
    """The setting of each layer that closes all its gaps and changes no other outline. [mm]"""
    gaps: dict[str, float] = {}
    unsafe = set()
    for item in findings:
        values = dict(item.values)
        least = values.get("least")
        if item.code in _GAPS and isinstance(least, Length):
            gaps[item.layer] = max(gaps.get(item.layer, 0.0), least.mm)
            if values.get("others"):
                unsafe.add(item.layer)
    return {layer: gap for layer, gap in gaps.items() if layer not in unsafe}


def _without_ring(item: Finding) -> Finding:
    return replace(item, where=item.where.partition(", ring ")[0])
