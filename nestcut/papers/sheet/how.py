"""How a sheet's page is followed, in a few sentences: only what this page asks for."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon, box

from nestcut.papers.view import PlacedPiece, SheetView, has_unsaid_face, stance_of

AT_EDGE_MM = 0.5
"""A piece that comes so near the sheet's edge ends at it. [mm]"""
FEW = 4
"""So many pieces are named by their numbers, more are counted. [-]"""


def how_words(sheet: SheetView, thin: Sequence[int] = ()) -> str:
    """In which order to measure, mark, pencil faces and saw.

    Parameters
    ----------
    thin
        Numbers of the pieces by an edge with waste that is thinner than the blade.
    """
    where = f", as at the edge by {', '.join(map(str, thin))}" if thin else ""
    told = (
        "Measure from the black corner.",
        _edge_words(sheet),
        "Figures: straight edges, in brackets whose; others: marking-out.pdf.",
        _face_words(sheet),
        _unsaid_words(sheet),
        "Mark out everything before the first cut; saw in the table's order. Plane off waste "
        f"thinner than the blade{where}.",
    )
    return " ".join(t for t in told if t)


def _edge_words(sheet: SheetView) -> str:
    """Pieces that end at the sheet's far edges: a sheet a hair smaller, or askew, spoils them."""
    x0, y0 = (min(p[k] for p in sheet.outline) for k in (0, 1))
    edge = Polygon(sheet.outline).exterior
    x1, y1 = edge.bounds[2:]
    measured_from = box(x0 - 1.0, y0 - 1.0, x1, y0 + AT_EDGE_MM).union(
        box(x0 - 1.0, y0 - 1.0, x0 + AT_EDGE_MM, y1)
    )
    far = edge.difference(measured_from)
    reach = [p for p in sheet.placed if p.polygon.distance(far) < AT_EDGE_MM]
    if not reach:
        return ""
    verb = "reaches" if len(reach) == 1 else "reach"
    who = _numbers(reach) if len(reach) <= FEW else f"{len(reach)} pieces"
    return f"The sheet must be square and as large as said: {who} {verb} its far edges."


def _face_words(sheet: SheetView) -> str:
    """What to pencil on the faces in sight; where no piece cares, that none does."""
    told = [p for p in sheet.placed if p.is_face_told]
    up, down = (_numbers([p for p in told if p.is_face_up is is_up]) for is_up in (True, False))
    if sheet.has_back:
        but = f", but BACK on {down}" if down else ""
        no_matter = "No piece here minds which face is good."
        return f"Pencil GOOD on the face you see{but}." if told else no_matter
    each = [f"{word} on {those}" for word, those in (("GOOD", up), ("BACK", down)) if those]
    if each:
        return f"Pencil on the face you see: {', '.join(each)}."
    named = any(stance_of(p).seen for p in sheet.placed)
    return f"Both faces are good{': pencil the one that a row says you see' if named else ''}."


def _unsaid_words(sheet: SheetView) -> str:
    """Handed pieces of which the job doesn't say where their good face looks in the boat."""
    asked = _numbers([p for p in sheet.placed if has_unsaid_face(p)])
    words = (
        f"Which way GOOD looks in the boat isn't said for {asked}: ask the plans; port and "
        "starboard are mirrored, so it is alike on both."
    )
    return words if asked else ""


def _numbers(placed: Sequence[PlacedPiece]) -> str:
    return ", ".join(str(p.number) for p in placed)
