"""Jobs of one or two parts that a boat's job seldom is: from the job file to papers."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from ezdxf.filemanagement import new
from pypdf import PdfReader

from nestcut.cli.commands import _run

HEAD = '[job]\nname = "odd"\nthickness = "6 mm"\ncurrency = "EUR"\n[saw]\nkerf = "2 mm"\n'
PLY = '[[sheet]]\nname = "ply"\nlength = "2440 mm"\nwidth = "1220 mm"\nprice = 40\n'
PAD = (
    '[[part]]\nname = "pad"\nshape = { kind = "rectangle", length = "900 mm", width = "300 mm" }\n'
)
PANEL = PAD.replace("900 mm", "2300 mm").replace('300 mm" }', '1000 mm" }') + "count = 2\n"
OLD_PLY = PLY.replace('"ply"', '"old ply"').replace("= 40", "= 30") + "count = 1\n"
LARCH = '[[board]]\nname = "larch"\nmaterial = "larch"\nthickness = "20 mm"\nwidth = "95 mm"\n'
LONG = '{ length = "3.0 m", price = 11.00 }'
OLD_LARCH = '{ length = "2.4 m", price = 8.50, count = 1 }'
RISER = '[[rail]]\nname = "riser"\nsection = ["20 mm", "40 mm"]\nlength = "1.7 m"\nhand = "pair"\n'


def planned(folder: Path, job: str) -> Path:
    """Plan a job and return the folder of its results."""
    file, out = folder / "job.toml", folder / "out"
    file.write_text(HEAD + job, encoding="utf-8")
    words = ["plan", str(file), "--out", str(out), "--effort", "quick", "--workers", "1"]
    assert _run(words) == 0
    return out


def words_of(file: Path) -> str:
    return " ".join(" ".join(p.extract_text().split()) for p in PdfReader(file).pages)


def test_a_job_of_boards_alone_has_papers_that_send_nobody_to_charts(tmp_path: Path) -> None:
    out = planned(tmp_path, f"{LARCH}lengths = [{LONG}]\n{RISER}")

    assert "straight and cut from boards" in words_of(out / "marking-out.pdf")
    assert "marking-out.pdf" not in words_of(out / "shop.pdf")


def test_angles_of_a_rails_ends_stand_in_the_cut_list_itself(tmp_path: Path) -> None:
    out = planned(tmp_path, f"{LARCH}lengths = [{LONG}]\n{RISER}end_angles = [90, 75]\n")

    told = words_of(out / "shop.pdf")
    assert "ends 90° and 75°" in told
    assert "bevelled" not in told


EGG = ((0, 0), (200, -40), (400, 0), (420, 120), (200, 200), (-20, 120), (0, 0))
BOW = ((0, 0), (150, -60), (400, -90), (650, -60), (800, 0))


@pytest.mark.parametrize("points", [EGG, BOW], ids=["one curve all round", "a curve and its chord"])
def test_a_part_of_one_spline_is_marked_out(
    tmp_path: Path, points: tuple[tuple[float, float], ...]
) -> None:
    drawing = new(units=4)
    drawing.modelspace().add_spline(points)
    if points[0] != points[-1]:
        drawing.modelspace().add_line(points[-1], points[0])
    drawing.saveas(tmp_path / "pad.dxf")

    out = planned(tmp_path, f'{PLY}[[part]]\nname = "pad"\ndrawing = "pad.dxf"\nlayer = "0"\n')

    assert "Chart 1 pad" in words_of(out / "marking-out.pdf")


@pytest.mark.parametrize(
    ("job", "cost"),
    [
        pytest.param(f"{LARCH}lengths = [{LONG}, {OLD_LARCH}]\n{RISER}", 0.00, id="boards"),
        pytest.param(f"{PLY}{OLD_PLY}{PAD}", 0.00, id="a sheet to hand"),
        pytest.param(f"{PLY}{OLD_PLY}{PANEL}", 40.00, id="a sheet to hand and one bought"),
    ],
)
def test_a_price_on_what_is_to_hand_is_paid_by_nobody(
    tmp_path: Path, job: str, cost: float
) -> None:
    """Whoever writes down what his old board cost gets the plan that he gets without."""
    out = planned(tmp_path, job)

    with (out / "buying-list.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    paid = [float(row["together"]) for row in rows if row["each"]]
    assert sum(paid) == pytest.approx(cost)
