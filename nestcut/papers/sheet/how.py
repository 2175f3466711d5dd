"""How a sheet's page is followed, in a few sentences: only what this page asks for."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.papers.view import PlacedPiece, SheetView, has_unsaid_face, stance_of


def how_words(sheet: SheetView) -> str:
    """In which order to measure, mark, pencil faces and saw."""
    told = (
        "Measure from the black corner.",
        "Figures: straight edges, in brackets whose; others: marking-out.pdf.",
        _face_words(sheet),
        _unsaid_words(sheet),
        "Mark out everything before the first cut; saw in the table's order. Plane off waste that "
        "is thinner than the blade.",
    )
    return " ".join(t for t in told if t)


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
    words = f"Which way GOOD looks in the boat isn't said for {asked}: ask the plans."
    return words if asked else ""


def _numbers(placed: Sequence[PlacedPiece]) -> str:
    return ", ".join(str(p.number) for p in placed)
