"""Points as SVG has them; the page turns y up."""

from __future__ import annotations

from typing import Any

Plain = dict[str, Any]
"""What goes to the page."""


def closed_path(points: Any) -> str:
    """Return a closed line, to a tenth of a millimetre."""
    return open_path(points) + "Z"


def open_path(points: Any) -> str:
    """Return a line, to a tenth of a millimetre."""
    return "M" + "L".join(f"{x:.1f},{y:.1f}" for x, y in points)
