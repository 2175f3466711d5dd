"""The house itself: start-up is light, files and folders stay small, the top is as agreed."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.architecture.sources import modules, text_of

ROOT = Path(__file__).resolve().parents[2]


def test_help_is_light() -> None:
    """``nestcut --help`` loads no solver, no geometry and no drawing library."""
    program = (
        "import sys\n"
        "from nestcut.cli.commands import _run\n"
        "_run(['--help'])\n"
        "heavy = {'ortools', 'ezdxf', 'numba', 'shapely', 'reportlab', 'numpy'}\n"
        "heavy &= set(sys.modules)\n"
        "sys.exit(str(sorted(heavy)) if heavy else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)

    assert done.returncode == 0, done.stderr


def test_no_file_grows_into_two_rooms() -> None:
    """No module of the package exceeds 420 lines, and every one says what belongs there."""
    assert [p for p in modules() if len(text_of(p).splitlines()) > 420] == []
    assert [p for p in modules() if not re.match(r'(#.*\n)*"""', text_of(p))] == []


FOLDERS = sorted({p.parent for p in (ROOT / "nestcut").rglob("*.py")})
REGISTERS = {"words/codes"}
"""Rooms that hold a module for each line of a register: a prefix of codes."""


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda p: p.name)
def test_no_folder_grows_into_two_rooms(folder: Path) -> None:
    """A folder has some fifteen modules at most, and a door that says what belongs there."""
    modules = [p for p in folder.glob("*.py") if p.name != "__init__.py"]

    assert (folder / "__init__.py").exists()
    assert len(modules) <= 16 or folder.relative_to(ROOT / "nestcut").as_posix() in REGISTERS


def test_findings_carry_documented_prefixes() -> None:
    """Every finding code starts with a prefix that DEVELOPERS.md explains."""
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    prefixes = {p for m in modules() for p in re.findall(r"\"([A-Z]+)-\d{3}\"", text_of(m))}

    assert prefixes
    assert {p for p in prefixes if f"`{p}-" not in guide} == set()


def test_nothing_else_lies_at_the_top() -> None:
    """The top level holds the agreed things only."""
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0 or not listed.stdout:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    agreed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "nestcut",
        "tests",
        "parts",
        "outputs",
    }

    assert {t for t in top if not t.startswith(".")} <= agreed | {"LICENSE"}


def test_tables_from_outside_come_in_by_the_gate() -> None:
    """Parsing TOML has no limits of its own: whoever parses has looked the text through before."""
    known = {"gate/document.py", "jobfile/typing_traps.py"}
    parsing = {
        path.relative_to(ROOT / "nestcut").as_posix()
        for path in modules()
        if "tomllib.load" in text_of(path)
    }
    assert parsing == known


def test_the_list_of_slow_tests_names_tests_that_there_are() -> None:
    """A test that moves takes its place in ``slow_tests.txt`` along."""
    gone = []
    for place in (ROOT / "tests" / "slow_tests.txt").read_text(encoding="utf-8").split():
        file, _, function = place.partition("::")
        path = ROOT / file
        if not path.exists() or (function and f"def {function}(" not in text_of(path)):
            gone.append(place)

    assert gone == []
