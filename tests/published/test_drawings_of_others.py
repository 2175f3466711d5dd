"""Drawings that other programs wrote (../shared/drawings), against another script's findings.

``index.json`` beside them was made by a throw-away script of others (ezdxf, shapely polygons):
loops with area and box.  Where the reader differs, :data:`EXPLAINED` says how the drawing was
inspected and which of the two is right.  The tests skip where the folder is absent.
"""

from __future__ import annotations

import json
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

EXPLAINED = {
    "exported/ogr_poly.dxf": "the outline is in a hatch only; it is offered, the script passed it",
    "ezdxf/text_negative_extrusion.dxf": "two nets of lines with branches, read as outlines with "
    "marks inside; the script left both open",
    "ezdxf/multi_insert_with_attribs.dxf": "each flag is a line that ends on its own pole; the "
    "script left it open, the reader cuts the pole off",
    "ezdxf/circle_radius_le_0.dxf": "a circle of radius -1 is a circle of radius 1",
    "ezdxf/wipeout_door.dxf": "jamb and door stop share an edge; the reader takes the outer edge "
    "of both and keeps the common edge as a mark, with a warning that says so",
    "ezdxf/POLI-ALL210_12.DXF": "one line touches itself and is closed there",
    "ezdxf/AC1003_LINE_Example.dxf": "a damaged line makes a spike on the script's rectangle; the "
    "reader cuts it off as a tail and finds the circle drawn as two arcs",
    "ezdxf/issue1106.dxf": "lines cross at the corners; the reader cuts the overhang off",
    "ezdxf/recover01.dxf": "rooms of a floor plan share walls; outer edges are taken, and the "
    "coordinates were mended by the recovering loader",
    "ezdxf/4_world.dxf": "in mm the map is 13 mm wide and the joining gap eats its coasts; read in "
    "m the reader finds all 21, see the test below",
    "ezdxf/6_closed_loop_with_arcs.dxf": "the loop crosses itself (script: valid false), so its "
    "area isn't defined; the reader says where it crosses",
    "ezdxf/2_polylines.dxf": "overlapping rectangles of loose lines; see the warning on branches",
    "trimesh/250_cycloidal.DXF": "one of 106 circles is drawn twice",
    "trimesh/125_cycloidal.DXF": "two of 23 circles are drawn twice",
    "trimesh/broken_pair.dxf": "a line drawn twice and a gap of 0.04; the script stopped there",
    "trimesh/broken_loop.dxf": "a line drawn twice; the script stopped there",
}

needs_shared = pytest.mark.skipif(not ROWS, reason=f"{FOLDER} isn't there")


@cache
def read(file: str, unit: Unit = Unit.MM) -> Drawing:
    return read_drawing(FOLDER / file, ReadOptions(unit=unit))


def found(drawing: Drawing) -> list[DrawnOutline]:
    return [*drawing.outlines, *drawing.offered]


def differences(row: dict[str, Any], outlines: list[DrawnOutline]) -> list[str]:
    """Return what index and reader don't agree on, to the index's printed precision."""
    free = [
        (abs(true_area_mm2(o.shape.outline)), true_bounds_mm(o.shape.outline)) for o in outlines
    ]
    result = []
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
            result.append(f"missing {loop}")
    if len(outlines) != row["nloops"]:
        result.append(f"{len(outlines)} outlines, index {row['nloops']}")
    if len(row["loops"]) < LISTED:
        result += [f"extra {item}" for item in free]
    return result


@needs_shared
@pytest.mark.parametrize("row", ROWS, ids=[r["file"] for r in ROWS])
def test_outlines_agree_with_the_index_or_are_explained(row: dict[str, Any]) -> None:
    drawing = read(row["file"])
    if "error" in row:  # the script could not read it at all; the reader mends it and says so
        assert found(drawing)
        assert "DXF-004" in {f.code for f in drawing.findings}
        return
    assert bool(differences(row, found(drawing))) == (row["file"] in EXPLAINED)


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
