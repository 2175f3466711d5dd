"""Changes of a job file's text: what is added stands where a reader looks for it."""

from __future__ import annotations

import tomllib

import pytest

from nestcut.bench.edits import pointed_at, with_gap, with_table, with_value

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
