"""What is asked of one outline: whether it is half a part, and what closed lines inside it are."""

from __future__ import annotations

from nestcut.drawings.first.usual_stock import comment
from nestcut.drawings.records import DrawnOutline
from nestcut.words import Speech, tell_fact

HALVES = '"mirror" makes it whole, "no" takes it as drawn'
HOLES = '"cut" if a hole, "leave" if only drawn on the part'


def why_half(outline: DrawnOutline) -> str:
    """Say what speaks for half a part."""
    if outline.half_of is None:
        return "half a part, as its label says?"
    return f"half a part? {comment(outline.half_of.reason)}"


def if_no_half(outline: DrawnOutline) -> str:
    """Say how an outline that is open at its centre line is taken if it is no half."""
    half = outline.half_of
    is_open = half is not None and half.must_be_mirrored
    return ", closed by a straight line between its ends" if is_open else ""


def why_doubt(outline: DrawnOutline) -> str:
    """Say which lines may be no holes, and the first reason."""
    names = ", ".join(d.name for d in outline.doubts[:6])
    reason = tell_fact(outline.doubts[0].reasons[0], Speech())
    return f"is {names} a hole? {comment(reason)}"
