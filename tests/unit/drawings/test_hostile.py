"""Broken and hostile drawings: findings within bounds, never anything else."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from nestcut.drawings.entities import load
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, ReadOptions
from nestcut.errors import DrawingError
from nestcut.gate import MAX_BYTES, FileKind
from nestcut.units import Unit
from tests.benchmark.mutations import base_drawings, mutant, read_drawing_bytes
from tests.unit.drawings.pens import blank, box, read_back

SHARED = Path(__file__).parents[4] / "shared" / "drawings"


def r12(entities: str) -> bytes:
    return f"0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n".encode()


def line(x0: object, y0: object, x1: object, y1: object) -> str:
    return f"0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"


def read_bytes(data: bytes, folder: Path) -> Drawing:
    path = folder / "x.dxf"
    path.write_bytes(data)
    return read_drawing(path, ReadOptions(unit=Unit.MM))


@pytest.mark.parametrize("bad", ["nan", "inf", "-inf", "1e300", "1e10"])
def test_wild_coordinates_are_left_out_and_told(bad: str, tmp_path: Path) -> None:
    good = line(0, 0, 9, 0) + line(9, 0, 9, 9) + line(9, 9, 0, 0)
    drawing = read_bytes(r12(good + line(0, 0, bad, 5)), tmp_path)
    assert len(drawing.outlines) == 1
    assert [f.code for f in drawing.findings].count("DXF-005") == 1
    assert len(drawing.left_out) == 1


def test_file_beyond_the_size_limit_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(MAX_BYTES, FileKind.DRAWING, 1000)
    with pytest.raises(DrawingError) as refused:
        read_bytes(r12(line(0, 0, 1, 1) * 100), tmp_path)
    assert refused.value.findings[0].code == "FIL-003"


def test_too_many_entities_are_refused_before_parsing(tmp_path: Path) -> None:
    data = r12("0\nPOINT\n" * (load.MAX_ENTITIES + 1))
    with pytest.raises(DrawingError) as refused:
        read_bytes(data, tmp_path)
    assert refused.value.findings[0].code == "DXF-003"


def test_zeros_among_the_values_count_as_no_entities(tmp_path: Path) -> None:
    lines = line(0, 0, 9, 0) + line(9, 0, 9, 9) + line(9, 9, 0, 0)
    data = r12(lines + line(0, 0, 0, 0) * 40)
    assert len(load._ENTITY.findall(data)) == 43 + 3
    assert len(read_bytes(data, tmp_path).outlines) == 1


def test_block_bomb_is_counted_and_refused(tmp_path: Path) -> None:
    """Ten blocks, each holding the next ten times: ten thousand million circles."""
    document, space = blank()
    for k in range(10):
        block = document.blocks.new(f"b{k}")
        for i in range(10):
            if k == 9:
                block.add_circle((i, 0), 0.3)
            else:
                block.add_blockref(f"b{k + 1}", (i * 10.0**k, 0))
    space.add_blockref("b0", (0, 0))
    with pytest.raises(DrawingError) as refused:
        read_back(document, tmp_path)
    assert [f.code for f in refused.value.findings] == ["DXF-003"]


@pytest.mark.parametrize("times", [400, 30_000])
def test_huge_array_is_counted_and_refused(times: int, tmp_path: Path) -> None:
    document, space = blank()
    document.blocks.new("b").add_circle((0, 0), 5)
    space.add_blockref("b", (0, 0), dxfattribs={"row_count": times, "column_count": times})
    box(space, 0, 0, 300, 200)
    with pytest.raises(DrawingError) as refused:
        read_back(document, tmp_path)
    assert [f.code for f in refused.value.findings] == ["DXF-003"]


def test_spline_of_ten_thousand_knots_is_read(tmp_path: Path) -> None:
    import math

    document, space = blank()
    n = 10_000
    spline = space.add_spline(degree=3)
    spline.control_points = [
        (500 * math.cos(2 * math.pi * k / n), 500 * math.sin(2 * math.pi * k / n), 0)
        for k in range(n + 1)
    ]
    spline.knots = [0, 0, 0, *range(n - 1), n - 2, n - 2, n - 2]
    (outline,) = read_back(document, tmp_path).outlines
    assert outline.area_mm2 == pytest.approx(math.pi * 250_000, rel=1e-6)


@pytest.mark.parametrize(
    ("knots", "weights"),
    [
        ([0, 0, 0, 0, 1, 1, 1], []),
        ([0, 0, 0, 0, 1, 1, 1, float("nan")], []),
        ([1, 1, 1, 1, 0, 0, 0, 0], []),
        ([0] * 8, []),
        ([0, 0, 0, 0, 1, 1, 1, 1], [1, 0, 1, 1]),
        ([0, 0, 0, 0, 1, 1, 1, 1], [1, -1, 1, 1]),
    ],
)
def test_unusable_splines_are_left_out(
    knots: list[float], weights: list[float], tmp_path: Path
) -> None:
    text = "0\nSPLINE\n8\n0\n100\nAcDbEntity\n100\nAcDbSpline\n70\n8\n71\n3\n"
    text += f"72\n{len(knots)}\n73\n4\n74\n0\n"
    text += "".join(f"40\n{k}\n" for k in knots) + "".join(f"41\n{w}\n" for w in weights)
    text += "".join(f"10\n{x}\n20\n{y}\n30\n0\n" for x, y in ((0, 0), (9, 9), (20, -9), (30, 0)))
    header = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n0\nENDSEC\n"
    drawing = read_bytes(header.encode() + r12(text), tmp_path)
    assert not drawing.outlines
    assert len(drawing.left_out) == 1


def test_names_are_made_printable(tmp_path: Path) -> None:
    data = r12(line(0, 0, 9, 0) + line(9, 0, 9, 9) + line(9, 9, 0, 0))
    data = data.replace(b"8\n0\n", b"8\n../<b>\x07=1+1\xff\n")
    drawing = read_bytes(data, tmp_path)
    (outline,) = drawing.outlines
    assert outline.layer.isprintable()
    outline.layer.encode("utf-8")


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_a_drawing_that_is_cut_off_is_refused_and_says_so(ends: str, tmp_path: Path) -> None:
    """Nothing of a section that doesn't end is read: without a word all parts would be missing."""
    good = line(0, 0, 9, 0) + line(9, 0, 9, 9) + line(9, 9, 0, 0)
    whole = r12(good * 2).replace(b"\n", ends.encode())
    for left in (whole[: -len(f"0{ends}ENDSEC{ends}0{ends}EOF{ends}")], whole[: len(whole) // 2]):
        with pytest.raises(DrawingError) as refused:
            read_bytes(left, tmp_path)
        (told,) = refused.value.findings
        assert told.code == "DXF-002"
        assert "cut off" in str(dict(told.values)["reason"])
    assert read_bytes(whole[: -len(f"0{ends}EOF{ends}")], tmp_path).outlines, "its end alone lacks"


def test_truncated_binary_drawing_is_read_or_refused(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 300, 200)
    path = tmp_path / "b.dxf"
    document.saveas(path, fmt="bin")
    data = path.read_bytes()
    for share in (0.2, 0.5, 0.9, 0.99):
        assert read_drawing_bytes(data[: int(len(data) * share)]) in {"read", "refused"}
    assert read_drawing_bytes(data[:22] + struct.pack("<h", 0) * 99) in {"read", "refused"}


@pytest.mark.parametrize("block", range(6))
def test_mutants_are_read_or_refused(block: int) -> None:
    bases = base_drawings(SHARED)  # only our own drawing where ../shared is absent
    for number in range(block * 25, block * 25 + 25):
        assert read_drawing_bytes(mutant(bases, 11, number)) in {"read", "refused"}, number


def test_slivers_thinner_than_the_flatness_keep_their_shape(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 300, 200)
    space.add_lwpolyline([(100, 100, 0.001), (120, 100, 0)], format="xyb", close=True)
    space.add_lwpolyline([(100, 500, 0.0), (100.0000001, 500, 0), (100, 500.0000001, 0)],
                         format="xyb", close=True)  # fmt: skip
    drawing = read_back(document, tmp_path)
    (outline,) = drawing.outlines
    assert len(outline.shape.holes) == 1
    assert len(drawing.left_out) == 1
