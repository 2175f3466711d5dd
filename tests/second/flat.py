"""Flat pieces: each the shape, hand and grain the job asks for, where a sheet has room for it."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tests.second.asked import FlatPart, JobAsked, JointAsked, Stock
from tests.second.copies import Copy
from tests.second.poses import G, Pose, poses
from tests.second.written import DrawnPiece, DrawnSheet

EXACT_MM = 0.004
"""Straight and round lines are drawn as they are; chords of both sides. [mm]"""
SMOOTH_MM = 0.04
"""Other curves are drawn in arcs within 0.03 mm (README: tolerances), and chords. [mm]"""
GROWN_MM = 0.15
"""An allowance's outline: flat to 0.05 mm, drawn in arcs, corners mitred or round. [mm]"""
GROWN_LOOSE_MM = 0.1
"""An allowance's outline is laid out by chords, 0.05 mm flat, and drawn in arcs through their ends,
which are off besides: up to 0.1 mm in all (README), 0.099 by an ellipse of job 41000482. [mm]"""
SLACK_MM = 0.011
"""What clearances and edges are granted. [mm]"""
_FAR = 1e5
_TURN_DEG = 0.01


@dataclass
class Share:
    """What one piece must be, in the frame of its part as drawn, and the part's own strip of it."""

    net: Polygon
    strip: Polygon | None


@dataclass
class Placed:
    """A piece with the motion found for it."""

    piece: DrawnPiece
    part: FlatPart
    true: Polygon
    loose_mm: float
    """How far what is drawn may stand out from the true line. [mm]"""

    @property
    def is_true_known(self) -> bool:
        """Whether the true line is another than the drawn one."""
        return self.true is not self.piece.cut


def handed(shape: G, part: FlatPart, hand: str, *, is_down: bool) -> G:
    """Mirror a shape once for the other hand, once for the face that lies down."""
    is_other = hand not in {"", part.drawn}
    return affinity.scale(shape, -1.0, 1.0, origin=(0, 0)) if is_other != is_down else shape


def frame(part: FlatPart, rule: JointAsked) -> tuple[float, float, bool]:
    """Return where a part begins and ends along its joints' axis, and whether that is x. [mm]"""
    assert part.shape is not None
    x0, y0, x1, y1 = part.shape.bounds
    is_x = rule.along == "length" if rule.along else x1 - x0 >= y1 - y0
    return (x0, x1, True) if is_x else (y0, y1, False)


def shares_of(part: FlatPart, copy: Copy) -> list[Share] | None:
    """Cut the part at its joints; None for joints whose pieces can't be said beforehand."""
    assert part.shape is not None
    if len(copy.rows) == 1:
        return [Share(part.shape, None)]
    rule = part.joint
    if rule is None or rule.kind == "keyed":
        return None
    start, _, is_x = frame(part, rule)
    half = rule.overlap_mm(part.thickness_mm) / 2.0
    places = rule.at_mm if rule.at_mm is not None else copy.at_mm
    found = []
    for k in range(len(copy.rows)):
        low = -_FAR if k == 0 else start + places[k - 1] - half
        high = _FAR if k == len(copy.rows) - 1 else start + places[k] + half
        strip = shapely.box(low, -_FAR, high, _FAR) if is_x else shapely.box(-_FAR, low, _FAR, high)
        lumps = shapely.get_parts(part.shape.intersection(strip)).tolist()
        net = max((g for g in lumps if isinstance(g, Polygon)), key=lambda g: g.area)
        found.append(Share(net, strip))
    return found


def check_piece(
    part: FlatPart, share: Share, drawn: DrawnPiece, hand: str, stock: Stock
) -> tuple[list[str], Placed | None]:
    """Check one piece's outline, face and turn."""
    if drawn.is_face_down and part.faces != "either" and not stock.is_good_both:
        return [f"{drawn.name}: lies face down"], None
    within = SMOOTH_MM if part.is_smooth else EXACT_MM
    if part.joint is not None and part.joint.at_mm is None and share.strip is not None:
        within += 0.006  # places are read from a list that has hundredths
    want = handed(share.net, part, hand, is_down=drawn.is_face_down)
    if part.allowance_mm > 0.0:
        if drawn.finished is None:
            return [f"{drawn.name}: left oversize, but no finished edge is drawn"], None
        # a round edge alone doesn't say how it is turned: its holes do
        edge, near = Polygon(drawn.finished), max(within, GROWN_MM)
        fits = poses(want, Polygon(drawn.finished, list(drawn.cut.interiors)), near)
        fits = fits or poses(Polygon(want.exterior), edge, near)
        true: Polygon = drawn.cut
    else:
        fits = poses(want, drawn.cut, within)
        true = drawn.cut
    if not fits:
        return [f"{drawn.name}: its outline is not that of {part.name} {hand}".rstrip()], None
    lawful = [p for p in fits if _may_turn(part, stock, p, want)]
    if not lawful:
        turns = ", ".join(f"{p.turn_deg:.3f}" for p in fits)
        return [f"{drawn.name}: turned {turns} degrees"], None
    if part.allowance_mm > 0.0:
        if not any(_is_grown(part, share, drawn, hand, p) for p in lawful):
            return [f"{drawn.name}: not its finished edge and {part.allowance_mm} mm"], None
    else:
        true = lawful[0].place(want)
    return [], Placed(drawn, part, true, loose_of(part))


def loose_of(part: FlatPart) -> float:
    """How far a part's drawn outline may stand out. [mm]"""
    return GROWN_LOOSE_MM if part.allowance_mm > 0.0 else SMOOTH_MM if part.is_smooth else 0.0


def _may_turn(part: FlatPart, stock: Stock, pose: Pose, want: Polygon) -> bool:
    """Whether the grain runs as the part asks, within the turns it allows.

    Sheets and boards have x along their length; ``grain`` says where a sheet's face grain runs.
    """
    assert part.shape is not None
    is_mirrored = want.exterior.is_ccw != part.shape.exterior.is_ccw
    if part.grain == "any" and part.turn == "free":
        return True
    base = {"along": (0.0,), "across": (90.0, 270.0), "any": (0.0, 90.0, 270.0)}[part.grain]
    if stock.grain == "across":
        base = tuple(b + 90.0 for b in base) + tuple(b + 270.0 for b in base)
    if part.turn != "none" or is_mirrored:
        base += tuple(b + 180.0 for b in base)
    if part.grain == "any" and part.turn == "quarter":
        base += (0.0, 90.0, 180.0, 270.0)
    slack = part.small_deg if part.turn in {"small", "free"} else 0.0
    return any(abs((pose.turn_deg - b + 180.0) % 360.0 - 180.0) <= slack + _TURN_DEG for b in base)


def _is_grown(part: FlatPart, share: Share, drawn: DrawnPiece, hand: str, pose: Pose) -> bool:
    """Whether what is cut is the net and its allowance, mitred at corners or rounder; at joints no
    more than the joint leaves."""
    assert part.shape is not None
    solid = Polygon(part.shape.exterior)
    least = solid.buffer(part.allowance_mm - GROWN_MM, quad_segs=32)
    reach = part.allowance_mm * 1.012 + GROWN_MM
    most = solid.buffer(reach, join_style="mitre", mitre_limit=3.0).union(
        solid.buffer(reach, quad_segs=64)
    )
    low: BaseGeometry = least
    high: BaseGeometry = Polygon(most.exterior) if isinstance(most, Polygon) else most
    if share.strip is not None:
        low = low.intersection(share.strip)
        high = high.intersection(share.strip.buffer(GROWN_MM, join_style="mitre"))
    low, high = (pose.place(handed(g, part, hand, is_down=drawn.is_face_down)) for g in (low, high))
    cut = Polygon(drawn.cut.exterior)
    if low.difference(cut.buffer(GROWN_MM)).area > 1.0 or cut.difference(high).area > 1.0:
        return False
    holes = pose.place(handed(share.net, part, hand, is_down=drawn.is_face_down)).interiors
    if len(holes) != len(drawn.cut.interiors):
        return False
    return all(
        min(_off(Polygon(h), Polygon(d)) for d in drawn.cut.interiors) <= GROWN_MM for h in holes
    )


def _off(a: Polygon, b: Polygon) -> float:
    return float(a.exterior.hausdorff_distance(b.exterior))


# ---- sheets ----


def check_sheet(sheet: DrawnSheet, stock: Stock, placed: list[Placed]) -> list[str]:
    """Pieces lie inside, off what is kept out, and kerf and gap apart."""
    edge = Polygon(stock.outline) if stock.outline else shapely.box(0, 0, *stock.size_mm)
    found = []
    if _off(edge, sheet.edge) > EXACT_MM:
        found.append(f"{sheet.file}: its edge isn't that of {stock.name}")
    if len(stock.barred) != len(sheet.keep_outs) or any(
        min(_off(b, k) for k in sheet.keep_outs) > EXACT_MM for b in stock.barred
    ):
        found.append(f"{sheet.file}: places kept out aren't those of {stock.name}")
    for p in placed:
        found += _check_inside(sheet.file, p, stock, edge)
    return found + _check_apart(sheet.file, placed, stock)


def _check_inside(file: str, p: Placed, stock: Stock, edge: Polygon) -> list[str]:
    found = []
    drawn = (p.piece.cut, SLACK_MM + p.loose_mm)
    for area, slack in (drawn, (p.true, SLACK_MM)) if p.is_true_known else (drawn,):
        x0, y0, x1, y1 = area.bounds
        ends = max(stock.edge_trim_mm, stock.end_trim_mm)
        if stock.outline:
            spots = shapely.points(shapely.get_coordinates(area.exterior))
            out = shapely.distance(spots, edge).max()
            near = area.exterior.distance(edge.exterior)
            is_out = out > slack or (
                stock.edge_trim_mm > 0.0 and near < stock.edge_trim_mm - slack
            ) or not _holds(edge, area, slack)  # fmt: skip
        else:
            is_out = (
                x0 < ends - slack or x1 > stock.length_mm - ends + slack
                or y0 < stock.edge_trim_mm - slack
                or y1 > stock.width_mm - stock.edge_trim_mm + slack
            )  # fmt: skip
        if is_out:
            found.append(f"{file}: {p.piece.name} leaves {stock.name}")
        if any(b.intersects(area) and not _only_touch(area, b, slack) for b in stock.barred):
            found.append(f"{file}: {p.piece.name} lies on a place kept out")
    return found


def _holds(edge: Polygon, area: Polygon, slack: float) -> bool:
    """Corners of the sheet that stand inwards don't cut into a piece."""
    return not area.buffer(-slack).difference(edge).area > 1e-6


def _only_touch(a: Polygon, b: Polygon, slack: float) -> bool:
    common = a.intersection(b)
    return bool(common.is_empty or common.buffer(-slack / 2.0).is_empty)


def _check_apart(file: str, placed: list[Placed], stock: Stock) -> list[str]:
    found = []
    need = stock.saw.kerf_mm + stock.saw.gap_mm
    for k, p in enumerate(placed):
        for q in placed[k + 1 :]:
            # drawn lines stand for true ones to within what curves are drawn to
            loose = p.loose_mm + q.loose_mm
            left = sum(x.loose_mm for x in (p, q) if not x.is_true_known)
            for a, b, slack in ((p.true, q.true, SLACK_MM + left),
                                (p.piece.cut, q.piece.cut, SLACK_MM + loose)):  # fmt: skip
                if need - slack > 0.0:
                    is_near = bool(shapely.dwithin(a, b, need - slack))
                else:
                    is_near = a.intersects(b) and not _only_touch(a, b, 2.0 * slack)
                if is_near:
                    found.append(
                        f"{file}: {p.piece.name} and {q.piece.name} are {a.distance(b):.3f} "
                        f"apart, {need} is needed"
                    )
                    break
            for host, guest in ((p, q), (q, p)):
                if host.part.holes == "use":
                    continue
                if any(Polygon(h).intersects(guest.true) for h in host.piece.cut.interiors):
                    found.append(f"{file}: {guest.piece.name} is cut from {host.piece.name}'s hole")
    return found


def stock_of(job: JobAsked, name: str, length_mm: float) -> list[Stock]:
    """Return the stocks of one name and length (boards to hand may stand beside bought ones)."""
    return [s for s in job.stocks if s.name == name and abs(s.length_mm - length_mm) < 0.006]
