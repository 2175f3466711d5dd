"""How a sheet's page is followed, in a few sentences: only what this page asks for."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.papers.view import PlacedPiece, SheetView, has_unsaid_face, stance_of


def how_words(
    sheet: SheetView, thin: Sequence[int] = (), by_cuts: Sequence[int] = (), lack: str = ""
) -> str:
    """In which order to measure, mark, pencil faces and saw.

    Parameters
    ----------
    thin
        Numbers of the pieces by an edge with waste that is thinner than the blade.
    by_cuts
        The same by the edge that a first cut leaves.
    lack
        What the sheet may lack of its size, in words.
    """
    edges = (("sheet's edge by", thin), ("first cut by", by_cuts))
    where = ", ".join(f"{at} {', '.join(map(str, those))}" for at, those in edges if those)
    told = (
        f"Measure the sheet from its black corner.{' ' if lack else ''}{lack}",
        "Figures: straight edges, in brackets whose; others: marking-out.pdf.",
        _face_words(sheet),
        _unsaid_words(sheet),
        "Mark all, then saw in the table's order; where waste gets thinner than the blade"
        f"{f' ({where})' if where else ''}, stop and plane it.",
    )
    return " ".join(t for t in told if t)


def _face_words(sheet: SheetView) -> str:
    """What to pencil on the faces in sight, and which may look either way."""
    told = [p for p in sheet.placed if p.is_face_told]
    up, down = (_numbers([p for p in told if p.is_face_up is is_up]) for is_up in (True, False))
    is_open = any(not stance_of(p).seen and not has_unsaid_face(p) for p in sheet.placed)
    if sheet.has_back:
        if not told:
            return "Pencil GOOD on the face you see. No piece here minds which face is good."
        good = f"BACK on {down}, GOOD on all others" if down else "GOOD on all"
        said = "; where no row says which way it looks, that is open"
        left = said if is_open else ""
        return f"Pencil on the face you see: {good}{left}."
    pairs = (("GOOD", up), ("BACK", down))
    each = ", ".join(f"{word} on {those}" for word, those in pairs if those)
    others = [p for p in sheet.placed if not p.is_face_told]
    named = any(stance_of(p).seen for p in others)
    if not each:
        pencil = "pencil the one that a row says you see; else " if named else ""
        return f"Both faces are good: {pencil}either may show."
    rest = "; of the others either may show" if others else ""
    if named:
        rest = ", on others what their row calls it, if anything"
    return f"Pencil on the face you see: {each}{rest}."


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
