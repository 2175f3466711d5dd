"""Small numbers stand in two rooms: tolerances and trade.  Everywhere else they have a name."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from nestcut import tolerances
from tests.architecture.sources import PACKAGE, modules, text_of

ROOMS = ("tolerances", "trade")
LARGEST = 0.1


def small_numbers(source: str) -> list[tuple[int, float]]:
    """Lines and values of literals that are nearer to nothing than a tenth, whole numbers apart."""
    if not re.search(r"\.0|[eE]-", source):
        return []
    return sorted(
        (node.lineno, node.value)
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Constant)
        and isinstance(node.value, float)
        and 0.0 < abs(node.value) < LARGEST
    )


MODULES = [p for p in modules() if p.relative_to(PACKAGE).parts[0] not in ROOMS]


def test_no_small_number_stands_bare() -> None:
    found = {
        p.relative_to(PACKAGE).as_posix(): small
        for p in MODULES
        if (small := small_numbers(text_of(p)))
    }
    assert not found, f"name these in nestcut/tolerances or nestcut/trade: {found}"


def test_the_lint_sees_them() -> None:
    source = "x = 1e-9\ny = [0.05, 0.1, 2, 0.0]\nz = x * -0.02\n"
    assert small_numbers(source) == [(1, 1e-9), (2, 0.05), (3, 0.02)]


def _named() -> dict[str, tuple[float, str, str]]:
    """Every name of the tolerances with its value, its room and what is said of it."""
    named: dict[str, tuple[float, str, str]] = {}
    for path in sorted(Path(tolerances.__file__).parent.glob("*.py")):
        body = ast.parse(path.read_text(encoding="utf-8")).body
        for node, after in zip(body, [*body[1:], None], strict=True):
            if not isinstance(node, ast.Assign):
                continue
            (target,) = node.targets
            assert isinstance(target, ast.Name)
            assert target.id not in named, f"{target.id} stands in two rooms"
            is_said = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
            said = str(after.value.value) if is_said else ""  # type: ignore[union-attr]
            named[target.id] = ast.literal_eval(node.value), path.name, said
    return named


def test_every_tolerance_is_told_with_its_unit() -> None:
    for name, (_, room, said) in _named().items():
        assert "[" in said or name.endswith("_PER_MM"), f"{room}: {name} says no unit"


def test_every_tolerance_is_used() -> None:
    words = {w for p in MODULES for w in re.findall(r"\w+", text_of(p))}

    assert _named().keys() - words == set(), "nobody uses these"
