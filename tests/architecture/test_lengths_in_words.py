"""Nothing below the papers formats a length by hand: facts carry it, words say it.

A length by hand is a name that ends on ``_mm`` (or the answer of a formatter of ``units``) within
an f-string.  Left out is what writes a notation of its own, not a sentence for a reader.
"""

from __future__ import annotations

import ast

from tests.architecture.sources import PACKAGE, modules, text_of

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
    "model/digest.py": "lines to be hashed, for no reader",
    "joints/arithmetic.py": "ValueErrors: our own faults, told to programmers",
    "jobfile/book.py": "examples in the job's notation, to be typed back",
    "planning/sawn/as_sheets.py": "names of boards inside the search",
    "planning/sawn/bounds.py": "the same names",
    "sheets/prepare.py": "names of materials, keys of bounds",
}


def by_hand(module: ast.Module) -> list[int]:
    """Lines in which a length is put into a text."""
    found = []
    for node in ast.walk(module):
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


def test_no_length_is_formatted_below_the_papers() -> None:
    below = {p.relative_to(PACKAGE).as_posix(): p for p in modules()}
    lines = {
        n: by_hand(ast.parse(text_of(p))) for n, p in below.items() if n.split("/")[0] in ROOMS
    }
    found = {name: at for name, at in lines.items() if at}

    assert found.keys() - OWN_NOTATION.keys() == set(), f"{found}: say a Length in nestcut/words"
    assert OWN_NOTATION.keys() - found.keys() == set(), "these need no exception any more"


def test_the_eye_sees_what_it_should() -> None:
    assert by_hand(ast.parse('x = f"{part.length_mm:.0f} mm"')) == [1]
    assert by_hand(ast.parse("y = format_length(3.0, style)")) == [1]
    assert by_hand(ast.parse("z = Length(part.length_mm)")) == []
