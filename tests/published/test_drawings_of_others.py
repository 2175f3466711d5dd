"""Drawings that other programs wrote (../shared/drawings), against another script's findings.

``index.json`` beside them was made by a throw-away script of others (ezdxf, shapely polygons):
loops with area and box.  Where the reader differs, :data:`EXPLAINED` says how the drawing was
inspected and which of the two is right.  The tests skip where the folder is absent.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from nestcut.drawings.entities.load import load_document
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, DrawnOutline, ReadOptions
from nestcut.geometry.rings import true_area_mm2, true_bounds_mm
from nestcut.units import Unit

FOLDER = Path(__file__).parents[3] / "shared" / "drawings"
INDEX = FOLDER / "index.json"
ROWS: list[dict[str, Any]] = (
    json.loads(INDEX.read_text(encoding="utf-8")) if INDEX.is_file() else []
)
LISTED = 40
"""The index lists the areas of the 40 largest loops only, and counts the others."""

needs_shared = pytest.mark.skipif(not ROWS, reason=f"{FOLDER} isn't there")


@cache
def read(file: str, unit: Unit = Unit.MM) -> Drawing:
    return read_drawing(FOLDER / file, ReadOptions(unit=unit))


def found(drawing: Drawing) -> list[DrawnOutline]:
    return [*drawing.outlines, *drawing.offered]


@dataclass(frozen=True)
class Differs:
    """Where index and reader don't agree: areas that one of them has alone, in drawing units."""

    outlines: int
    missing: tuple[float, ...] = ()
    extra: tuple[float, ...] = ()


def differences(row: dict[str, Any], outlines: list[DrawnOutline]) -> Differs | None:
    """Return what index and reader don't agree on, to the index's printed precision."""
    free = [
        (abs(true_area_mm2(o.shape.outline)), true_bounds_mm(o.shape.outline)) for o in outlines
    ]
    missing = []
    for loop in row["loops"]:
        x0, y0, x1, y1 = loop["bbox"]
        near = 0.002 + 2e-4 * max(x1 - x0, y1 - y0)
        fits = [
            item
            for item in free
            if all(abs(a - b) <= near for a, b in zip(item[1], loop["bbox"], strict=True))
            and abs(item[0] - loop["area"]) <= 0.002 + 1e-3 * loop["area"]
        ]
        if fits:
            free.remove(min(fits, key=lambda item: abs(item[0] - loop["area"])))
        else:
            missing.append(loop["area"])
    extra = [area for area, _ in free] if len(row["loops"]) < LISTED else []
    if not missing and not extra and len(outlines) == row["nloops"]:
        return None
    return Differs(len(outlines), tuple(sorted(missing)), tuple(sorted(extra)))


EXPLAINED = {
    "exported/ogr_poly.dxf": (
        "the outline is in a hatch only; it is offered, the script passed it",
        Differs(1, extra=(110000.0,)),
    ),
    "ezdxf/text_negative_extrusion.dxf": (
        "two nets of lines with branches, read as outlines with marks inside; the script "
        "left both open",
        Differs(83),
    ),
    "ezdxf/multi_insert_with_attribs.dxf": (
        "each flag is a line that ends on its own pole; the script left it open, the "
        "reader cuts the pole off",
        Differs(50, extra=(4.0,) * 25),
    ),
    "ezdxf/circle_radius_le_0.dxf": (
        "a circle of radius -1 is a circle of radius 1",
        Differs(1, extra=(3.141593,)),
    ),
    "ezdxf/wipeout_door.dxf": (
        "jamb and door stop share an edge; the reader takes the outer edge of both and "
        "keeps the common edge as a mark, with a warning that says so",
        Differs(
            19, missing=(*(660.0,) * 8, *(6920.0,) * 6), extra=(*(3920.0,) * 2, *(7580.0,) * 6)
        ),
    ),
    "ezdxf/POLI-ALL210_12.DXF": (
        "twelve polylines tilted in space: the script looks at them from above, the reader lays "
        "them flat (shoelace of the first one's own vertices: 0.999) and asks about them",
        Differs(
            12,
            missing=(
                *(0.423,) * 2,
                *(0.468,) * 2,
                *(0.504,) * 2,
                *(0.569,) * 2,
                *(0.707,) * 2,
                *(0.945,) * 2,
            ),
            extra=(
                *(0.4477857,) * 2,
                *(0.4952236,) * 2,
                *(0.5342285,) * 2,
                *(0.6023336,) * 2,
                *(0.7476215,) * 2,
                *(0.9988458,) * 2,
            ),
        ),
    ),
    "ezdxf/AC1003_LINE_Example.dxf": (
        "a damaged line makes a spike on the script's rectangle; the reader cuts it off "
        "as a tail and finds the circle drawn as two arcs",
        Differs(2, missing=(3.146,), extra=(0.2827433, 3.142699)),
    ),
    "ezdxf/issue1106.dxf": (
        "lines cross at the corners; the reader cuts the overhang off",
        Differs(4, extra=(49259.22,)),
    ),
    "ezdxf/recover01.dxf": (
        "rooms of a floor plan share walls; outer edges are taken, and the coordinates "
        "were mended by the recovering loader",
        Differs(53, missing=(787.05, 1668.696, *(9312.469,) * 2, 13174.29, 18981.53, 376329.4)),
    ),
    "ezdxf/4_world.dxf": (
        "in mm the map is 13 mm wide and the joining gap eats its coasts; read in m the "
        "reader finds all 21, see the test below",
        Differs(20, missing=(23.91,)),
    ),
    "ezdxf/6_closed_loop_with_arcs.dxf": (
        "the loop crosses itself (script: valid false), so its area isn't defined; the "
        "reader says where it crosses",
        Differs(1, missing=(7383.894,), extra=(3353.121,)),
    ),
    "ezdxf/2_polylines.dxf": (
        "overlapping rectangles of loose lines; see the warning on branches",
        Differs(8, missing=(3669.77,), extra=(370.6459, 641.6158, 712.5905, 2190.571, 2701.508)),
    ),
    "trimesh/250_cycloidal.DXF": (
        "one of 106 circles is drawn twice",
        Differs(105),
    ),
    "trimesh/125_cycloidal.DXF": (
        "two of 23 circles are drawn twice",
        Differs(21, missing=(0.003,) * 2),
    ),
    "trimesh/broken_pair.dxf": (
        "a line drawn twice and a gap of 0.04; the script stopped there",
        Differs(1, extra=(7.92,)),
    ),
    "trimesh/broken_loop.dxf": (
        "a line drawn twice; the script stopped there",
        Differs(1, extra=(8.0,)),
    ),
}
"""Why it differs, and by what; the areas are those that were measured when it was inspected."""


@needs_shared
@pytest.mark.parametrize("row", ROWS, ids=[r["file"] for r in ROWS])
def test_outlines_agree_with_the_index_or_are_explained(row: dict[str, Any]) -> None:
    drawing = read(row["file"])
    if "error" in row:  # the script could not read it at all; the reader mends it and says so
        assert found(drawing)
        assert "DXF-004" in {f.code for f in drawing.findings}
        return
    differs = differences(row, found(drawing))
    if row["file"] not in EXPLAINED:
        assert differs is None
        return
    _, expected = EXPLAINED[row["file"]]
    assert differs is not None
    assert differs.outlines == expected.outlines
    assert differs.missing == pytest.approx(expected.missing, rel=1e-3, abs=1e-3)
    assert differs.extra == pytest.approx(expected.extra, rel=1e-3, abs=1e-3)


@needs_shared
@pytest.mark.parametrize("row", ROWS, ids=[r["file"] for r in ROWS])
def test_every_entity_is_used_or_left_out_with_a_reason(row: dict[str, Any]) -> None:
    document = load_document(FOLDER / row["file"]).document
    drawing = read(row["file"])
    known = {h for o in found(drawing) for h in (*o.handles, *o.mark_handles)}
    known |= {s.handle for s in drawing.left_out} | {s.handle for s in drawing.labels}
    entities = [e for e in document.modelspace() if e.dxftype() != "INSERT"]
    assert not [e for e in entities if e.dxf.handle not in known]
    assert all(item.reason for item in drawing.left_out)


def measures(file: str) -> list[float]:
    rows = sorted((o.area_mm2, *o.box_mm) for o in found(read(file)))
    return [value for row in rows for value in row]


@needs_shared
@pytest.mark.parametrize("letter", ["ae", "uc"])
def test_one_drawing_in_all_versions_gives_the_same_outlines(letter: str) -> None:
    files = [r["file"] for r in ROWS if r["file"].startswith(f"trimesh/{letter}.")]
    assert len(files) >= 14
    exact = [measures(file) for file in files if ".r2" in file]
    older = [measures(file) for file in files if ".r1" in file]
    for other in exact[1:]:
        assert other == pytest.approx(exact[0], rel=1e-6, abs=1e-6)
    # Before R2000 the writing program gave its splines as polylines, so the curve differs.
    for other in older:
        assert other == pytest.approx(exact[0], rel=2e-3, abs=5e-3)


@needs_shared
def test_map_of_the_world_in_metres_has_all_its_coasts() -> None:
    (row,) = [r for r in ROWS if r["file"] == "ezdxf/4_world.dxf"]
    outlines = found(read(row["file"], Unit.M))
    assert len(outlines) == row["nloops"]
    largest = sorted(o.area_mm2 / 1e6 for o in outlines)[-3:]
    expected = sorted(loop["area"] for loop in row["loops"])[-3:]
    assert largest == pytest.approx(expected, rel=1e-3)
