"""Nothing below the papers formats a length by hand: facts carry it, words say it.

A length by hand is a name that ends on ``_mm`` (or the answer of a formatter of ``units``) within
an f-string.  Left out is what writes a notation of its own, not a sentence for a reader.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "nestcut"
ROOMS = (
    "joints",
    "boards",
    "planning",
    "sheets",
    "shapes",
    "jobfile",
    "intake",
    "model",
    "nesting",
)
FORMATTERS = {
    "format_length", "format_mm", "format_size", "format_feet_inches",
}  # fmt: skip
OWN_NOTATION = {
    "shapes/fair/fairness.py": "a CSV of numbers",
    "shapes/table/notation.py": "a table in its own notation",
    "joints/arithmetic.py": "ValueErrors: our own faults, told to programmers",
    "jobfile/book.py": "examples in the job's notation, to be typed back",
    "planning/board_sheets.py": "names of boards inside the search",
    "sheets/prepare.py": "names of materials, keys of bounds",
}


def by_hand(source: str) -> list[int]:
    """Lines in which a length is put into a text."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FormattedValue):
            names = [n for n in ast.walk(node.value) if isinstance(n, ast.Name | ast.Attribute)]
            texts = [n.id if isinstance(n, ast.Name) else n.attr for n in names]
            if any(t.endswith("_mm") for t in texts):
                found.append(node.lineno)
        if isinstance(node, ast.Call):
            called = node.func
            name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
            if name in FORMATTERS:
                found.append(node.lineno)
    return sorted(set(found))


MODULES = [p for room in ROOMS for p in sorted((PACKAGE / room).rglob("*.py"))]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_no_length_is_formatted_below_the_papers(path: Path) -> None:
    name = str(path.relative_to(PACKAGE))
    lines = by_hand(path.read_text(encoding="utf-8"))
    if name in OWN_NOTATION:
        assert lines, f"{name} needs no exception any more"
    else:
        assert not lines, f"{name}, lines {lines}: hand over a Length, say it in nestcut/words"


def test_the_eye_sees_what_it_should() -> None:
    assert by_hand('x = f"{part.length_mm:.0f} mm"') == [1]
    assert by_hand("y = format_length(3.0, style)") == [1]
    assert by_hand("z = Length(part.length_mm)") == []
