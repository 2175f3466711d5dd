"""Cards that show how each kind of joint is made, seen from the side."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from shapely.geometry import Polygon

from nestcut.joints.arithmetic import scarf_angle_deg
from nestcut.joints.kinds import KINDS, Picture
from nestcut.model.curves import Point
from nestcut.model.joint import Face, Joint, JointKind, Word
from nestcut.papers.draw import (
    Anchor,
    Area,
    Fill,
    Item,
    Path,
    Pen,
    Text,
    Weight,
    arrow_head,
    hatch,
    lowest,
    moved,
    rectangle,
    text_width_mm,
    wrap,
)
from nestcut.papers.lists import JointRow, joint_rows
from nestcut.papers.page import LINE_MM, PageMaker
from nestcut.papers.view import Figures
from nestcut.units import format_slope
from nestcut.words.joint_kinds import JOINT_WORDS

CARD_MM = 39.0
"""Height that a card's picture is drawn in. [mm on paper]"""
UNDER_CARD_MM = 2.0
"""Room below a card's picture. [mm on paper]"""
ROW_CARD_MM = 6.0
"""Height of the head of a card without a picture. [mm on paper]"""
WORDS_INDENT_MM = 8.0
WORDS_AT_MM = 138.0
"""Where the words beside the drawing begin. [mm on paper]"""


def joint_cards(maker: PageMaker, width: float) -> list[tuple[float, tuple[Item, ...]]]:
    """A card for every kind, a line for every further slope and thickness; each with its height."""
    kinds: dict[tuple[str, float, float, str], list[JointRow]] = {}
    for row in joint_rows(maker.view):
        joint = row.joint
        slope = joint.slope if KINDS[joint.kind].laps else 0.0
        faces = row.strap_face_words or row.planed_words(0)
        same = (
            joint.kind.value,
            slope,
            joint.thickness_mm,
            f"{faces} {joint.word} {joint.is_weak}",
        )
        kinds.setdefault(same, []).append(row)
    cards: list[tuple[float, tuple[Item, ...]]] = []
    pictured: set[JointKind] = set()
    said: set[str] = set()
    for name in sorted(kinds):
        card = _told(kinds[name], maker.figures)
        kind = kinds[name][0].joint.kind
        if kind in pictured:  # the picture is the same, and so is most of what it says
            cards.append(_in_words(replace(card, lines=_fresh(card.lines, said)), width))
        else:
            cards.append(_with_picture(card, width))
        pictured.add(kind)
        said |= set(card.lines)
    return cards


@dataclass(frozen=True, slots=True)
class _Card:
    """What is said of joints alike: their names, sentences, a picture."""

    head: str
    lines: tuple[str, ...]
    drawing: tuple[Item, ...]


def _fresh(lines: tuple[str, ...], said: set[str]) -> tuple[str, ...]:
    """Sentences that no card above has; that the rest stands there is said."""
    fresh = tuple(line for line in lines if line not in said)
    return fresh if len(fresh) == len(lines) else (*fresh, "The rest as in the picture above.")


def _in_words(card: _Card, width: float) -> tuple[float, tuple[Item, ...]]:
    """The words of a card without its picture."""
    said = wrap(" ".join(card.lines), 3.2, width - WORDS_INDENT_MM)
    height = ROW_CARD_MM + LINE_MM * len(said) + 1.0
    made: list[Item] = [Text(card.head, (0.0, height - ROW_CARD_MM / 2), 3.6, Weight.BOLD)]
    for k, line in enumerate(said):
        at = (WORDS_INDENT_MM, height - ROW_CARD_MM - LINE_MM * (k + 0.5))
        made.append(Text(line, at, 3.2))
    return height, tuple(made)


def _told(rows: list[JointRow], figures: Figures) -> _Card:
    """How a joint of this kind is made."""
    first = rows[0].joint
    names = ", ".join(row.key for row in rows)
    words = JOINT_WORDS[first.kind]
    values = _values(rows[0], figures)
    head = f"{words.head.format(**values)} in {values['thick']}: {names}"
    lines = tuple(line.format(**values) for line in words.how)
    drawing = _PICTURES[KINDS[first.kind].picture](rows[0], figures)
    return _Card(head, (*lines, *_words_of(first)), drawing)


def _values(row: JointRow, figures: Figures) -> dict[str, str]:
    """What the sentences of a kind may name, in the reader's units."""
    joint, strap = row.joint, row.strap_mm
    face = row.strap_face_words.removeprefix("strap ")
    is_sloped = KINDS[joint.kind].laps
    return {
        "thick": figures.thickness(joint.thickness_mm),
        "overlap": figures.fine(joint.overlap_mm),
        "slope": format_slope(joint.slope) if is_sloped else "",
        "times": f"{joint.slope:g}" if is_sloped else "",
        "angle": f"{scarf_angle_deg(joint.slope):.2f}°" if is_sloped else "",
        "strap": "Strap as the plans say" if strap is None else f"Strap {figures.fine(strap)} wide",
        "margin": "" if row.rule is None else figures.fine(row.rule.strap_margin_mm),
        "face": f", {face}" if face else "",
    }


def _with_picture(card: _Card, width: float) -> tuple[float, tuple[Item, ...]]:
    """A card with its height."""
    said = wrap(" ".join(card.lines), 3.2, width - WORDS_AT_MM)
    drawn = CARD_MM - lowest(card.drawing) + UNDER_CARD_MM if card.drawing else 0.0
    is_short = text_width_mm(card.head, 4.0, Weight.BOLD) < WORDS_AT_MM - 4.0
    above = 2.0 if is_short else 9.0  # words stand beside the head, or below it
    height = max(drawn, above + LINE_MM * len(said))
    items: list[Item] = [Text(card.head, (0.0, height - 2.0), 4.0, Weight.BOLD)]
    items += [
        Text(text, (WORDS_AT_MM, height - above - LINE_MM * k), 3.2) for k, text in enumerate(said)
    ]
    return height, (*items, *moved(card.drawing, 0.0, height - CARD_MM))


_WHOSE = {
    Word.GIVEN: "The plans give its place: ask their designer before you move it.",
    Word.CHOSEN: "The plans don't give its place: their designer has to say whether the part may "
    "be joined there. Nobody to ask? Common practice lets it stay where no frame, knee or "
    "fitting is fastened within an overlap of it, the part isn't bent hardest, and nothing that it "
    "is glued to has a joint abreast; else write in the job where none may lie (keep_clear) and "
    "plan again.",
}


def _words_of(joint: Joint) -> tuple[str, ...]:
    """Whose word it is, what must not be forgotten, and that it is weak where it is."""
    weak = ("WEAK JOINT: practice asks for more; the job accepts it.",) if joint.is_weak else ()
    return (*weak, _WHOSE[joint.word], JOINT_WORDS[joint.kind].caution)


def _side(row: JointRow, figures: Figures) -> tuple[Item, ...]:
    """Side view: two pieces with their ends apart, then together. Heights are drawn larger.

    Good faces are up, as pieces lie on their sheets and when they are glued: the base lines are
    seen then, and so is the end of the piece on top.
    """
    joint = row.joint
    is_first_on_top = joint.planed[0] is Face.BACK
    kind = KINDS[joint.kind]
    slope_run, thick, long = 52.0, 9.0, 34.0
    x, y = 4.0, 21.0

    def up(v: float) -> float:  # kinds have the first piece worked on its upper face
        return 1.0 - v if is_first_on_top else v

    profile = kind.end[::-1] if is_first_on_top else kind.end

    def end(left: float, bottom: float) -> tuple[Point, ...]:
        return tuple((left + u * slope_run, bottom + up(v) * thick) for u, v in profile)

    first: tuple[Point, ...] = ((x, y), *end(x + long, y), (x, y + thick))
    start = x + long + 8.0
    right = start + slope_run + long
    second: tuple[Point, ...] = (*end(start, y)[::-1], (right, y), (right, y + thick))
    low = 8.0
    items: list[Item] = []
    names = ("on top", "under") if is_first_on_top else ("under", "on top")
    if joint.planed[0] is None:
        names = ("first", "second")
    for outline, angle, name in ((first, 45.0, names[0]), (second, 135.0, names[1])):
        items.append(hatch(Polygon(outline), spacing_mm=1.6, angle_deg=angle))
        items.append(Area(outline, pen=Pen.CUT))
        xs = [p[0] for p in outline]
        left = min(xs) + 4.0 if outline is first else max(xs) - 17.0
        items.append(Area(rectangle(left, y + 2.2, 13.0, 4.6), pen=None, fill=Fill.PAPER))
        items.append(Text(name, (left + 6.5, y + thick / 2), 3.2, anchor=Anchor.MIDDLE))
    above, below = row.planed_words(0), row.planed_words(1)
    if is_first_on_top:
        above, below = below, above
    for side in (x, start + slope_run + 4.0):
        items += [Text(above, (side, y + thick + 2.2), 3.2)] if above else []
        items += [Text(below, (side, y - 2.4), 3.2)] if below else []
    together = (x + long, x + long + slope_run)
    items.append(Area(rectangle(x, low, 2 * long + slope_run, thick), pen=Pen.CUT))
    items.append(Path(end(together[0], low), Pen.CUT))
    for outline in kind.between:
        points = tuple((together[0] + u * slope_run, low + up(v) * thick) for u, v in outline)
        items.append(Area(points, pen=Pen.CUT))
    if joint.overlap_mm > 0.0:
        items.extend(_dimension(together, low - 3.4, figures.fine(joint.overlap_mm)))
    if kind.has_angle:
        shown = f"{scarf_angle_deg(joint.slope):.1f}°"
        items.append(Text(shown, (together[1] + 4.0, low + 2.4), 3.2))
    if kind.has_angle and joint.planed[0] is not None:
        seen = together[1] if is_first_on_top else together[0]
        items.append(Path(((seen, low + thick), (seen, low + thick + 3.2)), Pen.THIN))
        at, anchor = (seen - 1.2, Anchor.END) if is_first_on_top else (seen + 1.2, Anchor.START)
        items.append(Text("its end on the line", (at, low + thick + 2.0), 3.2, anchor=anchor))
    return tuple(items)


def _dimension(span: tuple[float, float], y: float, words: str) -> tuple[Item, ...]:
    a, b = span
    return (
        Path(((a, y + 3.0), (a, y - 1.0)), Pen.THIN),
        Path(((b, y + 3.0), (b, y - 1.0)), Pen.THIN),
        Path(((a, y), (b, y)), Pen.THIN),
        arrow_head((a, y), 180.0),
        arrow_head((b, y), 0.0),
        Text(words, ((a + b) / 2, y - 2.4), 3.2, anchor=Anchor.MIDDLE),
    )


def _strap_side(row: JointRow, figures: Figures) -> tuple[Item, ...]:
    """Side view of a strap over a butt."""
    wide = "" if row.strap_mm is None else figures.fine(row.strap_mm)
    face = row.strap_face_words.removeprefix("strap ")
    x, y, thick = 4.0, 24.5, 4.5
    left, right = rectangle(x, y, 60.0, thick), rectangle(x + 60.0, y, 60.0, thick)
    strap = rectangle(x + 30.0, y + thick, 60.0, thick)
    items: list[Item] = []
    for outline, angle in ((left, 45.0), (right, 135.0), (strap, 90.0)):
        items.append(hatch(Polygon(outline), spacing_mm=1.6, angle_deg=angle))
        items.append(Area(outline, pen=Pen.CUT))
    items.append(Text(f"strap {face}".strip(), (x + 93.0, y + thick * 1.5), 3.2))
    if wide:
        items.extend(_dimension((x + 30.0, x + 90.0), y - 5.0, wide))
    return tuple(items)


def _keyed_plan(_: JointRow, __: Figures) -> tuple[Item, ...]:
    x, y, high = 4.0, 4.0, 34.0
    points: list[Point] = []
    points.extend(
        (x + 60.0 + 7.0 * math.sin(k / 8.0 * math.pi), y + k / 48.0 * high) for k in range(49)
    )
    return (
        Area(rectangle(x, y, 120.0, high), pen=Pen.CUT),
        Path(tuple(points), Pen.CUT),
        Text("piece 1", (x + 20.0, y + high / 2), 3.2),
        Text("piece 2", (x + 90.0, y + high / 2), 3.2),
        Text("(sketch)", (x + 104.0, y + 3.0), 3.2),
    )


_PICTURES: dict[Picture, Callable[[JointRow, Figures], tuple[Item, ...]]] = {
    Picture.SIDE: _side,
    Picture.STRAP: _strap_side,
    Picture.KEYS: _keyed_plan,
}
