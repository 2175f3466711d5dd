"""Where a label seems to say something else than the job: told as a note, never taken."""

from __future__ import annotations

from dataclasses import replace

from nestcut.drawings.records import DrawnOutline
from nestcut.drawings.sorting.labels import suggestion
from nestcut.drawings.sorting.shopwords import ALLOWANCE_LAYER, PAIRED
from nestcut.errors import Finding, Severity, finding
from nestcut.model.part import Hands
from nestcut.units import LengthError, parse_length_mm

_SAME_THICKNESS_MM = 0.4
"""Thickness names in inches and mm differ by this much and mean the same sheet (6 mm, 1/4 in)."""

_SAME_WIDTH_MM = 1.0
"""A section's side is the drawn width where they differ by no more. [mm]"""


def said_count(outline: DrawnOutline) -> int | None:
    """Number of pieces that an outline's label names."""
    return next((s.count for s in outline.suggestions if s.count is not None), None)


def said_thickness(outline: DrawnOutline) -> str:
    """Thickness that an outline's label names, else its layer's name; empty: neither."""
    return label_thickness(outline) or layer_thickness(outline)


def label_thickness(outline: DrawnOutline) -> str:
    """Thickness that an outline's label names, if it can be read; else empty."""
    thick = (s.thickness for s in outline.suggestions)
    return next((t for t in thick if (thickness_mm(t) or 0.0) > 0.0), "")


def layer_thickness(outline: DrawnOutline) -> str:
    """Thickness that the name of an outline's layer says ("ply 9 mm"); else empty.

    No allowance or offset, and no width of a pen: that has a decimal point.
    """
    name = outline.layer.replace("_", " ")
    found = suggestion(name)
    if found is None or ALLOWANCE_LAYER.search(name) or "." in found.thickness:
        return ""
    return found.thickness if (thickness_mm(found.thickness) or 0.0) > 0.0 else ""


def is_said_pair(outline: DrawnOutline) -> bool:
    """Whether an outline's label asks for one on each side of the boat."""
    return any(PAIRED.search(s.hand) for s in outline.suggestions if s.hand)


def said_layers(outline: DrawnOutline) -> int:
    """Return of how many layers a label says it is glued up; 0: of none. [-]"""
    return next((s.layers for s in outline.suggestions if s.layers), 0)


def said_rail(outline: DrawnOutline) -> tuple[float, float, float] | None:
    """Thickness, width and length of a rail that is drawn flat, where a label says so; else None.

    Its label names a section ("32 x 18"), one side of which is as wide as it is drawn. [mm]
    """
    x0, y0, x1, y1 = outline.box_mm
    wide, long = sorted((x1 - x0, y1 - y0))
    for said in outline.suggestions:
        if said.section_mm is None:
            continue
        low, high = sorted(said.section_mm)
        if long > high and min(abs(wide - low), abs(wide - high)) <= _SAME_WIDTH_MM:
            return float(low), float(high), long
    return None


def said_terms(outline: DrawnOutline) -> dict[str, str | int]:
    """What a ``[[part]]`` of an outline holds by its labels and its size.

    Keys are the job file's: ``thickness``, ``hand`` and ``layers`` where a label says them,
    ``count`` (of pairs, if it is one), ``grain`` along its longer side.
    """
    x0, y0, x1, y1 = outline.box_mm
    count, thick = said_count(outline) or 1, said_thickness(outline)
    is_pair = is_said_pair(outline)
    terms: dict[str, str | int] = {"thickness": thick} if thick else {}
    terms |= {"count": max(1, count // 2), "hand": "pair"} if is_pair else {"count": count}
    layers = said_layers(outline)
    terms |= {"layers": layers} if layers else {}
    return terms | {"grain": "along" if x1 - x0 >= y1 - y0 else "across"}


def label_remarks(
    outline: DrawnOutline, *, file: str, count: int, thickness_mm: float, hands: Hands
) -> tuple[Finding, ...]:
    """Return notes where the outline's label and the part's entry don't agree.

    Parameters
    ----------
    outline
        The outline as picked.
    file
        Name of its drawing.
    count, thickness_mm, hands
        What the job says of the part; a pair counts twice. [-, mm, -]
    """
    notes = []
    is_pair = hands is Hands.PAIR
    pieces = {count, 2 * count} if is_pair else {count}
    for said in outline.suggestions:
        if said.count is not None and said.count not in pieces:
            notes.append((f"{said.count} of it", f"count {count}"))
        if _differs(said.thickness, thickness_mm):
            notes.append((said.thickness, f"{thickness_mm:g} mm"))
        if said.hand and not is_pair:
            notes.append((said.hand, "no pair"))
    where = f"{file}, '{outline.name}'"
    told = [finding("DXF-057", Severity.NOTE, where, said=label, asked=job) for label, job in notes]
    layer = "" if label_thickness(outline) else layer_thickness(outline)
    if _differs(layer, thickness_mm):
        asked = f"{thickness_mm:g} mm"
        told.append(finding("DXF-070", Severity.NOTE, where, said=layer, asked=asked))
    handle = outline.handles[0] if outline.handles else ""
    return tuple(replace(f, file=file, layer=outline.layer, handle=handle) for f in told)


def _differs(said: str, asked_mm: float) -> bool:
    """Whether a thickness in words is another than the job asks for."""
    thick = thickness_mm(said)
    return thick is not None and abs(thick - asked_mm) > _SAME_THICKNESS_MM


def thickness_mm(text: str) -> float | None:
    """Return a thickness in words; None for what is none. [mm]"""
    try:
        return float(parse_length_mm(text)) if text else None
    except LengthError:
        return None
