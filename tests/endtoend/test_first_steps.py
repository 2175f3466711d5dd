"""First steps of a new builder: wrong paths, folders, open questions and what is echoed."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import ezdxf
import pytest
from ezdxf.filemanagement import new as new_drawing

from nestcut.cli import main

PLATE = """
[saw]
kerf = "2 mm"
gap = "3 mm"
[[sheet]]
name = "6 mm ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
[[part]]
name = "plate"
thickness = "6 mm"
shape = { kind = "rectangle", length = "400 mm", width = "200 mm" }
"""


def run(*words: str | Path) -> int:
    with pytest.raises(SystemExit) as stopped:
        main([str(w) for w in words])
    return int(str(stopped.value.code))


def job(folder: Path, text: str) -> Path:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


def drawing(folder: Path, unit: int = 4, *, is_closed: bool = True) -> Path:
    document = ezdxf.new()  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = unit
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (60, 0), (60, 40), (0, 40)][: 4 if is_closed else 3],
                         close=is_closed)  # fmt: skip
    path = folder / "boat.dxf"
    document.saveas(path)
    return path


Capture = pytest.CaptureFixture[str]


@pytest.mark.parametrize("text", ["", '[job]\nname = "x"\n'])
def test_an_empty_job_stops_check_and_plan(text: str, tmp_path: Path, capsys: Capture) -> None:
    for command in ("check", "plan"):
        assert run(command, job(tmp_path, text)) == 3
        told = capsys.readouterr().err
        assert "JOB-010" in told
        assert "kerf is missing" in told


def test_only_what_was_written_is_echoed(tmp_path: Path, capsys: Capture) -> None:
    text = PLATE.replace('kerf = "2 mm"', 'kerf = "-2 mm"').replace(
        'width = "1220 mm"', 'width = "1220 mm"\nprice = "cheap"'
    )
    assert run("check", job(tmp_path, text)) == 3
    out, err = capsys.readouterr()
    assert "kerf ?, gap 3 mm: pieces keep ? apart" in out
    assert "1 flat part, 1 to make" in out
    assert "  1 not understood" in out
    assert "JOB-016" not in err
    assert run("check", job(tmp_path, text), "--json") == 3
    document = json.loads(capsys.readouterr().out)
    assert document["kerf_mm"] is None
    assert document["not_understood"]["sheets"] == 1


def test_parts_at_fault_are_counted_all_the_same(tmp_path: Path, capsys: Capture) -> None:
    text = PLATE + '[[part]]\nname = "knee"\nthickness = ""\ndrawing = "x.dxf"\n'
    assert run("check", job(tmp_path, text)) == 3
    out, err = capsys.readouterr()
    assert "2 flat parts, 1 of them not understood" in out
    assert "not answered yet: how thick is it?" in err


def test_a_part_alone_and_at_fault_is_no_part_of_others(tmp_path: Path, capsys: Capture) -> None:
    head = PLATE.partition("[[part]]")[0]
    text = head + '[[part]]\nname = "knee"\nthickness = ""\ndrawing = "x.dxf"\n'
    assert run("check", job(tmp_path, text)) == 3
    assert "1 flat part, not understood\n" in capsys.readouterr().out


def test_a_circle_is_as_wide_as_it_is(tmp_path: Path, capsys: Capture) -> None:
    text = PLATE.replace(
        '{ kind = "rectangle", length = "400 mm", width = "200 mm" }',
        '{ kind = "circle", diameter = "100 mm" }',
    )
    assert run("check", job(tmp_path, text)) == 0
    out = capsys.readouterr().out
    assert "100 mm x 100 mm " in out
    assert "to buy, no price" in out


def test_folders_are_told_from_files(tmp_path: Path, capsys: Capture) -> None:
    path = job(tmp_path, PLATE)
    for words in (
        ("start", tmp_path),
        ("start", "/"),
        ("start", drawing(tmp_path), "--out", tmp_path),
        ("check", tmp_path),
    ):
        assert run(*words) == 3
        assert "that is a folder" in capsys.readouterr().err
    assert run("verify", tmp_path) == 3
    assert "no plan.json in this folder" in capsys.readouterr().err
    assert run("verify", path) == 3
    assert "plan.json that 'nestcut plan' wrote" in capsys.readouterr().err


def test_verify_takes_the_folder_of_results(tmp_path: Path) -> None:
    out = tmp_path / "results"
    assert run("plan", job(tmp_path, PLATE), "--out", out, "--effort", "quick") == 0
    assert run("verify", out) == 0


def test_start_without_outlines_writes_the_picture_alone(tmp_path: Path, capsys: Capture) -> None:
    assert run("start", drawing(tmp_path, is_closed=False)) == 3
    assert not (tmp_path / "boat.toml").exists()
    told = capsys.readouterr().err
    assert "no closed outline" in told
    assert "boat-picture.svg" in told
    shown = (tmp_path / "boat-picture.svg").read_text(encoding="utf-8")
    assert shown.count('stroke="#a30"') > 1  # the open line, and the key to it
    assert (tmp_path / "boat-picture.png").read_bytes().startswith(b"\x89PNG")


def test_gaps_are_closed_on_the_builders_word_alone(tmp_path: Path, capsys: Capture) -> None:
    """What one setting closes is listed, and refused until the setting is written."""
    document = new_drawing(units=4)
    document.modelspace().add_lwpolyline([(0, 0), (900, 0), (900, 400), (0, 400), (0, 0.7)])
    path = tmp_path / "boat.dxf"
    document.saveas(path)
    assert run("start", path) == 0
    assert "0.7 mm apart" in capsys.readouterr().err
    text = (tmp_path / "boat.toml").read_text(encoding="utf-8")
    answers = {"kerf": "2 mm", "thickness": "6 mm"}
    for key, answer in answers.items():
        text = text.replace(f'{key} = ""', f'{key} = "{answer}"')
    (tmp_path / "boat.toml").write_text(text, encoding="utf-8")
    assert run("check", tmp_path / "boat.toml") == 3
    assert "JOB-022" in capsys.readouterr().err
    text = text.replace('join_gap = ""', 'join_gap = "0.7 mm"')
    (tmp_path / "boat.toml").write_text(text, encoding="utf-8")
    assert run("check", tmp_path / "boat.toml") == 0
    assert "900 mm x 400 mm" in capsys.readouterr().out


def test_start_speaks_inches_in_the_inch_world(tmp_path: Path, capsys: Capture) -> None:
    assert run("start", drawing(tmp_path, unit=1)) == 0
    assert "boat-picture.svg" in capsys.readouterr().err
    text = (tmp_path / "boat.toml").read_text(encoding="utf-8")
    assert " mm" not in text
    assert "EUR" not in text
    assert 'gap = "1/8in"' in text


def test_start_shows_outlines_before_anything_is_answered(tmp_path: Path, capsys: Capture) -> None:
    assert run("start", drawing(tmp_path)) == 0
    path = tmp_path / "boat.toml"
    text = path.read_text(encoding="utf-8")
    assert "boat-picture.svg" in text
    name = tomllib.loads(text)["part"][0]["name"]
    assert f">1 {name}<" in (tmp_path / "boat-picture.svg").read_text(encoding="utf-8")
    capsys.readouterr()

    states = {"open questions": text, "keys misspelt": text.replace("name = ", "nmae = ")}
    for told, state in states.items():
        path.write_text(state, encoding="utf-8")
        folder = tmp_path / told
        assert run("check", path, "--draw", folder) == 3
        assert ">1 " in (folder / "boat.svg").read_text(encoding="utf-8")


def test_start_leaves_a_picture_that_is_not_its_own(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "boat-picture.svg").write_text("mine", encoding="utf-8")
    assert run("start", drawing(tmp_path)) == 0
    assert (tmp_path / "boat-picture.svg").read_text(encoding="utf-8") == "mine"
    assert "boat-picture-2.svg" in (tmp_path / "boat.toml").read_text(encoding="utf-8")
    assert (tmp_path / "boat-picture-2.png").read_bytes().startswith(b"\x89PNG")
    assert "boat-picture-2.svg" in capsys.readouterr().err


def test_shape_leaves_other_files_alone(tmp_path: Path, capsys: Capture) -> None:
    path, out = job(tmp_path, PLATE), tmp_path / "drawn"
    assert run("shape", path, "--out", out) == 0
    assert run("shape", path, "--out", out) == 0
    (out / "plate.dxf").write_text("my own", encoding="utf-8")
    capsys.readouterr()
    assert run("shape", path, "--out", out) == 3
    assert "not as nestcut wrote them: plate.dxf. They are left alone." in capsys.readouterr().err
    assert (out / "plate.dxf").read_text(encoding="utf-8") == "my own"


def test_shape_names_no_choices_where_there_are_none(tmp_path: Path, capsys: Capture) -> None:
    path = job(tmp_path, PLATE)
    assert run("shape", path, "--part", "nosuch") == 3
    assert "Choose from: plate." in capsys.readouterr().err
    path = job(tmp_path, PLATE.replace('kind = "rectangle"', 'kind = "nothing"'))
    assert run("shape", path, "--part", "nosuch") == 3
    assert "Choose from: ." not in capsys.readouterr().err


def test_start_without_drawings_asks_for_a_first_part(tmp_path: Path, capsys: Capture) -> None:
    """Every question answered, the job file is taken as it is."""
    target = tmp_path / "shelf.toml"
    assert run("start") == 2
    assert "--out" in capsys.readouterr().err
    assert run("start", "--out", str(target), "--world", "inch") == 0
    assert run("check", str(target)) == 3
    assert "what is it called?" in capsys.readouterr().err
    text = target.read_text(encoding="utf-8")
    answers = {"name": "shelf", "kerf": "1/8in", "thickness": "1/2in", "length": "3ft"}
    for key, answer in {**answers, "width": "10in"}.items():
        text = text.replace(f'\n{key} = ""', f'\n{key} = "{answer}"')
    target.write_text(text, encoding="utf-8")

    assert run("check", str(target)) == 0

    assert '3\'-0" x 10"' in capsys.readouterr().out


def test_a_job_file_given_as_a_drawing_is_told_to_be_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "boat.toml"
    job.write_text('[job]\nname = "boat"\n', encoding="utf-8")
    assert run("start", job) == 3
    said = capsys.readouterr().err
    assert "this is a job file, not a drawing" in said
    assert "nestcut check boat.toml" in said
    assert job.read_text(encoding="utf-8") == '[job]\nname = "boat"\n'


def test_start_says_what_sizes_of_a_drawing_without_a_unit_mean(
    tmp_path: Path, capsys: Capture
) -> None:
    """Gaps are told in mm, which is a guess until the question is answered."""
    document = new_drawing(units=0)
    document.modelspace().add_lwpolyline([(0, 0), (900, 0), (900, 400), (0, 400), (0, 0.7)])
    document.saveas(tmp_path / "boat.dxf")
    assert run("start", tmp_path / "boat.dxf") == 0
    said = capsys.readouterr().err
    assert "sizes are given as if it were mm" in said
    assert said.index("as if it were mm") < said.index("0.7 mm apart")


def test_start_says_that_an_outline_is_drawn_twice(tmp_path: Path, capsys: Capture) -> None:
    """It is taken as one part: whoever wants two has to say so."""
    document = new_drawing(units=4)
    for _ in range(2):
        document.modelspace().add_lwpolyline([(0, 0), (900, 0), (900, 400)], close=True)
    document.saveas(tmp_path / "boat.dxf")
    assert run("start", tmp_path / "boat.dxf") == 0
    said = capsys.readouterr().err
    assert "an outline is drawn twice" in said
    assert "below its picture" not in said
