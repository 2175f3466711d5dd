"""Result folders: whole or not at all, and the builder's own files stay."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.errors import InputError
from nestcut.outlet.folder import check_folder, safe_name, write_folder


def fill(folder: Path, seed: int = 0) -> None:
    (folder / "plan.json").write_text(f'{{"format": "nestcut plan", "seed": {seed}}}')
    (folder / "sheets").mkdir()
    (folder / "sheets" / "01-ply.dxf").write_text("new")


def test_a_folder_appears_whole(tmp_path: Path) -> None:
    """All files are there afterwards, and nothing is left beside."""
    write_folder(tmp_path / "out", fill)

    assert (tmp_path / "out" / "sheets" / "01-ply.dxf").read_text() == "new"
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_fault_while_writing_leaves_the_old_folder(tmp_path: Path) -> None:
    """When writing fails, the older results are as they were."""
    write_folder(tmp_path / "out", fill)

    def fail(folder: Path) -> None:
        (folder / "plan.json").write_text("half")
        raise OSError("no room")

    with pytest.raises(InputError):
        write_folder(tmp_path / "out", fail)
    assert "nestcut plan" in (tmp_path / "out" / "plan.json").read_text()
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_the_builders_files_stay_and_stale_ones_go(tmp_path: Path) -> None:
    """Own drawings and photos stay, in our folders too; old sheets, labels and patterns go."""
    out = tmp_path / "out"
    write_folder(out, fill)
    for name in ("notes.txt", "sheets/hull.dxf", "boards/photo.jpg"):
        (out / name).parent.mkdir(exist_ok=True)
        (out / name).write_text("mine")
    for name in ("sheets/02-ply.dxf", "labels.pdf", "pattern-knee.pdf"):
        (out / name).write_text("stale")
    write_folder(out, lambda folder: fill(folder, 1))

    files = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}
    assert files == {
        "plan.json",
        "sheets/01-ply.dxf",
        "notes.txt",
        "sheets/hull.dxf",
        "boards/photo.jpg",
    }


def test_labels_and_patterns_stay_with_their_plan(tmp_path: Path) -> None:
    """Papers written again of the same plan leave what was made from it."""
    out = tmp_path / "out"
    write_folder(out, fill)
    for name in ("labels.pdf", "pattern-knee.pdf", "sheets/02-ply.dxf"):
        (out / name).write_text("older")
    write_folder(out, fill)

    assert (out / "labels.pdf").read_text() == "older"
    assert (out / "pattern-knee.pdf").read_text() == "older"
    assert not (out / "sheets" / "02-ply.dxf").exists()


def test_files_under_our_names_that_are_not_ours_are_left_alone(tmp_path: Path) -> None:
    """A shop.pdf of somebody else's is never replaced; nor is a file, nor the working folder."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "shop.pdf").write_text("mine")
    (tmp_path / "file").write_text("mine")

    for target in (tmp_path / "out", tmp_path / "file", Path()):
        with pytest.raises(InputError) as caught:
            check_folder(target)
        assert caught.value.findings[0].code == "OUT-003"
    check_folder(tmp_path / "new")


def test_names_are_safe_everywhere() -> None:
    """Separators, markup and dots lead nowhere else."""
    assert safe_name("../../etc/passwd") == "etc-passwd"
    assert safe_name("<b>6 mm</b>") == "b-6-mm-b"
    assert safe_name("...") == "unnamed"
