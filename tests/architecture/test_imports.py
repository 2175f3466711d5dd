"""Every module imports alone, whatever was imported before: no imports go in a circle.

A module that is imported first runs its folders' doors, and these what they import, and so on.  An
import fails where that comes back to a module that is still running.  So a module leads to what it
imports while it runs, and to the doors above that which aren't its own; where none of these ways
goes in a circle, any module may be the first.  (Importing each of them alone said the same, and
took three minutes.)
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

import pytest

from tests.architecture.sources import PACKAGE, modules, text_of


def name_of(path: str) -> str:
    """A module's name by its path below the package's folder."""
    parts = ["nestcut", *path.removesuffix(".py").split("/")]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


SOURCES = {
    name_of(path.relative_to(PACKAGE).as_posix()): text_of(path)
    for path in modules()
    if path.name != "__main__.py"
}


def run_at_once(body: list[ast.stmt]) -> Iterator[ast.Import | ast.ImportFrom]:
    """Imports that happen while a module is imported, not later in its functions."""
    for node in body:
        if isinstance(node, ast.Import | ast.ImportFrom):
            yield node
        elif isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            yield from run_at_once(node.orelse)
        elif not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            for within in ("body", "orelse", "finalbody"):
                yield from run_at_once(getattr(node, within, []))
            for handler in getattr(node, "handlers", []):
                yield from run_at_once(handler.body)


def doors_above(name: str) -> set[str]:
    """The packages that a module lies in."""
    parts = name.split(".")
    return {".".join(parts[:k]) for k in range(1, len(parts))}


def circle_in(sources: Mapping[str, str]) -> list[str]:
    """Modules that lead to each other in a circle, by names and texts of all; none if none do."""
    ways: dict[str, set[str]] = {}
    for name, text in sources.items():
        ways[name] = set()
        for node in run_at_once(ast.parse(text).body):
            if isinstance(node, ast.Import):
                named = [alias.name for alias in node.names]
            else:  # a module out of a package that still runs can be had, another name can't
                whole = [(f"{node.module}.{alias.name}", node.module) for alias in node.names]
                named = [deep if deep in sources else str(door) for deep, door in whole]
            for target in named:
                ways[name] |= ({target} | doors_above(target) - doors_above(name)) & set(sources)
        ways[name].discard(name)
    try:
        TopologicalSorter(ways).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_imports_go_in_a_circle() -> None:
    assert circle_in(SOURCES) == []


def test_every_module_imports() -> None:
    program = "import importlib, sys\nfor name in sys.argv[1:]: importlib.import_module(name)"
    names = sorted(SOURCES, reverse=True)
    done = subprocess.run([sys.executable, "-c", program, *names], capture_output=True, text=True)

    assert done.returncode == 0, done.stderr


ROOM = {"room": "from room.one import x", "room.one": "x = 1", "room.two": "", "hall": ""}


@pytest.mark.parametrize(
    ("one", "hall", "is_circle"),
    [
        ("import hall; x = 1", "from room.one import x", True),
        ("import hall; x = 1", "from room.two import y", True),
        ("from room import x", "", True),
        ("try:\n    import hall\nfinally:\n    x = 1", "import room.one", True),
        ("from room import two; x = two", "", False),
        ("def x():\n    import hall", "from room.one import x", False),
        ("if TYPE_CHECKING:\n    import hall\nx = 1", "import room", False),
    ],
)
def test_circles_are_found_where_there_are_any(one: str, hall: str, *, is_circle: bool) -> None:
    assert bool(circle_in({**ROOM, "room.one": one, "hall": hall})) is is_circle
