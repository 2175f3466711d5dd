"""Changes of a job file's text: what is added stands where a reader looks for it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient

from nestcut.bench.demo import demo_job
from nestcut.bench.files import (
    EditError,
    digest_of,
    pointed_at,
    with_gap,
    with_table,
    with_value,
    without,
)
from tests.unit.bench.asking import post

HEAD = '[job]\nname = "x"\n'


def test_what_is_added_stands_below_its_own_remarks_not_below_those_of_the_next_table() -> None:
    text = '[a]\nx = 1   # own\n# own too\n\n# of the parts\n\n[[part]]\nname = "a"\n\n# rest\n'

    added = with_table(with_value(text, ["a", "y"], 2), "part", {"name": "b"})

    assert added == (
        '[a]\nx = 1   # own\n# own too\ny = 2\n\n# of the parts\n\n[[part]]\nname = "a"\n\n'
        '[[part]]\nname = "b"\n\n# rest\n'
    )


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("", '\n[[drawing]]\nfile = "a.dxf"\nlayers = [{name = "L", join_gap = "2 mm"}]\n'),
        (
            '\n[[drawing]]\nfile = "a.dxf"\nunit = "mm"\n',
            '\n[[drawing]]\nfile = "a.dxf"\nunit = "mm"\n'
            'layers = [{name = "L", join_gap = "2 mm"}]\n',
        ),
        (
            '\n[[drawing]]\nfile = "a.dxf"\nlayers = [{ name = "l", join_gap = "" }]   # why\n',
            '\n[[drawing]]\nfile = "a.dxf"\nlayers = [{ name = "l", join_gap = "2 mm" }]   # why\n',
        ),
    ],
)
def test_gaps_are_closed_in_the_drawing_that_is_there(before: str, after: str) -> None:
    assert with_gap(HEAD + before, "a.dxf", "L", "2 mm") == HEAD + after


def test_holes_named_by_an_outlines_number_go_with_it() -> None:
    text = '[[part]]\nname = "a"\nlabel = "A"\ndoubtful_holes = ["3a", "3c"]\n'

    assert pointed_at(text, 0, "4 of 9", 3, 4) == (
        '[[part]]\nname = "a"\ndoubtful_holes = ["4a", "4c"]\noutline = "4 of 9"\n'
    )


def test_a_table_in_a_table_is_written_in_a_line() -> None:
    clear = [{"at": "1 m", "why": "rowlock"}]

    made = with_value('[[part]]\nname = "a"\n', ["part", 0, "joint"], {"kind": "scarf"})
    made = with_value(made, ["part", 0, "joint", "keep_clear"], clear)  # type: ignore[arg-type]

    assert len(made.splitlines()) == 3
    joint = {"kind": "scarf", "keep_clear": clear}
    assert tomllib.loads(made) == {"part": [{"name": "a", "joint": joint}]}


def test_an_edit_keeps_comments_and_order() -> None:
    text, _, _ = demo_job()
    after = with_value(text, ["saw", "kerf"], "3 mm")
    assert after == text.replace('kerf = "2 mm"   #', 'kerf = "3 mm"   #')
    added = with_table(after, "part", {"name": "lid", "shape": {"kind": "rectangle"}})
    assert without(added, ["part", 4]).rstrip() == after.rstrip()
    assert without(with_value(text, ["part", 1, "count"], 2), ["part", 1, "count"]) == text


@pytest.mark.parametrize("path", [["nope", 0, "a"], ["part", 99, "name"], ["part", "name", "x"]])
def test_an_edit_without_a_place_is_refused(path: list[str | int]) -> None:
    text, _, _ = demo_job()
    with pytest.raises(EditError):
        with_value(text, path, 1)


def _order(table: dict[str, Any]) -> list[Any]:
    """Names of a job's keys in their order, down to the last; tables of tables in a row."""
    plain = [k for k, v in table.items() if not isinstance(v, dict)]
    inner = [v for v in table.values() if isinstance(v, list)]
    return [plain, [_order(t) for rows in inner for t in rows if isinstance(t, dict)]]


def test_two_hundred_edits_by_page_and_by_hand_mean_the_same(
    page: TestClient, folder: Path
) -> None:
    """Edits by lot: through the server, and in the file as an editor makes them."""
    page.post("/demo")
    file = folder / "demo.toml"
    plain: Any = tomllib.loads(file.read_text())
    remarks = [line.partition("#")[2] for line in file.read_text().splitlines() if "#" in line]
    luck = np.random.default_rng(5)
    by_page = by_hand = 0
    for k in range(200):
        place = int(luck.integers(len(plain["part"])))
        part, text = plain["part"][place], file.read_text()
        said: dict[str, Any] = {"seen": digest_of(text), "what": f"edit {k}"}
        match int(luck.integers(7)):
            case 0:
                answer = post(page, "set", path=["part", place, "count"], value=k, **said)
                part["count"] = k
            case 1:
                note = f'say "{k}" # é'
                answer = post(page, "set", path=["part", place, "note"], value=note, **said)
                part["note"] = note
            case 2 if "note" in part:
                answer = post(page, "remove", path=["part", place, "note"], **said)
                del part["note"]
            case 2 | 3:
                values = {"name": f"new {k}", "shape": {"kind": "circle", "diameter": "50 mm"}}
                answer = post(page, "add", kind="part", values=values, **said)
                plain["part"].append(values)
            case 4:
                answer = None
                was = plain["saw"]["kerf"]
                plain["saw"]["kerf"] = f"{k} mm"
                file.write_text(text.replace(f'kerf = "{was}"', f'kerf = "{k} mm"'))
            case 5:
                answer = None
                remarks.append(f" by hand {k}")
                file.write_text(text.replace("[saw]", f"[saw]   # by hand {k}\n", 1))
            case _:
                answer = None
                remarks.append(f" cut {k} last")
                file.write_text(f'{text.rstrip()}\n\n[[part]]   # cut {k} last\nname = "own {k}"\n')
                plain["part"].append({"name": f"own {k}"})
        assert answer is None or answer.status_code == 200
        by_page, by_hand = by_page + (answer is not None), by_hand + (answer is None)
    text = file.read_text()
    assert min(by_page, by_hand) > 60
    assert tomllib.loads(text) == plain
    assert _order(tomllib.loads(text)) == _order(plain)
    kept = [line.partition("#")[2] for line in text.splitlines() if "#" in line]
    assert sorted(r for r in remarks if r not in kept) == []
