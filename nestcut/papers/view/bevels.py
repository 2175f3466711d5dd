"""Bevels of a piece as it lies on its sheet, and how they are told.

A bevel that changes along its edge is told with its angle at both ends, and the ends are named by
what the builder can see: DOWN and UP, AFT and FWD as its arrows say where the part says which way
it stands, else left, right, top and bottom of the sheet's drawing, words that mean the paper alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.pose import MIRROR, move_points, move_shape
from nestcut.model.curves import Point as Vertex
from nestcut.model.joint import Face
from nestcut.model.part import Bearings, EdgeBevel, Outside, SheetPart, Towards
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.placed import PlacedPiece
from nestcut.papers.view.stance import Stance, side_word, stance_of
from nestcut.tolerances.lengths import ALIKE_DEG, LEAST_MM

JOIN_MM = 0.3
"""How far outside its part's piece an edge may run and still belong to it. [mm]"""
_ALONG = 0.5
"""An edge runs up or forward if its direction's share that way is larger. [-]"""


@dataclass(frozen=True, slots=True)
class BevelView:
    """A bevel of a piece as it lies on the sheet; ``lines`` and ``body`` are in the sheet's frame.

    ``body`` is the piece without its allowance: bevels belong to its edges. ``at_ends_deg`` has
    the angles at the first and the last point of each line; empty where they are the same.
    """

    letter: str
    bevel: EdgeBevel
    lines: tuple[LineString, ...]
    body: Polygon | MultiPolygon
    is_planed_up: bool
    at_ends_deg: tuple[tuple[float, float], ...] = ()


def bevels_of(placed: PlacedPiece) -> tuple[BevelView, ...]:
    """Return the bevels on edges that a piece has; a share of a part has some of the part's."""
    part, piece = placed.part, placed.piece
    if part is None or not part.edge_bevels:
        return ()
    pose = placed.placement
    is_mirrored = piece.hand is not None and piece.hand is not part.drawn
    net = to_polygon(piece.net)
    body = to_polygon(move_shape(piece.net, pose))
    views = []
    for number, bevel in enumerate(part.edge_bevels):
        lines: list[LineString] = []
        ends: list[tuple[float, float]] = []
        for k, line in enumerate(bevel.lines):
            own = move_points(line, MIRROR) if is_mirrored else line
            way = LineString(own)
            if piece.n_shares > 1:
                within = shapely.get_parts(way.intersection(net.buffer(JOIN_MM)))
                ways = [w for w in within if isinstance(w, LineString) and w.length > JOIN_MM]
            else:
                ways = [way]
            told = bevel.at_ends_deg[k] if bevel.at_ends_deg else None
            ends += [_between(way, w, told) for w in ways if told is not None]
            lines += [
                LineString(move_points(tuple((float(x), float(y)) for x, y in w.coords), pose))
                for w in ways
            ]
        if lines:
            planed = Face.BACK if bevel.larger is Face.GOOD else Face.GOOD
            is_up = (planed is Face.GOOD) is placed.is_face_up
            changes = any(abs(a - b) > ALIKE_DEG for a, b in ends)
            views.append(
                BevelView(
                    bevel_letter(number),
                    bevel,
                    tuple(lines),
                    body,
                    is_up,
                    tuple(ends) if changes else (),
                )
            )
    return tuple(views)


def _between(
    whole: LineString, part: LineString, ends_deg: tuple[float, float]
) -> tuple[float, float]:
    """Angles at the ends of a part of an edge; they change evenly along it."""
    low, high = ends_deg
    shares = [
        whole.project(Point(part.coords[k]), normalized=True) if whole.length else 0.0
        for k in (0, -1)
    ]
    a, b = (low + (high - low) * float(s) for s in shares)
    return a, b


def angle_words(degrees: float) -> str:
    """Write an angle to a tenth of a degree."""
    return f"{round(degrees, 1):g}°"


EndNames = Callable[[Vertex, Vertex], tuple[str, str]]
"""Names both ends of an edge by where they lie: ``along 20`` and ``along 480``."""


def bevel_angles(view: BevelView, stance: Stance, names: EndNames | None = None) -> str:
    """How far a bevel is off square, at both ends if it changes: ``8° at DOWN end, 11° at UP end``.

    Parameters
    ----------
    names
        How ends are named; None: by what the builder sees.
    """
    if not view.at_ends_deg:
        return bevel_tilt(view.bevel)
    told = [
        _ends_words(line, ends, stance) if names is None else _placed_words(line, ends, names)
        for line, ends in zip(view.lines, view.at_ends_deg, strict=True)
    ]
    return "; ".join(dict.fromkeys(told))


def _ends_words(line: LineString, ends_deg: tuple[float, float], stance: Stance) -> str:
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    run = (bx - ax, by - ay)
    size = max((run[0] ** 2 + run[1] ** 2) ** 0.5, LEAST_MM)
    pairs: list[tuple[float, str]] = []
    for way, low, high in ((stance.up, "DOWN", "UP"), (stance.forward, "AFT", "FWD")):
        share = 0.0 if way is None else (run[0] * way[0] + run[1] * way[1]) / size
        if abs(share) > _ALONG:
            names = (low, high) if share > 0.0 else (high, low)
            pairs = list(zip(ends_deg, names, strict=True))
            pairs.sort(key=lambda p: p[1] != low)
            break
    else:
        names = (side_word((-run[0], -run[1])), side_word(run))
        pairs = list(zip(ends_deg, names, strict=True))
        pairs.sort(key=lambda p: p[1])
    return ", ".join(f"{angle_words(angle)} at {name} end" for angle, name in pairs)


def _placed_words(line: LineString, ends_deg: tuple[float, float], names: EndNames) -> str:
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    pairs = zip(ends_deg, names((ax, ay), (bx, by)), strict=True)
    return ", ".join(sorted(f"{angle_words(angle)} at {name}" for angle, name in pairs))


def bevel_words(placed: PlacedPiece, figures: Figures) -> tuple[str, ...]:
    """Edge bevels in words, those marked at their edges with their letters first."""
    if placed.part is None:
        return ()
    stance = stance_of(placed)
    part = placed.part
    told = (_bevel_sentence(v, placed, part, stance, figures) for v in bevels_of(placed))
    return (*told, *part.bevels)


def bevel_words_short(
    placed: PlacedPiece, figures: Figures, names: EndNames | None = None
) -> tuple[str, ...]:
    """The same for narrow places: the faces with their letters and angles.

    Parameters
    ----------
    names
        As in :func:`bevel_angles`.
    """
    part = placed.part
    if part is None:
        return ()
    stance = stance_of(placed)
    by_work: dict[str, list[str]] = {}
    for view in bevels_of(placed):
        more = f" ({view.bevel.words})" if view.bevel.words else ""
        deep = _deep_words(view, part.thickness_mm, figures)
        deep = deep.removesuffix(" the edge") if by_work else deep
        off = "" if view.bevel.tilt_deg is None or by_work else " off square"
        edges = f"edge{'s' if len(view.lines) > 1 else ''} {view.letter}"
        by = "" if view.bevel.tilt_deg is None else "by "
        told = f"{edges} {by}{bevel_angles(view, stance, names)}{off}{deep}{more}"
        by_work.setdefault(_planed_words(placed, view.bevel), []).append(told)
    marked = tuple(
        f"{_after_trim(part)}bevel {'; '.join(each)}: {planed}" for planed, each in by_work.items()
    )
    return (*marked, *(f"bevel {b}" for b in part.bevels))


def _planed_words(placed: PlacedPiece, bevel: EdgeBevel) -> str:
    """From where on which face to where a bevel is planed, and where that face looks and lies."""
    face = _OTHER[bevel.larger]
    named = f"{_FACE[face]}{_where(placed, face)}"
    if bevel.tilt_deg is None:
        return f"plane {named}, the other keeps the outline"
    return f"saw square, draw that line on {named}, plane from it to the other face's edge"


def _where(placed: PlacedPiece, face: Face) -> str:
    """Where a face looks in the boat, as far as is said, and where it lies: `` (after, in sight)``.

    A builder who has pencilled nothing yet has only the sheet to go by.
    """
    looks = "" if placed.part is None else _looking(placed.part.bearings, face)
    lies = "in sight" if (face is Face.GOOD) is placed.is_face_up else "underneath"
    return f" ({looks}, {lies})" if looks else f" ({lies})"


def _looking(bearings: Bearings, face: Face) -> str:
    """Where a face looks in the boat; empty where nobody has said."""
    own = Towards.GOOD if face is Face.GOOD else Towards.BACK
    for towards, seen, hidden in (
        (bearings.forward, "fore", "after"),
        (bearings.up, "upper", "lower"),
    ):
        if towards in {Towards.GOOD, Towards.BACK}:
            return seen if towards is own else hidden
    if bearings.outside is Outside.UNSAID:
        return ""
    is_out = (bearings.outside is Outside.GOOD) is (face is Face.GOOD)
    return "outside" if is_out else "inside"


def _deep_words(view: BevelView, thickness_mm: float, figures: Figures) -> str:
    """Where a bevel begins on the face that is planed: thickness x tan(angle off square) inside.

    Never ``31/64" in``: that reads as inches.
    """
    tilts = [t for ends in view.at_ends_deg for t in ends] or list(view.bevel.tilt_deg or ())
    if not tilts:
        return ""
    least, most = (thickness_mm * math.tan(math.radians(t)) for t in (min(tilts), max(tilts)))
    low, high = (figures.near(v) for v in (least, most))
    both = f"{low.removesuffix(' mm')} to {high}"
    return f", {low if low == high else both} inside the edge"


def _after_trim(part: SheetPart) -> str:
    return "once trimmed, " if part.allowance_mm > 0.0 else ""


_FACE = {Face.GOOD: "GOOD face", Face.BACK: "BACK"}
_OTHER = {Face.GOOD: Face.BACK, Face.BACK: Face.GOOD}


def bevel_letter(number: int) -> str:
    """Letter of a part's bevel by its number from 0: a, b, .. z, a2, b2, ..."""
    rounds, letter = divmod(number, 26)
    return "abcdefghijklmnopqrstuvwxyz"[letter] + (str(rounds + 1) if rounds else "")


def bevel_tilt(bevel: EdgeBevel) -> str:
    """How far a bevel is off square: ``12°``, ``8° to 15°``, or ``to fit``."""
    if bevel.tilt_deg is None:
        return "to fit"
    low, high = (angle_words(t) for t in bevel.tilt_deg)
    return low if low == high else f"{low} to {high}"


def bevel_label(letter: str, bevel: EdgeBevel) -> str:
    """What stands at a bevelled edge; the other face keeps its full size."""
    face = "BACK" if bevel.larger is Face.GOOD else "GOOD face"
    # Words along an edge may run either way: which end has which angle only lists can say.
    tilt = "by the table" if has_two_angles(bevel) else bevel_tilt(bevel)
    return f"{letter}  bevel {tilt}  plane {face}"


def has_two_angles(bevel: EdgeBevel) -> bool:
    """Whether the angle changes along the edge."""
    return bevel.tilt_deg is not None and len({angle_words(t) for t in bevel.tilt_deg}) > 1


def _bevel_sentence(
    view: BevelView, placed: PlacedPiece, part: SheetPart, stance: Stance, figures: Figures
) -> str:
    """Tell a marked bevel in a list: letter, edge, angle off square, the face that is planed."""
    bevel = view.bevel
    off = "" if bevel.tilt_deg is None else " off square"
    more = f" ({bevel.words})" if bevel.words else ""
    deep = _deep_words(view, part.thickness_mm, figures)
    planed = _planed_words(placed, bevel)
    angles = f"{bevel_angles(view, stance)}{off}{deep}"
    told = f"{_after_trim(part)}{planed}".replace("trimmed, saw square", "trimmed square")
    return f"{view.letter} {bevel.name}: {angles}, {told}{more}"
