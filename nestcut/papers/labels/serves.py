"""Which pieces of a part a pattern serves for: as it lies, or turned over.

Joints of port and starboard may lie elsewhere, and pieces of one part differ: a pattern serves only
where outline, holes and lines fall on each other.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.piece import SheetPiece
from nestcut.papers.marking import with_joint_lines
from nestcut.papers.view import PlacedPiece, PlanView
from nestcut.tolerances import VERIFY_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """Pieces of one part, by their names in words.

    Parameters
    ----------
    alike
        Those that the pattern fits as it lies, its own piece among them.
    turned
        Those that it fits turned over.
    others
        Those that it doesn't fit.
    """

    alike: tuple[str, ...]
    turned: tuple[str, ...] = ()
    others: tuple[str, ...] = ()


def served_by(placed: PlacedPiece, view: PlanView) -> Served:
    """Sort the pieces of a piece's part by how its pattern fits them."""
    piece = placed.piece
    of_part = [p.piece for s in view.sheets for p in s.placed if p.piece.part == piece.part]
    own = _lines(piece)
    over = (
        affinity.scale(own[0], xfact=-1.0, origin=(0, 0)),
        affinity.scale(own[1], xfact=-1.0, origin=(0, 0)),
    )
    alike, turned, others = [], [], []
    for other in sorted(of_part, key=lambda p: p.id):
        theirs, name = _lines(other), view.name_of(other.id)
        if _fall_together(own, theirs):
            alike.append(name)
        elif _fall_together(over, theirs):
            turned.append(name)
        else:
            others.append(name)
    return Served(alike=tuple(alike), turned=tuple(turned), others=tuple(others))


def _lines(piece: SheetPiece) -> tuple[BaseGeometry, BaseGeometry]:
    """What is cut, and what is drawn on it."""
    whole = with_joint_lines(piece.shape, tuple((e.kind.value, e.line) for e in piece.ends))
    cut = Polygon(whole.outline.points, [h.points for h in whole.holes]).boundary
    drawn = [LineString(m.points) for m in whole.marks if len(m.points) > 1]
    return cut, shapely.union_all(drawn)


def _fall_together(
    a: tuple[BaseGeometry, BaseGeometry], b: tuple[BaseGeometry, BaseGeometry]
) -> bool:
    """Whether lines are the same, wherever they lie in the pieces' own frames."""
    shift = (b[0].bounds[0] - a[0].bounds[0], b[0].bounds[1] - a[0].bounds[1])
    return all(
        one.is_empty == other.is_empty
        and (
            one.is_empty
            or shapely.hausdorff_distance(affinity.translate(one, *shift), other) <= VERIFY_MM
        )
        for one, other in zip(a, b, strict=True)
    )
