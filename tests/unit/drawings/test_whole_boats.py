"""Small drawings as builders get them, each with the parts that it holds and no others."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace
from ezdxf.math import BSpline

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, DrawnOutline, Kind, ReadOptions, Verdict
from nestcut.errors import DrawingError, Finding
from nestcut.facts import Length
from nestcut.units import Unit
from nestcut.words import Speech, tell
from tests.unit.drawings.pens import blank, box, loose_box, read_back

HEADER = ReadOptions()


def write(space: Modelspace, text: str, x: float, y: float, layer: str = "0") -> None:
    space.add_text(text, height=20, dxfattribs={"layer": layer}).set_placement((x, y))


def areas(outlines: tuple[DrawnOutline, ...]) -> list[float]:
    return sorted(o.area_mm2 for o in outlines)


def names(drawing: Drawing) -> list[str]:
    return sorted(o.name for o in drawing.outlines)


def codes(drawing: Drawing) -> set[str]:
    return {f.code for f in drawing.findings}


def mm(item: Finding, name: str) -> float:
    value = dict(item.values)[name]
    assert isinstance(value, Length)
    return value.mm


def kinds(drawing: Drawing) -> list[str]:
    return sorted(o.judgement.kind.value for o in drawing.asked if o.judgement.kind)


def not_parts(drawing: Drawing) -> list[Kind | None]:
    return [o.judgement.kind for o in drawing.offered if o.judgement.verdict is Verdict.NOT_A_PART]


# ---- what is seen is read -------------------------------------------------------------------


@pytest.mark.parametrize("state", ["freeze", "off"])
def test_hidden_outline_around_two_panels_leaves_both(state: str, tmp_path: Path) -> None:
    document, space = blank()
    getattr(document.layers.add("old"), state)()
    box(space, 0, 0, 900, 700, "old")
    box(space, 100, 100, 300, 200)
    write(space, "keel web", 120, 150)
    box(space, 100, 400, 300, 240)
    write(space, "thwart", 120, 450)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["keel web", "thwart"]
    assert areas(drawing.outlines) == [60_000.0, 72_000.0]
    (aside,) = [f for f in drawing.findings if f.code == "DXF-032"]
    assert dict(aside.values)["n"] == 1
    assert [o.layer for o in drawing.offered] == ["old"]
    assert not drawing.asked


def test_square_inside_a_hidden_one_is_a_part_and_hidden_text_names_nothing(tmp_path: Path) -> None:
    document, space = blank()
    document.layers.add("old").freeze()
    box(space, 0, 0, 500, 500, "old")
    box(space, 100, 100, 200, 200, "hull")
    write(space, "scrap", 150, 150, "old")
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    assert part.area_mm2 == 40_000.0
    assert part.labels == ()


def test_bottom_on_a_layer_of_its_own_is_no_mark_of_a_thawed_one(tmp_path: Path) -> None:
    """All layers shown: the larger outline is asked about or doubted, never silently a ring."""
    document, space = blank()
    box(space, 0, 0, 2000, 700, "bottom")
    write(space, "bottom", 300, 600, "bottom")
    box(space, 200, 100, 300, 200, "seat")
    write(space, "seat", 250, 150, "seat")
    drawing = read_back(document, tmp_path)
    by_name = {o.name: o for o in drawing.outlines}
    bottom = by_name["bottom"]
    assert bottom.shape.holes == () or bottom.doubts


# ---- holes ----------------------------------------------------------------------------------


def frame(space: Modelspace, half: float, top: float, layer: str) -> float:
    """A frame on the base line y = 0, symmetric about x = 0; returns its area."""
    points = [(-half * 0.7, 0.0), (half * 0.7, 0.0), (half, top), (-half, top)]
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
    write(space, layer, -half * 0.6, top - 30, layer)
    return 1.7 * half * top


def test_frames_over_each_other_on_one_base_line_are_parts_without_holes(tmp_path: Path) -> None:
    document, space = blank()
    expected = [
        frame(space, 400, 300, "frame 1"),
        frame(space, 550, 380, "frame 2"),
        frame(space, 650, 460, "frame 3"),
    ]
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["frame 1", "frame 2", "frame 3"]
    assert areas(drawing.outlines) == pytest.approx(expected)
    assert all(o.shape.holes == () for o in drawing.outlines)


@pytest.mark.parametrize("off", [0.0, 0.05, 0.2])
def test_outline_drawn_again_slightly_off_is_one_part(off: float, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 800, 300)
    box(space, off, off, 800, 300)
    drawing = read_back(document, tmp_path)
    assert areas(drawing.outlines) == pytest.approx([240_000.0], rel=1e-3)
    assert drawing.outlines[0].shape.holes == ()
    assert codes(drawing) & {"DXF-025", "DXF-028"}


def test_double_page_border_is_no_part(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 4200, 2970)
    box(space, 100, 100, 4000, 2770)
    for i in range(3):
        box(space, 300 + 900 * i, 500, 700, 300 + 40 * i)
        write(space, f"panel {'abc'[i]}", 350 + 900 * i, 600)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["panel a", "panel b", "panel c"]
    assert areas(drawing.outlines) == [210_000.0, 238_000.0, 266_000.0]
    assert [f.code for f in drawing.findings].count("DXF-030") == 2


@pytest.mark.parametrize("layer", ["0", "allowance"])
def test_panel_with_its_allowance_line_is_no_ring(layer: str, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1200, 400)
    box(space, -20, -20, 1240, 440, layer)
    drawing = read_back(document, tmp_path)
    assert all(o.shape.holes == () for o in drawing.outlines)
    both = [*drawing.outlines, *drawing.asked]
    assert 480_000.0 in [o.area_mm2 for o in both]
    if layer == "allowance":
        assert areas(drawing.outlines) == [480_000.0]
        assert not_parts(drawing) == [Kind.ALLOWANCE]
    else:
        assert drawing.outlines == ()
        assert kinds(drawing) == [Kind.ALLOWANCE.value] * 2


def test_t_pieces_in_a_router_template_are_no_thin_rims(tmp_path: Path) -> None:
    """A T with the tool path half a cutter outside: 0.4 % of its area would be left."""
    document, space = blank()
    for x in (0.0, 600.0):
        for d in (0.0, 0.5):
            points = [(-200 - d, -d), (200 + d, -d), (200 + d, 100 + d), (50 + d, 100 + d),
                      (50 + d, 400 + d), (-50 - d, 400 + d), (-50 - d, 100 + d),
                      (-200 - d, 100 + d)]  # fmt: skip
            space.add_lwpolyline([(x + a, b) for a, b in points], close=True)
    drawing = read_back(document, tmp_path)
    assert all(o.shape.holes == () for o in (*drawing.outlines, *drawing.asked))
    found = [o.area_mm2 for o in (*drawing.outlines, *drawing.asked)]
    assert sum(1 for a in found if a == pytest.approx(70_000.0)) == 2


def test_plain_round_holes_are_holes_without_a_doubt(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 400)
    for x in (200, 450, 700):
        space.add_circle((x, 200), 60)
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    assert part.area_mm2 == pytest.approx(360_000.0 - 3 * math.pi * 3600.0)
    assert len(part.shape.holes) == 3
    assert part.doubts == ()


def test_labelled_closed_line_inside_a_part_is_doubted(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 400)
    write(space, "deck", 20, 350)
    box(space, 300, 100, 200, 150)
    write(space, "king plank", 320, 150)
    drawing = read_back(document, tmp_path)
    (deck,) = [o for o in drawing.outlines if o.name == "deck"]
    assert len(deck.doubts) == 1
    assert "DXF-241" in {r.code for r in deck.doubts[0].reasons}
    assert "DXF-058" in codes(drawing)


def said(drawing: Drawing, code: str) -> str:
    return next(tell(f, Speech()).message for f in drawing.findings if f.code == code)


def test_outlines_over_an_edge_are_told_by_their_numbers_in_the_picture(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 800, 300, "hull")
    box(space, 100, 0, 200, 100, "seats")
    box(space, 700, 200, 300, 300, "deck")
    drawing = read_back(document, tmp_path)
    assert said(drawing, "DXF-043").startswith("outline 2 lies within outline 1 ")
    crossing = said(drawing, "DXF-029")
    assert "outline 3" in crossing
    assert "outline 1" in crossing


@pytest.mark.parametrize(
    ("n", "words"), [(1, "1 outline may be a part"), (5, "5 outlines may be parts")]
)
def test_findings_keep_to_grammar(n: int, words: str, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 2000, 400)
    for i in range(n):
        space.add_circle((100 + 150 * i, 700), 10)
    assert said(read_back(document, tmp_path), "DXF-048").startswith(words)


# ---- splines --------------------------------------------------------------------------------


def test_spline_with_full_inner_knots_is_the_curve_that_it_draws(tmp_path: Path) -> None:
    """Two cubic Bezier arcs in one spline, inner knot of multiplicity 4 (order), no jump."""
    control = [(0, 0), (100, 200), (300, 200), (400, 0), (400, 0), (500, -200), (700, -200),
               (800, 0)]  # fmt: skip
    knots = [0.0] * 4 + [1.0] * 4 + [2.0] * 4
    document, space = blank()
    spline = space.add_spline(dxfattribs={"degree": 3})
    spline.control_points = [(x, y, 0) for x, y in control]
    spline.knots = knots
    space.add_lwpolyline([(800, 0), (800, 500), (0, 500), (0, 0)])
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    curve = BSpline([(x, y, 0) for x, y in control], order=4, knots=knots)
    assert not any(f.code == "DXF-005" for f in drawing.findings)
    # The two halves mirror each other through (400, 0): what one adds the other takes away.
    assert part.area_mm2 == pytest.approx(800 * 500, rel=1e-6)
    assert part.box_mm[1] == pytest.approx(min(p.y for p in curve.approximate(4000)), abs=1e-3)


def test_chain_of_many_bezier_arcs_in_one_spline_closes(tmp_path: Path) -> None:
    """A circle of four cubics as drawing programs write it; error 0.03 % of the radius."""
    k = 0.5522847498 * 300
    quarter = [(300, 0), (300, k), (k, 300), (0, 300)]
    control: list[tuple[float, float]] = []
    for turn in range(4):
        c, s = round(math.cos(turn * math.pi / 2)), round(math.sin(turn * math.pi / 2))
        control += [(c * x - s * y, s * x + c * y) for x, y in quarter]
    document, space = blank()
    spline = space.add_spline(dxfattribs={"degree": 3})
    spline.control_points = [(x, y, 0) for x, y in control]
    spline.knots = [float(i) for i in range(5) for _ in range(4)]
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    assert part.area_mm2 == pytest.approx(math.pi * 90_000, rel=1e-3)


# ---- units ----------------------------------------------------------------------------------


def silent(folder: Path) -> Path:
    """A drawing without any word on its unit: what old programs write."""
    lines = ["0", "SECTION", "2", "ENTITIES"]
    for x, y, w, h in ((0, 0, 1220, 300), (0, 400, 376, 200)):
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        for (a, b), (c, d) in zip(corners, [*corners[1:], corners[0]], strict=True):
            lines += ["0", "LINE", "8", "0", "10", str(a), "20", str(b), "11", str(c), "21", str(d)]
    path = folder / "silent.dxf"
    path.write_text("\n".join([*lines, "0", "ENDSEC", "0", "EOF", ""]), encoding="ascii")
    return path


def test_no_header_no_unit_asked_with_the_sizes_of_each_answer(tmp_path: Path) -> None:
    drawing = read_drawing(silent(tmp_path))
    assert drawing.unit is None
    (asked,) = [f for f in drawing.findings if f.code == "DXF-010"]
    assert asked.is_blocking
    said = str(dict(asked.values)["choices"])
    assert '"mm"' in said
    assert "1,220 mm" in said
    assert "376 mm" in said
    assert '"m"' not in said  # 1,220 m is no boat
    assert areas(drawing.outlines) == [75_200.0, 366_000.0]


def test_answer_for_silent_drawings_leaves_a_speaking_one_alone(tmp_path: Path) -> None:
    document, space = blank(insunits=1)
    box(space, 0, 0, 40, 10)
    loud = read_back(document, tmp_path, ReadOptions(silent_unit=Unit.CM))
    assert loud.unit is Unit.INCH
    assert areas(loud.outlines) == pytest.approx([400 * 25.4**2])
    quiet = read_drawing(silent(tmp_path), ReadOptions(silent_unit=Unit.CM))
    assert quiet.unit is Unit.CM
    assert areas(quiet.outlines) == pytest.approx([7_520_000.0, 36_600_000.0])


def test_frame_of_376_metres_is_asked_about(tmp_path: Path) -> None:
    document, space = blank(insunits=6)
    box(space, 0, 0, 376, 200)
    drawing = read_back(document, tmp_path, HEADER)
    (asked,) = [f for f in drawing.findings if f.code == "DXF-012"]
    assert asked.is_blocking
    assert "376 mm" in str(dict(asked.values)["choices"])


# ---- gaps -----------------------------------------------------------------------------------


def with_gaps(space: Modelspace, x: float, gap: float, *, times: int) -> None:
    """A panel of loose lines, 1000 x 300, whose first corners don't meet."""
    shift = [gap if i < times else 0.0 for i in range(4)]
    corners = [(x, 0.0), (x + 1000, 0.0), (x + 1000, 300.0), (x, 300.0)]
    for i, (a, b) in enumerate(zip(corners, [*corners[1:], corners[0]], strict=True)):
        size = math.dist(a, b)
        share = shift[i] / size
        space.add_line(a, (b[0] + share * (a[0] - b[0]), b[1] + share * (a[1] - b[1])))


@pytest.mark.parametrize("times", [1, 2, 4])
def test_gaps_are_measured_between_the_ends_that_belong_together(
    times: int, tmp_path: Path
) -> None:
    document, space = blank()
    with_gaps(space, 0, 0.6, times=times)
    box(space, 0, 600, 500, 200)
    drawing = read_back(document, tmp_path)
    assert areas(drawing.outlines) == [100_000.0]
    faults = [f for f in drawing.findings if f.code == "DXF-046"]
    assert len(faults) == times
    for fault in faults:
        assert mm(fault, "away") == pytest.approx(0.6, abs=1e-6)
        assert mm(fault, "least") == pytest.approx(0.6)
        assert dict(fault.values)["gaps"] == times
        assert dict(fault.values)["others"] == 0
    assert "DXF-021" not in codes(drawing)
    cured = read_back(document, tmp_path, ReadOptions(unit=Unit.MM, join_gap_mm=0.6))
    assert areas(cured.outlines) == pytest.approx([100_000.0, 300_000.0], rel=2e-3)


def test_gap_of_one_layer_leaves_the_other_layers_alone(tmp_path: Path) -> None:
    document, space = blank()
    with_gaps(space, 0, 0.6, times=1)
    options = ReadOptions(unit=Unit.MM, layer_gaps=(("0", 1.0),))
    assert len(read_back(document, tmp_path, options).outlines) == 1
    other = ReadOptions(unit=Unit.MM, layer_gaps=(("hull", 1.0),))
    assert read_back(document, tmp_path, other).outlines == ()


def test_line_that_stops_short_of_another_is_told_as_such(tmp_path: Path) -> None:
    document, space = blank()
    space.add_line((0, 0), (1000, 0))
    space.add_line((1000, 0), (1000, 300))
    space.add_line((1000, 300), (0, 300))
    space.add_line((-200, 300), (0, 300))
    space.add_line((-200, 300), (0, 1.0))
    drawing = read_back(document, tmp_path)
    assert drawing.outlines == ()
    (fault,) = [f for f in drawing.findings if f.code in {"DXF-046", "DXF-047"}]
    assert mm(fault, "away") == pytest.approx(1.0, abs=1e-2)


# ---- what is no part ------------------------------------------------------------------------


def test_tilted_panel_is_asked_and_never_a_second_copy(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 600, 400)
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    corners = [(0, 0), (600, 0), (600, 400), (0, 400)]
    space.add_polyline3d([(1000 + x * c, y, x * s) for x, y in corners], close=True)
    drawing = read_back(document, tmp_path)
    assert areas(drawing.outlines) == [240_000.0]
    assert kinds(drawing) == [Kind.TILTED.value]
    assert drawing.asked[0].area_mm2 == pytest.approx(240_000.0)


def test_marker_discs_are_no_parts(tmp_path: Path) -> None:
    document, space = blank()
    for i in range(4):
        box(space, 900 * i, 0, 800, 400 + 10 * i)
        write(space, f"panel {'abcd'[i]}", 900 * i + 50, 200)
    for i in range(19):
        space.add_circle((100 + 150 * i, 700), 10)
        write(space, str(i + 1), 92 + 150 * i, 695)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["panel a", "panel b", "panel c", "panel d"]
    assert not_parts(drawing) == [Kind.MARKER] * 19


def test_nameless_little_circles_are_asked(tmp_path: Path) -> None:
    document, space = blank()
    for i in range(4):
        box(space, 900 * i, 0, 800, 400 + 10 * i)
        write(space, f"panel {'abcd'[i]}", 900 * i + 50, 200)
    for i in range(5):
        space.add_circle((100 + 150 * i, 700), 10)
    drawing = read_back(document, tmp_path)
    assert len(drawing.outlines) == 4
    assert kinds(drawing) == [Kind.MARKER.value] * 5


def test_edge_views_beside_their_parts_are_no_parts(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1000, 300)
    write(space, "transom", 100, 100)
    box(space, 0, 400, 1000, 18)
    box(space, 1500, 0, 700, 250)
    write(space, "thwart", 1600, 100)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["thwart", "transom"]
    assert not_parts(drawing) == [Kind.EDGE_VIEW]


def test_title_block_rows_are_no_parts(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1000, 300)
    write(space, "transom", 100, 100)
    for i, text in enumerate(["Scale 1:10", "Drawn by A", "Date 1 May", "Beach boat"]):
        box(space, 2000, 60 * i, 500, 60)
        write(space, text, 2010, 60 * i + 20)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["transom"]
    assert not_parts(drawing) == [Kind.TITLE_BLOCK] * 4


@pytest.mark.parametrize(
    ("layer", "kind"),
    [("stations", Kind.STATION), ("Hilfslinien", Kind.CONSTRUCTION), ("Bemaßung", Kind.DIMENSION),
     ("cotes", Kind.DIMENSION), ("acotación", Kind.DIMENSION), ("logo", Kind.LOGO),
     ("Schriftfeld", Kind.TITLE_BLOCK), ("marker", Kind.MARKER)],
)  # fmt: skip
def test_layers_say_what_is_no_part(layer: str, kind: Kind, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1000, 300, "hull")
    box(space, 1200, 0, 500, 300, layer)
    drawing = read_back(document, tmp_path)
    assert areas(drawing.outlines) == [300_000.0]
    assert not_parts(drawing) == [kind]


def test_cells_that_share_edges_are_a_part_each(tmp_path: Path) -> None:
    document, space = blank()
    for i, name in enumerate(["shelf", "door", "side"]):
        loose_box(space, 300 * i, 0, 300, 400)
        write(space, name, 300 * i + 50, 200)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["door", "shelf", "side"]
    assert areas(drawing.outlines) == [120_000.0] * 3


def test_line_across_a_closed_panel_is_a_mark_whatever_is_written_beside_it(
    tmp_path: Path,
) -> None:
    """Station lines with their frames' names run across many a bottom: it stays whole."""
    document, space = blank()
    box(space, 0, 0, 600, 400)
    space.add_line((250, 0), (250, 400))
    write(space, "frame 1", 50, 200)
    write(space, "frame 2", 350, 200)
    (part,) = read_back(document, tmp_path).outlines
    assert part.area_mm2 == 240_000.0
    assert len(part.shape.marks) == 1
    assert part.labels == ("frame 1", "frame 2")


def test_one_name_in_parted_cells_names_the_whole(tmp_path: Path) -> None:
    document, space = blank()
    for i in range(3):
        loose_box(space, 300 * i, 0, 300, 400)
    write(space, "bottom", 50, 200)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["bottom"]
    assert areas(drawing.outlines) == [360_000.0]
    assert "DXF-023" in codes(drawing)


@pytest.mark.parametrize("name", ["plan.pdf", "plan.dwg"])
def test_files_of_other_kinds_are_refused_with_a_way_out(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(b"%PDF-1.4" if name.endswith("pdf") else b"AC1032")
    with pytest.raises(DrawingError) as caught:
        read_drawing(path)
    (refused,) = caught.value.findings
    assert refused.code == "DXF-006"
    assert "DXF or SVG" in tell(refused, Speech()).remedy


# ---- labels ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("label", "name", "count", "hand", "is_half"),
    [
        ("KNEE MAKE 2", "KNEE", 2, "", False),
        ("knee x 6", "knee", 6, "", False),
        ("knee 2 OFF", "knee", 2, "", False),
        ("side P&S", "side", None, "p&s", False),
        ("side (PAIR)", "side", None, "pair", False),
        ("SIDE MAKE PAIR", "SIDE", None, "make pair", False),
        ("side, cut a pair", "side", None, "cut a pair", False),
        ("transom (HALF)", "transom", None, "", True),
        ("4 Stk Knie", "Knie", 4, "", False),
        ("Seite Paar", "Seite", None, "paar", False),
        ("Spant 3 Hälfte", "Spant 3", None, "", True),
        ("genou 2 fois", "genou", 2, "", False),
        ("flanc tribord", "flanc", None, "tribord", False),
        ("moitié du tableau", "du tableau", None, "", True),
        ("cuaderna cant. 2", "cuaderna", 2, "", False),
        ("costado estribor", "costado", None, "estribor", False),
        ("espejo mitad", "espejo", None, "", True),
    ],
)  # fmt: skip
def test_shop_words_are_read_from_labels(
    label: str, name: str, count: int | None, hand: str, *, is_half: bool, tmp_path: Path
) -> None:
    document, space = blank()
    box(space, 0, 0, 700, 300)
    write(space, label, 50, 100)
    (part,) = read_back(document, tmp_path).outlines
    assert part.name == name
    (said,) = part.suggestions
    assert (said.count, said.hand, said.is_half) == (count, hand, is_half)


def test_leader_names_the_outline_that_its_tip_touches(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 300, 200)
    box(space, 500, 0, 310, 210)
    write(space, "knee", 330, 260)
    space.add_leader([(150, 100), (325, 265)])
    drawing = read_back(document, tmp_path)
    (knee,) = [o for o in drawing.outlines if o.name == "knee"]
    assert knee.area_mm2 == 60_000.0


# ---- halves ---------------------------------------------------------------------------------


def test_half_closed_on_a_centre_line_is_offered_to_be_mirrored(tmp_path: Path) -> None:
    document, space = blank()
    space.add_lwpolyline([(0, 0), (400, 0), (500, 300), (0, 300)], close=True)
    write(space, "frame 2 (HALF)", 50, 100)
    space.add_line((0, -100), (0, 400), dxfattribs={"linetype": "CENTER"})
    document.linetypes.add("CENTER", [2.0, 1.25, -0.25, 0.25, -0.25])
    (part,) = read_back(document, tmp_path).outlines
    assert part.half_of is not None
    assert part.half_of.start[0] == pytest.approx(0)
    assert part.half_of.end[0] == pytest.approx(0)


# ---- SVG ------------------------------------------------------------------------------------


def svg(folder: Path, head: str, body: str) -> Drawing:
    path = folder / "boat.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>', encoding="utf-8"
    )
    return read_drawing(path)


@pytest.mark.parametrize(
    ("width", "unit_mm"), [("1000mm", 1.0), ("100cm", 1.0), ("50in", 1.27), ("360pt", 0.127)]
)
def test_svg_with_a_size_and_a_view_box_is_to_scale(
    width: str, unit_mm: float, tmp_path: Path
) -> None:
    """Source: SVG 2, 8.2 (viewBox to viewport); CSS values 4, 6.2: 1 in = 2.54 cm = 72 pt."""
    head = f'width="{width}" height="{width}" viewBox="0 0 1000 1000"'
    drawing = svg(tmp_path, head, '<rect x="100" y="100" width="600" height="300"/>')
    assert areas(drawing.outlines) == pytest.approx([180_000.0 * unit_mm**2], rel=1e-6)


def test_svg_transforms_nest(tmp_path: Path) -> None:
    body = (
        '<g transform="translate(100 50) rotate(30)"><g transform="scale(2 1)">'
        '<path id="side" d="M0 0 h200 v100 h-200 z"/></g></g>'
        '<g style="display:none"><rect width="900" height="900"/></g>'
        '<circle cx="800" cy="800" r="100" transform="matrix(1 0 0 0.5 0 400)"/>'
    )
    head = 'width="1000mm" height="1000mm" viewBox="0 0 1000 1000"'
    drawing = svg(tmp_path, head, body)
    expected = sorted([200 * 100 * 2, math.pi * 100 * 50])
    assert areas(drawing.outlines) == pytest.approx(expected, rel=1e-4)


def test_svg_without_a_size_is_asked_for_its_unit(tmp_path: Path) -> None:
    drawing = svg(tmp_path, 'viewBox="0 0 1000 1000"', '<rect width="600" height="300"/>')
    assert drawing.unit is None
    assert "DXF-010" in codes(drawing)


def test_svg_hole_by_even_odd_path_is_a_hole(tmp_path: Path) -> None:
    body = '<path d="M0 0 H600 V400 H0 Z M200 100 H300 V200 H200 Z"/>'
    head = 'width="1000mm" height="1000mm" viewBox="0 0 1000 1000"'
    (part,) = svg(tmp_path, head, body).outlines
    assert part.area_mm2 == pytest.approx(240_000.0 - 10_000.0)


def test_an_svg_transform_that_cannot_be_read_leaves_its_things_out_aloud(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="900mm" '
        'viewBox="0 0 900 900"><rect x="0" y="0" width="300" height="200"/>'
        '<g transform="scaal(2)"><rect x="400" y="0" width="300" height="200"/></g></svg>',
        encoding="utf-8",
    )
    drawing = read_drawing(path, HEADER)
    assert areas(drawing.outlines) == [60_000.0]
    assert [x for x in drawing.left_out if "where it lies can't be read" in x.reason]
    assert "DXF-042" in codes(drawing)


# ---- what a page of a builder's holds --------------------------------------------------------


def test_a_plain_line_from_a_name_to_its_part_is_its_leader_and_no_mark(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 300)
    box(space, 0, 400, 900, 300)
    space.add_line((450, 150), (1200, 600))
    write(space, "thwart", 1210, 600)
    space.add_line((450, 550), (1200, 900))
    write(space, "deck beam", 1210, 900)
    drawing = read_back(document, tmp_path)
    lower, upper = sorted(drawing.outlines, key=lambda o: o.box_mm[1])
    assert (lower.name, upper.name) == ("thwart", "deck beam")
    assert lower.shape.marks == ()
    assert sum("points from a name" in x.reason for x in drawing.left_out) == 2


@pytest.mark.parametrize("word", ["", "bolt no "])
def test_named_discs_in_a_panel_make_no_page_border_of_it(word: str, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 2400, 700, "ply")
    write(space, "bottom", 800, 300, "ply")
    for i in range(19):
        y = 60 if i % 2 else 640
        space.add_circle((100 + 120 * i, y), 20, dxfattribs={"layer": "ply"})
        write(space, word + chr(65 + i), 92 + 120 * i, y - 8, "ply")
    drawing = read_back(document, tmp_path)
    (bottom,) = drawing.outlines
    assert bottom.name == "bottom"
    assert len(bottom.doubts) == 19
    assert "DXF-058" in codes(drawing)


def test_a_border_that_ends_at_a_title_block_is_no_part(tmp_path: Path) -> None:
    """Loose lines on one layer: the border shares its edges with the title block."""
    document, space = blank()
    loose_box(space, -100, -100, 3000, 2000)
    loose_box(space, 2000, -100, 900, 300)
    write(space, "DATE", 2100, 0)
    write(space, "notes", 1500, 1500)
    for i, name in enumerate(["floor", "thwart", "seat"]):
        loose_box(space, 0, 300 * i, 800, 200)
        write(space, name, 100, 300 * i + 80)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["floor", "seat", "thwart"]
    assert areas(drawing.outlines) == [160_000.0] * 3


def test_lines_that_run_past_a_corner_are_told_as_such(tmp_path: Path) -> None:
    document, space = blank()
    space.add_line((0, 0), (0, -150))
    loose_box(space, 0, 0, 800, 300)
    drawing = read_back(document, tmp_path)
    (told,) = [f for f in drawing.findings if f.code in {"DXF-023", "DXF-065"}]
    assert told.code == "DXF-065"
    assert mm(told, "longest") == pytest.approx(150)
