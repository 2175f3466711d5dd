"""One schema: the reference page, the readers and the messages know the same keys."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from nestcut.jobfile.schema import SCHEMAS, Need, What, explain, reference_page
from nestcut.units import parse_length_mm, parse_slope

ROOT = Path(__file__).parents[3]
GETTERS = {
    "text", "texts", "choice", "count", "number", "money_minor", "slope", "length", "positive",
    "signed", "value", "shape", "line", "lengths", "signed_lengths", "point", "points", "table",
    "tables", "has", "plain",
}  # fmt: skip
READERS = [
    *(ROOT / "nestcut" / "jobfile").glob("*.py"),
    *(ROOT / "nestcut" / "shapes" / "read").glob("*.py"),
    ROOT / "nestcut" / "shapes" / "build.py",
    ROOT / "nestcut" / "shapes" / "table" / "offsets.py",
    ROOT / "nestcut" / "shapes" / "known.py",
]
KEYS = [(schema, key) for schema in SCHEMAS.values() for key in schema.keys]


def asked(path: Path) -> set[str]:
    """Keys that a module asks tables for by name."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
            continue
        if node.func.attr not in GETTERS:
            continue
        for arg in node.args[:2]:  # known.line(reader, "lower") has its key second
            value = arg.value if isinstance(arg, ast.Constant) else None
            if isinstance(value, str) and re.fullmatch("[a-z_]{2,}", value):
                found.add(value)
    return found


def test_the_page_in_the_repo_is_the_programs_own() -> None:
    """Make it again with: nestcut explain all > parts/REFERENCE.md."""
    page = (ROOT / "parts" / "REFERENCE.md").read_text(encoding="utf-8")

    assert page == reference_page()


def test_every_key_that_is_asked_for_is_known_and_the_other_way_round() -> None:
    """No reader asks for a key that the page doesn't show; nothing is shown that nobody reads."""
    names = {key.name for _, key in KEYS}
    wanted = set().union(*(asked(path) for path in READERS))
    wanted |= {key.name for _, key in KEYS if key.into}  # `fields` reads them

    assert wanted - names == set()
    by_other_means = {
        "offsets", "line", "tapered_box", "frames", "slats", "cleats", "fillets",  # entries
        "from", "to", "layer", "label", "block", "handle", "fore", "aft", "port", "starboard",
        "inboard", "outboard", "price", "edge", "tilt", "bevels", "file", "table", "readings",
        "count", "stations", "within", "written", "drawing", "saw", "chamfer",
    }  # fmt: skip
    assert names - wanted - by_other_means == set()


def test_defaults_are_what_the_key_takes() -> None:
    """A length's default is a length, a choice's one of its words; a needed key has none."""
    for schema, key in KEYS:
        where = f"{schema.name}, {key.name}"
        assert key.says.endswith((".", "?")), where
        if key.need is Need.NEEDED:
            assert key.default is None, where
        elif key.default:
            if key.what in {What.LENGTH, What.SIGNED}:
                assert parse_length_mm(key.default) is not None, where
            elif key.what is What.SLOPE:
                assert parse_slope(key.default) > 0.0, where
            elif key.what is What.CHOICE:
                assert key.default in key.words, where
        assert not key.table or key.table == "shape" or key.table in SCHEMAS, where


def test_one_key_is_explained_wherever_it_stands() -> None:
    told = explain("gap")

    assert "gap in [saw] or [[saw]]: length." in told
    assert "gap in [[slats]]: length. Between two. Unless said: 0 mm." in told


def test_tables_and_kinds_are_explained_whole() -> None:
    assert "## [[sheet]]" in explain("sheet")
    assert 'kind = "frame"' in explain("frame")
    assert explain("joint.at").startswith("at in joint")


def test_what_is_no_key_gets_what_is_near() -> None:
    assert explain("thicknes").startswith(
        "There is no key or table 'thicknes'. Near it: thickness,"
    )
    assert "by diameter" in explain("limber")


@pytest.mark.parametrize(
    ("word", "heading"),
    [
        ("seats", 'kind = "seat"'),
        ("thwart", 'kind = "seat"'),
        ("notches", "notches = [{ ... }]"),
        ("corners", "corners = [{ ... }]"),
        ("knee", 'kind = "polygon"'),
    ],
)
def test_a_boats_word_is_answered_with_the_table_that_makes_it(word: str, heading: str) -> None:
    told = explain(word)
    assert f"## {heading}" in told or f"## [part.shape] {heading}" in told
    assert len(told.splitlines()) < 60


def test_a_key_of_many_kinds_is_told_once() -> None:
    told = explain("notches")
    assert told.count("Notches in its edges.") == 1
    assert "of kind rectangle, trapezoid" in told


def test_every_word_of_the_reference_is_answered() -> None:
    words = {k.name for s in SCHEMAS.values() for k in s.keys} | {n for n in SCHEMAS if n}
    assert not [w for w in words if "There is no key" in explain(w.removeprefix("shape:"))]
