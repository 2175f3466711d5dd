"""Written files are read back: whatever they say otherwise than their plan is found."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import ezdxf
import pytest

from nestcut.outlet.results import choose_paper, write_results
from nestcut.readback import check_files
from tests.builders_joined import joined_plan


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("papers") / "joined"
    verified = joined_plan()
    style = verified.job.style
    write_results(verified, folder, choose_paper(None, style), style)
    return folder


@pytest.fixture
def folder(written: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(written, tmp_path / "joined"))


def codes(folder: Path) -> set[tuple[str, str]]:
    return {(f.code, f.where) for f in check_files(folder, joined_plan())}


def test_files_as_they_are_written_say_what_their_plan_says(folder: Path) -> None:
    assert codes(folder) == set()


def test_a_line_moved_dropped_or_doubled_is_found(folder: Path) -> None:
    path = sorted(folder.glob("sheets/01-*.dxf"))[0]
    whole = path.read_bytes()
    for layer in ("outline to cut", "cut-out"):
        for harm in ("moved", "dropped", "doubled", "scaled"):
            path.write_bytes(whole)
            document = ezdxf.readfile(path)  # type: ignore[attr-defined]
            space = document.modelspace()
            entity = space.query(f'*[layer=="{layer}"]')[0]
            if harm == "moved":
                entity.translate(0.2 if layer == "outline to cut" else 0.005, 0.0, 0.0)
            elif harm == "dropped":
                space.delete_entity(entity)
            elif harm == "doubled":
                space.add_entity(entity.copy())
            else:
                entity.scale(1.001, 1.001, 1.0)
            document.saveas(path)
            assert ("RDB-002", path.name) in codes(folder), (layer, harm)


def test_a_drawing_lost_is_found(folder: Path) -> None:
    sorted(folder.glob("sheets/01-*.dxf"))[0].unlink()
    assert codes(folder) == {("RDB-001", "sheet 1")}


@pytest.mark.parametrize(
    ("file", "column"),
    [
        ("cut-list.csv", "from"),
        ("cut-list.csv", "length mm"),
        ("cut-list.csv", "thickness mm"),
        ("buying-list.csv", "to buy"),
        ("buying-list.csv", "together"),
        ("joints.csv", "middle at mm"),
        ("joints.csv", "overlap mm"),
        ("joints.csv", "first planed"),
        ("joints.csv", "kind"),
    ],
)
def test_a_figure_or_word_of_a_list_is_found(folder: Path, file: str, column: str) -> None:
    path = folder / file
    with path.open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    row = next(r for r in reversed(rows) if r[column] and r.get("kind", "x"))
    try:
        row[column] = str(float(row[column]) + 0.5)
    except ValueError:
        row[column] = f"{row[column]} x"
    with path.open("w", encoding="utf-8", newline="") as text:
        writer = csv.DictWriter(text, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    assert ("RDB-004", file) in codes(folder)
    with path.open("w", encoding="utf-8", newline="") as text:
        writer = csv.DictWriter(text, list(rows[0]))
        writer.writeheader()
        writer.writerows([r for r in rows if r is not row])
    assert ("RDB-003", file) in codes(folder)
