"""Parts stay the outlines that they are where a drawing is read otherwise and numbers move."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from nestcut.drawings.records import DrawnOutline, Verdict
from nestcut.drawings.remarks import said_terms
from nestcut.intake.drawn import OnTable, drawings_on_table
from nestcut.tolerances.lengths import COPY_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Renumbered:
    """What a part must say now to stay the outline that it was.

    Parameters
    ----------
    was, now
        The outline's number in the picture, before and after.
    of
        How many outlines have a number now.
    """

    was: int
    now: int
    of: int

    @property
    def pointer(self) -> str:
        """The ``outline`` that finds it."""
        return f"{self.now} of {self.of}"


def moved_outlines(job: Path, before: str, after: str) -> Mapping[int, Renumbered]:
    """Find the parts that another reading of their drawings would make other outlines, or none.

    Parameters
    ----------
    job
        Path of the job file.
    before, after
        Its text; only what says how drawings are read differs (gaps closed on a layer, say).

    Returns
    -------
    Mapping
        By the part's place in the job file, from 0.  Parts that stay what they are, that found no
        outline before, or whose outline is there no more aren't among them.
    """
    then = {on.file: on for on in drawings_on_table(job, before)}
    return {
        place: renumbered
        for on in drawings_on_table(job, after)
        if on.file in then
        for place, renumbered in _moved(then[on.file], on)
    }


def newly_named(job: Path, before: str, after: str) -> tuple[dict[str, str | int], ...]:
    """Find what another reading of the drawings made outlines with names: parts that were open.

    Parameters
    ----------
    job
        Path of the job file.
    before, after
        Its text; only what says how drawings are read differs.

    Returns
    -------
    tuple
        For each a ``[[part]]`` as the job file has it; those that the job has, or says are no
        parts, aren't among them.
    """
    then = {on.file: on for on in drawings_on_table(job, before)}
    return tuple(
        _pointing(on, o) | said_terms(o)
        for on in drawings_on_table(job, after)
        if on.file in then
        for o in on.drawing.outlines
        if o.number and o.labels and o.judgement.verdict is Verdict.PART
        if o.number not in on.parts and o.number not in on.no_parts
        if not any(_is_same(old, o, then[on.file], on) for old in _numbered(then[on.file]).values())
    )


def _pointing(on: OnTable, outline: DrawnOutline) -> dict[str, str | int]:
    number = f"{outline.number} of {on.drawing.numbered}"
    return {"name": outline.name, "drawing": on.file, "outline": number}


def _moved(before: OnTable, after: OnTable) -> list[tuple[int, Renumbered]]:
    """Hold two readings of one drawing against each other; outlines lie where they lay."""
    old, new = _numbered(before), _numbered(after)
    found_now = {place: number for number, place in after.parts.items()}
    moved: list[tuple[int, Renumbered]] = []
    for was, place in before.parts.items():
        same = [n for n, outline in new.items() if _is_same(old[was], outline, before, after)]
        if len(same) != 1 or (found_now.get(place) == same[0]):
            continue
        moved.append((place, Renumbered(was=was, now=same[0], of=after.drawing.numbered)))
    return moved


def _numbered(on: OnTable) -> dict[int, DrawnOutline]:
    drawing = on.drawing
    return {o.number: o for o in (*drawing.outlines, *drawing.offered) if o.number}


def _is_same(a: DrawnOutline, b: DrawnOutline, before: OnTable, after: OnTable) -> bool:
    """Whether two outlines lie in the same place, in the drawing's own unit, with the same area."""
    scale_a, scale_b = before.drawing.mm_per_unit, after.drawing.mm_per_unit
    near = COPY_MM / min(scale_a, scale_b)
    boxes = zip(a.box_mm, b.box_mm, strict=True)
    if any(abs(p / scale_a - q / scale_b) > near for p, q in boxes):
        return False
    x0, y0, x1, y1 = a.box_mm
    rim = near * (x1 - x0 + y1 - y0) / scale_a
    return abs(a.area_mm2 / scale_a**2 - b.area_mm2 / scale_b**2) <= rim
