"""Our own DXF files: same bytes, clean in two readers, true to a thousandth of a millimetre."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import ezdxf.filemanagement
import numpy as np
import pytest
import shapely
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile

from nestcut.drawings import write
from nestcut.drawings.read import read_drawing
from nestcut.drawings.write import write_shape_drawing, write_sheet_drawing
from nestcut.geometry.curves import end_point, evaluate_many, flatten, start_point
from nestcut.geometry.pose import MIRROR, move_shape
from nestcut.geometry.rings import Side, mark_from_curves, ring_from_curves, shape_area_mm2
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Spline
from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import Faces, Grain, Hand, HoleUse, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Plan, SheetLayout, StopReason, VerifiedPlan
from nestcut.model.pose import Lie, Placement
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import KeepOut

EDGE: tuple[Curve, ...] = (
    Line((0, 0), (400, 0)),
    Arc((400, 50), 50, -90, 180),
    Spline(
        3,
        ((400, 100), (300, 180), (200, 60), (120, 120)),
        (0, 0, 0, 0, 1, 1, 1, 1),
    ),
    EllipticArc((60, 120), (60, 0), (0, 30), 0.0, math.pi),
    Line((0, 120), (0, 0)),
)
HOLES: tuple[tuple[Curve, ...], ...] = (
    (Arc((300, 50), 20, 0, 360),),
    (EllipticArc((150, 50), (15, 20), (-8, 6), 0.4, 2 * math.pi),),
    (
        Line((40, 20), (80, 20)),
        Arc((80, 40), 20, 270, 180),
        Line((80, 60), (40, 60)),
        Arc((40, 40), 20, 90, 180),
    ),
)


def panel() -> Shape:
    return Shape(
        ring_from_curves(EDGE, 0.05, Side.OUTLINE),
        tuple(ring_from_curves(h, 0.05, Side.HOLE) for h in HOLES),
        (mark_from_curves((Line((200, 10), (200, 90)),), 0.05, "frame 2"),),
    )


def piece(name: str, shape: Shape) -> SheetPiece:
    return SheetPiece(
        id=name,
        part=name.rpartition(" ")[0],
        hand=Hand.PORT,
        copy=1,
        share=1,
        n_shares=1,
        shape=shape,
        net=shape,
        material="ply",
        thickness_mm=6,
        grain=Grain.ANY,
        turning=Turning.FREE,
        small_angle_deg=0,
        faces=Faces.EITHER,
        hole_use=HoleUse.KEEP,
    )


PLACES = (
    Placement(piece="panel P1", lie=Lie.FACE_UP, turn_deg=0.0, shift_mm=(20.0, 20.0)),
    Placement(piece="panel S1", lie=Lie.FACE_DOWN, turn_deg=27.5, shift_mm=(1200.0, 300.0)),
    Placement(piece="grün 2", lie=Lie.FACE_UP, turn_deg=90.0, shift_mm=(2000.0, 100.0)),
)


def verified() -> VerifiedPlan:
    shape = panel()
    pieces = (
        piece("panel P1", shape),
        piece("panel S1", move_shape(shape, MIRROR)),
        piece("grün 2", shape),
    )
    layout = SheetLayout(
        stock="ply 6",
        number=1,
        length_mm=2440,
        width_mm=1220,
        thickness_mm=6,
        outline=None,
        edge_trim_mm=0,
        keep_outs=(KeepOut(points=((2300, 1100), (2400, 1100), (2400, 1200)), reason="knot"),),
        placements=PLACES,
    )
    plan = Plan(
        seed=0,
        effort="quick",
        workers=1,
        seconds_limit=None,
        stopped_by=StopReason.WORK_DONE,
        pieces=pieces,
        rail_pieces=(),
        sheets=(layout,),
        boards=(),
        joints=(),
        unplaced=(),
        bounds=(),
        buy=(),
    )
    job = Job(name="boat", file="job.toml", sha256="", cutting=CuttingRules(kerf_mm=2))
    return VerifiedPlan(job=job, plan=plan, checks=())


@pytest.fixture(name="sheet")
def _sheet(tmp_path: Path) -> Path:
    path = tmp_path / "sheets" / "01.dxf"
    made = verified()
    write_sheet_drawing(path, made, made.plan.sheets[0])
    return path


def _placed() -> list[Shape]:
    made = verified()
    shapes = {p.id: p.shape for p in made.plan.pieces}
    return [move_shape(shapes[place.piece], place) for place in PLACES]


def _off_mm(first: tuple[Curve, ...], second: tuple[Curve, ...]) -> float:
    """Greatest distance of fine points of the first from the second's true curves."""
    lines = shapely.multilinestrings([shapely.linestrings(flatten(c, 1e-5)) for c in second])
    points = np.concatenate([evaluate_many(c, np.linspace(0, 1, 23)) for c in first])
    return float(shapely.distance(shapely.points(points), lines).max())


def test_sheet_passes_the_audit_of_the_library(sheet: Path) -> None:
    document = readfile(sheet)
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert document.header["$INSUNITS"] == 4
    layers = {e.dxf.layer for e in document.modelspace()}
    assert layers == {
        write.SHEET_EDGE, write.KEEP_OUT, write.OUTLINE, write.CUT_OUT, write.MARK, write.TEXT
    }  # fmt: skip


def test_sheet_read_back_is_the_plan_to_less_than_a_micrometre(sheet: Path) -> None:
    drawing = read_drawing(sheet)
    assert drawing.unit == "mm"
    outlines = [o for o in drawing.outlines if o.layer == write.OUTLINE]
    assert len(outlines) == 3
    for shape, outline in zip(_placed(), sorted(outlines, key=lambda o: o.box_mm[0]), strict=True):
        assert outline.area_mm2 == pytest.approx(shape_area_mm2(shape), abs=_rim_mm2(shape))
        assert len(outline.shape.holes) == 3
        assert len(outline.shape.marks) == 1
        assert _off_mm(shape.outline.curves, outline.shape.outline.curves) < 1e-3
        assert _off_mm(outline.shape.outline.curves, shape.outline.curves) < 1e-3
        for hole in shape.holes:
            offs = [_off_mm(hole.curves, other.curves) for other in outline.shape.holes]
            assert min(offs) < 1e-3
    assert "grün, port" in {label for o in outlines for label in o.labels}


def test_shape_read_back_is_the_shape(tmp_path: Path) -> None:
    path = tmp_path / "shape.dxf"
    write_shape_drawing(path, panel(), "side panel")
    (outline,) = read_drawing(path).outlines
    assert outline.name == "side panel"
    assert _off_mm(EDGE, outline.shape.outline.curves) < 1e-3
    kinds = {type(c) for c in outline.shape.outline.curves}
    assert kinds == {Line, Arc}


def _rim_mm2(shape: Shape) -> float:
    """Area of a micrometre along the edges. [mm2]"""
    rings = (shape.outline, *shape.holes)
    return 1e-3 * sum(shapely.length(shapely.linearrings(r.points)) for r in rings)


def test_every_outline_is_one_closed_polyline_and_the_header_knows_its_extent(sheet: Path) -> None:
    """Read with ezdxf: closed, in mm, no loose entity on the layers that are cut."""
    document = ezdxf.filemanagement.readfile(sheet)
    cut = [e for e in document.modelspace() if e.dxf.layer in {write.OUTLINE, write.CUT_OUT}]
    assert len(cut) == sum(1 + len(shape.holes) for shape in _placed())
    assert all(e.dxftype() == "CIRCLE" or (isinstance(e, LWPolyline) and e.closed) for e in cut)
    assert document.header["$INSUNITS"] == 4
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    points = [p for shape in _placed() for p in shape.outline.points]
    assert low[0] <= min(x for x, _ in points)
    assert high[1] >= max(y for _, y in points)
    assert high[0] < 1e5


def test_points_of_an_outline_left_oversize_become_arcs_again(tmp_path: Path) -> None:
    """A half round end flattened to points is written as arcs, within three hundredths."""
    angles = [math.pi * (k / 60.0 - 0.5) for k in range(61)]
    ring = tuple((300.0 + 110.0 * math.cos(a), 110.0 * math.sin(a)) for a in angles)
    shape = Shape(Ring(((0.0, 110.0), (0.0, -110.0), *ring)))
    path = tmp_path / "end.dxf"
    write_shape_drawing(path, shape, "end")
    (outline,) = read_drawing(path).outlines
    curves = outline.shape.outline.curves
    assert len(curves) <= 6
    assert sum(isinstance(c, Arc) for c in curves) >= 2
    assert outline.area_mm2 == pytest.approx(300 * 220 + math.pi * 110**2 / 2, rel=1e-5)


def test_straight_shapes_without_curves_are_written_too(tmp_path: Path) -> None:
    from nestcut.model.shape import Ring

    path = tmp_path / "box.dxf"
    write_shape_drawing(path, Shape(Ring(((0, 0), (300, 0), (300, 200), (0, 200)))), "a\nb%%c\\P")
    (outline,) = read_drawing(path).outlines
    assert outline.area_mm2 == pytest.approx(60_000, rel=1e-14)


def test_second_reader_sees_the_same_areas(sheet: Path) -> None:
    """GDAL's DXF driver (through pyogrio) as the outside reader."""
    pyogrio = pytest.importorskip("pyogrio")
    _, _, wkb, fields = pyogrio.raw.read(sheet, columns=["Layer"])
    lines = shapely.from_wkb(wkb)
    outline = np.asarray(fields[0]) == write.OUTLINE
    noded = [shapely.set_precision(g, 1e-3) for g in lines[outline]]
    polygons, *_ = shapely.polygonize_full(noded)
    areas = sorted(shapely.area(shapely.get_parts(polygons)))
    truths = sorted(shape_area_mm2(Shape(shape.outline)) for shape in _placed())
    assert areas == pytest.approx(truths, rel=2e-4)


def test_same_plan_same_bytes(sheet: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.dxf"
    script = (
        "from pathlib import Path\n"
        "from tests.unit.drawings.test_write import verified\n"
        "from nestcut.drawings.write import write_sheet_drawing\n"
        "v = verified()\n"
        f"write_sheet_drawing(Path({str(again)!r}), v, v.plan.sheets[0])\n"
    )
    root = Path(__file__).parents[3]
    subprocess.run(
        [sys.executable, "-c", script], check=True, cwd=root, env={"PYTHONHASHSEED": "7"}
    )
    assert again.read_bytes() == sheet.read_bytes()


def test_ellipses_of_any_axes_are_written_true(tmp_path: Path) -> None:
    """Minor before major, mirrored, skewed half diameters, arcs run clockwise."""
    path = tmp_path / "ellipses.dxf"
    for k, (first, second, sweep) in enumerate(
        [((5, 0), (0, 40), 6.0), ((40, 30), (9, -12), 2.0), ((30, 10), (10, 25), -4.0)]
    ):
        arc = EllipticArc((0, 0), first, second, 0.7, sweep)
        edge: tuple[Curve, ...] = (arc, Line(end_point(arc), start_point(arc)))
        shape = Shape(ring_from_curves(edge, 0.05, Side.OUTLINE))
        write_shape_drawing(path, shape, f"ellipse {k}")
        (outline,) = read_drawing(path).outlines
        assert outline.area_mm2 == pytest.approx(shape_area_mm2(shape), abs=_rim_mm2(shape))
        assert _off_mm(edge, outline.shape.outline.curves) < 1e-3


def test_ends_of_written_runs_meet(tmp_path: Path) -> None:
    path = tmp_path / "shape.dxf"
    write_shape_drawing(path, panel(), "p")
    (outline,) = read_drawing(path).outlines
    curves = outline.shape.outline.curves
    for before, after in zip(curves, [*curves[1:], curves[0]], strict=True):
        assert math.dist(end_point(before), start_point(after)) < 1e-6
