"""What is still to make of every part once some pieces are cut, as words and tables for a job file.

A copy of which nothing is cut stays with its part.  Where some pieces of a joined part lie cut, the
others must come out as they were planned, or the joints won't meet: each becomes a part of its own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.model.part import CutFrom, Hand, RailPart, SheetPart, Turning
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.rest.progress_file import Progress
from nestcut.papers.rest.toml_words import one_line, toml_mm, toml_points, toml_text
from nestcut.papers.view import PlanView, rail_joint_words
from nestcut.tolerances.lengths import CLEAN_MM

_AS_PLANNED = "the rest of its part is cut, so it comes as planned, overlaps in its"
NAMES_SHOWN = 6
"""Most spoilt pieces named in one line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOfPart:
    """How much of a part is still to cut.

    ``whole`` counts copies of which nothing is cut, by hand; ``begun`` names the pieces that are
    missing of copies cut in part.
    """

    part: str
    whole: tuple[tuple[Hand | None, int], ...]
    begun: tuple[str, ...]

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to cut."""
        return not self.begun and not any(count for _, count in self.whole)


def left_of_parts(view: PlanView, progress: Progress) -> tuple[LeftOfPart, ...]:
    """Count what is still to cut of every flat part and then of every rail, in the job's order."""
    job, plan = view.verified.job, view.verified.plan
    flat = (_left(p, plan.pieces, progress) for p in job.sheet_parts)
    rails = (_left(r, plan.rail_pieces, progress) for r in job.rail_parts)
    return (*flat, *rails)


def _left(
    part: SheetPart | RailPart, pieces: Sequence[SheetPiece | RailPiece], progress: Progress
) -> LeftOfPart:
    shares: dict[tuple[Hand | None, int], list[str]] = {}
    for piece in pieces:
        if piece.part == part.name:
            shares.setdefault((piece.hand, piece.copy), []).append(piece.id)
    done = progress.done
    whole = Counter(hand for (hand, _), ids in shares.items() if not done & set(ids))
    begun = tuple(i for ids in shares.values() if done & set(ids) for i in sorted(set(ids) - done))
    hands = sorted({hand for hand, _ in shares}, key=str)
    return LeftOfPart(
        part=part.name, whole=tuple((hand, whole[hand]) for hand in hands), begun=begun
    )


def part_lines(view: PlanView, progress: Progress) -> list[str]:
    """What to change at the parts, as comments."""
    job = view.verified.job
    parts: dict[str, SheetPart | RailPart] = {p.name: p for p in job.sheet_parts}
    parts |= {r.name: r for r in job.rail_parts}
    lines: list[str] = []
    if progress.spoilt:
        names = [one_line(view.name_of(i)) for i in sorted(progress.spoilt)]
        more = f" and {len(names) - NAMES_SHOWN} more" if len(names) > NAMES_SHOWN else ""
        lines.append(f"# spoilt, so still to make: {'; '.join(names[:NAMES_SHOWN])}{more}")
    for left in left_of_parts(view, progress):
        lines += _count_lines(left, parts[left.part])
    return lines


def piece_tables(view: PlanView, progress: Progress) -> list[str]:
    """Tables of pieces that become parts of their own, since the rest of their part is cut."""
    plan = view.verified.plan
    lines: list[str] = []
    flat = {p.id: p for p in plan.pieces}
    rails = {p.id: p for p in plan.rail_pieces}
    missing = (
        *(i for left in left_of_parts(view, progress) for i in left.begun),
        *_straps(view, progress),
    )
    for piece in missing:
        if piece in flat:
            lines += _flat_table(flat[piece], view)
        else:
            lines += _rail_table(rails[piece], view)
    return lines


def _straps(view: PlanView, progress: Progress) -> tuple[str, ...]:
    """Straps that are missing of copies begun; those of whole copies come with their part."""
    plan, done = view.verified.plan, progress.done
    begun = {(p.part, p.hand, p.copy) for p in plan.pieces if p.id in done}
    added = {p.name: p.strap_of.part for p in plan.added_parts if p.strap_of is not None}
    return tuple(
        p.id
        for p in plan.pieces
        if p.part in added and p.id not in done and (added[p.part], p.hand, p.copy) in begun
    )


def _count_lines(left: LeftOfPart, part: SheetPart | RailPart) -> list[str]:
    """How many whole copies are left, unless all are."""
    kind = "rail" if isinstance(part, RailPart) else "part"
    name = one_line(left.part)
    counts = dict(left.whole)
    if left.is_done:
        return [f"# {kind} '{name}': all cut; take it out"]
    if not any(counts.values()):
        return [f"# {kind} '{name}': take it out; what is missing of it is a part of its own below"]
    lines = []
    if any(count != part.count for count in counts.values()):
        few, most = min(counts.values()), max(counts.values())
        told = [f"{count} {hand.value}" if hand else str(count) for hand, count in left.whole]
        lines.append(f"# {kind} '{name}': {' and '.join(told)} left of {part.count}")
        if len(counts) > 1 and few != most:
            more = next(h for h, c in left.whole if c == most)
            own = f"hand = {toml_text(more.value if more else 'none')}, count = {most - few}"
            how = "write" if few == 0 else f"write count = {few} (pairs), and add one of its own:"
            lines.append(f"#   {how} {own}")
    return lines


def _flat_table(piece: SheetPiece, view: PlanView) -> list[str]:
    name = view.name_of(piece.id)
    head = ["", f"# {one_line(name)}: {_AS_PLANNED} size."]
    if piece.shape.holes or piece.cut_from is CutFrom.BOARD:
        why = "it has holes" if piece.shape.holes else "it is sawn from a board"
        return [*head, f"# Take its outline from the sheet's DXF file, since {why}."]
    note = "; ".join((*(rail_joint_words(e, view) for e in piece.ends), piece.note)).strip("; ")
    angle = f"small_angle = {piece.small_angle_deg:g}"
    outline = tuple(
        (round(x / CLEAN_MM) * CLEAN_MM, round(y / CLEAN_MM) * CLEAN_MM)
        for x, y in piece.shape.outline.points
    )
    return [
        *head,
        "[[part]]",
        f"name = {toml_text(name)}",
        f"material = {toml_text(piece.material)}",
        f"thickness = {toml_mm(piece.thickness_mm)}",
        f"grain = {toml_text(piece.grain.value)}",
        f"turn = {toml_text(piece.turning.value)}",
        *((angle,) if piece.turning is Turning.SMALL else ()),
        f"faces = {toml_text(piece.faces.value)}",
        f"note = {toml_text(note)}",
        "[part.shape]",
        'kind = "polygon"',
        f"points = {toml_points(outline)}",
    ]


def _rail_table(piece: RailPiece, view: PlanView) -> list[str]:
    name = view.name_of(piece.id)
    section = f"[{toml_mm(piece.thickness_mm)}, {toml_mm(piece.width_mm)}]"
    note = "; ".join((*(rail_joint_words(e, view) for e in piece.ends), piece.note)).strip("; ")
    return [
        "",
        f"# {one_line(name)}: {_AS_PLANNED} length.",
        "[[rail]]",
        f"name = {toml_text(name)}",
        f"material = {toml_text(piece.material)}",
        f"section = {section}",
        f"length = {toml_mm(piece.length_mm)}",
        'joints = "none"',
        f"note = {toml_text(note)}",
    ]
