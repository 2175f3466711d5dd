"""Drawings with nothing in them, and files that are none."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.drawings.read import read_drawing
from nestcut.errors import DrawingError
from nestcut.words import Speech, tell
from tests.unit.drawings.looks import codes
from tests.unit.drawings.pens import blank, read_back


def test_empty_drawing_says_so(tmp_path: Path) -> None:
    document, _ = blank()
    assert codes(read_back(document, tmp_path))["DXF-020"] == 1


@pytest.mark.parametrize(
    "content", [b"", b"hello", b"\x00" * 9000, b"%PDF-1.4\n" + b"1234567890" * 99]
)
def test_what_is_no_drawing_is_refused(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "x.dxf"
    path.write_bytes(content)
    with pytest.raises(DrawingError) as refused:
        read_drawing(path)
    assert refused.value.findings[0].code == "DXF-002"


def test_missing_file_and_folder_are_refused(tmp_path: Path) -> None:
    wanted = {tmp_path / "none.dxf": "FIL-001", tmp_path: "FIL-004", tmp_path / "a\x00b": "FIL-001"}
    for path, code in wanted.items():
        with pytest.raises(DrawingError) as refused:
            read_drawing(path)
        assert refused.value.findings[0].code == code


@pytest.mark.parametrize("name", ["plan.pdf", "plan.dwg"])
def test_files_of_other_kinds_are_refused_with_a_way_out(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(b"%PDF-1.4" if name.endswith("pdf") else b"AC1032")
    with pytest.raises(DrawingError) as caught:
        read_drawing(path)
    (refused,) = caught.value.findings
    assert refused.code == "DXF-006"
    assert "DXF or SVG" in tell(refused, Speech()).remedy
