"""What the kinds of line on a sheet's page mean: only those that the page has."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import Enum

from shapely.geometry import Polygon, box

from nestcut.joints.kinds import KINDS
from nestcut.model.joint import Face, JointKind
from nestcut.model.stock import SheetStock
from nestcut.papers.draw import (
    MARGIN_MM,
    Area,
    Item,
    Lines,
    PageSize,
    Path,
    Pen,
    Text,
    Weight,
    hatch,
    rectangle,
    text_width_mm,
    wrap,
)
from nestcut.papers.page import FOOT_MM, LINE_MM, WORDS_MM
from nestcut.papers.sheet.edges import BARRED_HATCHING
from nestcut.papers.view import (
    PENCIL_BACK,
    Figures,
    PlacedPiece,
    SheetView,
    bevels_of,
    centre_line,
    has_sides,
    is_trim_line,
    warnings_for,
)

SAMPLE_MM = 8.0
"""Length of a line's sample. [mm on paper]"""
BOARD_FOOT_MM = 8.6
"""Room that the foot of a page of boards takes at most above its check rule. [mm on paper]"""
GAP_MM = 1.4
"""Room between a sample and its words; three of them between entries. [mm on paper]"""


_SEEN = {True: "this face", False: "the face underneath"}


class Special(Enum):
    """Marks that are more than one line; *here* is the face that is up."""

    BEVEL_UP = "bevel, face up"
    BEVEL_UNDER = "bevel, face underneath"
    SECTION_UP = "bevel in section, planed on the face that is up"
    SECTION_UNDER = "bevel in section, planed on the face underneath"
    JOINT_UP = "scarf, face up"
    JOINT_UNDER = "scarf, face underneath"
    JOINT_MIDDLE = "middle of a joint"
    WASTE = "waste"
    DANGER = "danger"
    """Words alone, written so that they aren't missed."""


@dataclass(frozen=True, slots=True)
class Legend:
    """What a page's lines mean, entry by entry."""

    entries: tuple[tuple[Pen | Special | None, str], ...]

    def column(self, left: float, top: float, width: float) -> tuple[float, tuple[Item, ...]]:
        """Entries under each other; the height that they take, and their items. [mm on paper]

        Parameters
        ----------
        left, top
            Upper left corner, on the page. [mm]
        width
            How wide it may be. [mm]
        """
        items: list[Item] = []
        y = top
        for kind, words in self.entries:
            indent, weight = _manner(kind)
            if kind is not None:
                items.extend(_sample(kind, left, y - LINE_MM / 2))
            for line in wrap(words, WORDS_MM, width - indent, weight):
                items.append(Text(line, (left + indent, y - LINE_MM / 2), WORDS_MM, weight))
                y -= LINE_MM
            y -= 0.3
        return top - y, tuple(items)

    def flow(self, left: float, top: float, width: float) -> tuple[float, tuple[Item, ...]]:
        """Entries beside each other, in as many lines as they need. [mm on paper]

        Parameters
        ----------
        left, top
            Upper left corner, on the page. [mm]
        width
            How wide a line may be. [mm]
        """
        items: list[Item] = []
        x, y = left, top
        for kind, words in self.entries:
            indent, weight = _manner(kind)
            lines = wrap(words, WORDS_MM, width - indent, weight)
            wide = indent + max(text_width_mm(line, WORDS_MM, weight) for line in lines)
            if x > left and x + wide > left + width:
                x, y = left, y - LINE_MM
            if kind is not None:
                items.extend(_sample(kind, x, y - LINE_MM / 2))
            for line in lines:
                items.append(Text(line, (x + indent, y - LINE_MM / 2), WORDS_MM, weight))
                y -= LINE_MM
            y += LINE_MM
            x += wide + 3 * GAP_MM
        return top - y + (LINE_MM if self.entries else 0.0), tuple(items)


def _manner(kind: Pen | Special | None) -> tuple[float, Weight]:
    """Room for an entry's sample, and how its words are written. [mm on paper]"""
    if kind is Special.DANGER:
        return 0.0, Weight.BOLD
    return (0.0 if kind is None else SAMPLE_MM + GAP_MM), Weight.PLAIN


BOARD_KEY = Legend(
    (
        (Special.JOINT_UP, "joint planed on the face you see (GOOD)"),
        (Special.JOINT_UNDER, "on the face underneath (BACK)"),
        (Special.JOINT_MIDDLE, "ticks: a joint's middle"),
        (Special.WASTE, "waste"),
    )
)
"""What is drawn alike on all pages of boards, which lie good face up."""


def board_foot(
    words: str, page: PageSize, kinds: Collection[JointKind]
) -> tuple[float, tuple[Item, ...]]:
    """The foot of a page of boards: a note, and what joints look like where it has any.

    Returns its height from the page's edge, and its items.

    Parameters
    ----------
    words
        The note.
    kinds
        Of the joints on the page.
    """
    at = (MARGIN_MM, MARGIN_MM + FOOT_MM + 2.0)
    note = Text(words, at, WORDS_MM)
    if not any(KINDS[k].laps for k in kinds):
        return MARGIN_MM + FOOT_MM + 4.5, (note,)
    _, key = BOARD_KEY.flow(MARGIN_MM, at[1] + 2.0 + LINE_MM, page.width_mm - 2 * MARGIN_MM)
    return MARGIN_MM + FOOT_MM + BOARD_FOOT_MM, (*key, note)


def with_joints(
    words: str, joints: Sequence[tuple[str, float]], figures: Figures, page: PageSize
) -> str:
    """A page's words with the lengths of its joints, where they have room.

    Parameters
    ----------
    words
        What is told besides.
    joints
        Short names of its joint ends, with the length that laps. [mm]
    """
    keys: dict[str, list[str]] = {}
    for key, overlap_mm in joints:
        if overlap_mm > 0.0:
            keys.setdefault(figures.near(overlap_mm), []).append(key)
    if not keys:
        return words
    each = (f"{', '.join(dict.fromkeys(k))} {long}" for long, k in keys.items())
    told = next(iter(keys)) if len(keys) == 1 else "; ".join(each)
    full = f"{words} Joints: {told} long."
    fits = text_width_mm(full, WORDS_MM) <= page.width_mm - 2 * MARGIN_MM
    return full if fits else f"{words} Lengths of joints: see Joints."


def sheet_legend(placed: Sequence[PlacedPiece], sheet: SheetView) -> Legend:
    """Return samples with words for the kinds of line that a drawing of these pieces has.

    Parameters
    ----------
    placed
        The pieces that are drawn: of a page of details, those in its windows.
    """
    return Legend(tuple(_entries(placed, sheet)))


def _sample(  # noqa: PLR0911 - one return a kind of line
    kind: Pen | Special, x: float, y: float
) -> tuple[Item, ...]:
    """A piece of a line as the drawing has it."""
    if isinstance(kind, Pen):
        return (Path(((x, y), (x + SAMPLE_MM, y)), kind),)
    if kind is Special.DANGER:
        return ()
    if kind is Special.JOINT_UP:
        area = box(x, y - 0.9, x + SAMPLE_MM, y + 0.9)
        return (hatch(area, spacing_mm=0.9, angle_deg=135.0, pen=Pen.DENSE),)
    if kind is Special.JOINT_UNDER:
        return (Area(rectangle(x, y - 0.9, SAMPLE_MM, 1.8), pen=Pen.HIDDEN),)
    if kind is Special.JOINT_MIDDLE:
        ends = ((y - 1.3, y - 0.3), (y + 0.3, y + 1.3))
        return (Lines(tuple(((x + 4.0, a), (x + 4.0, b)) for a, b in ends), Pen.FRAME),)
    if kind is Special.WASTE:
        return (hatch(box(x, y - 0.9, x + SAMPLE_MM, y + 0.9), spacing_mm=1.6),)
    if kind in {Special.SECTION_UP, Special.SECTION_UNDER}:
        # the piece from its end, sawn square: the wedge comes off the face that is planed
        planed, kept = (y + 1.3, y - 1.3) if kind is Special.SECTION_UP else (y - 1.3, y + 1.3)
        ring = ((x, planed), (x + 5.0, planed), (x + 7.6, kept), (x, kept))
        wedge = Polygon([(x + 5.0, planed), (x + 7.6, planed), (x + 7.6, kept)])
        return (Area(ring, pen=Pen.FRAME), hatch(wedge, spacing_mm=0.6, pen=Pen.DENSE))
    edge = Path(((x, y + 0.8), (x + SAMPLE_MM, y + 0.8)), Pen.CUT)
    if kind is Special.BEVEL_UNDER:
        return (edge, Path(((x, y - 0.8), (x + SAMPLE_MM, y - 0.8)), Pen.HIDDEN))
    count = int(SAMPLE_MM / 1.6)
    strokes = tuple(
        ((x + 1.6 * k + 0.8, y + 0.8), (x + 1.6 * k + 0.8, y - 0.8)) for k in range(count)
    )
    return (edge, Lines(strokes, Pen.FRAME))


def _dangers(placed: Sequence[PlacedPiece]) -> list[tuple[Pen | Special | None, str]]:
    """What must not be missed at the saw, with the numbers of its pieces."""
    told: dict[str, list[str]] = {}
    for piece in placed:
        for words in warnings_for(piece):
            if words == PENCIL_BACK:
                continue  # what is pencilled on which face stands among the words below
            told.setdefault(words, []).append(str(piece.number))
    return [(Special.DANGER, f"{words}: {', '.join(numbers)}") for words, numbers in told.items()]


def _entries(
    placed: Sequence[PlacedPiece], sheet: SheetView
) -> list[tuple[Pen | Special | None, str]]:
    marks = [m for p in placed for m in p.shape.marks if len(m.points) > 1]
    entries: list[tuple[Pen | Special | None, str]] = [*_dangers(placed), (Pen.CUT, "saw")]
    if any(is_trim_line(m) for m in marks):
        entries.append((Pen.LATER, "trim to it when page 1 says; not sawn now"))
    if any(not is_trim_line(m) for m in marks) or any(centre_line(p) for p in placed):
        sides = "; (fwd), (aft): where its frame stands" * any(has_sides(p.part) for p in placed)
        entries.append((Pen.MARK, f"pencil only (CL: centre line{sides})"))
    bevels = {view.is_planed_up for p in placed for view in bevels_of(p)}
    for is_up, kind, section in (
        (True, Special.BEVEL_UP, Special.SECTION_UP),
        (False, Special.BEVEL_UNDER, Special.SECTION_UNDER),
    ):
        if is_up in bevels:
            face = "this face" if is_up else "the face underneath"
            entries.append((kind, f"bevel, planed on {face}"))
            entries.append((section, "the same from its end: hatched planed off"))
    joints = {
        (e.planed is Face.GOOD) is p.is_face_up
        for p in placed
        for e in p.ends
        if e.planed is not None
    }
    for is_up, kind in ((True, Special.JOINT_UP), (False, Special.JOINT_UNDER)):
        ticks = "; ticks: its middle" if is_up or len(joints) == 1 else ""
        if is_up in joints:
            entries.append(
                (kind, f"joint, worked on {'this face' if is_up else 'the face underneath'}{ticks}")
            )
    if isinstance(sheet.stock, SheetStock) and sheet.stock.seams_mm:
        entries.append((Pen.HIDDEN, "seam: middle of a scarf glued before marking out"))
    if sheet.layout.offcuts:
        entries.append((Pen.KEEP, "KEEP: dashes not sawn, comes off larger"))
    if sheet.usable.is_trimmed:
        entries.append((Pen.TRIM, "edge trim"))
    barred = ", ".join(dict.fromkeys(k.reason for k in sheet.layout.barred if k.reason))
    if barred:
        entries.append((None, f"{BARRED_HATCHING}: {barred}"))
    return entries
