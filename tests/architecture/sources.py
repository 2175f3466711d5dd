"""The package's modules, read once for all tests of the house."""

from __future__ import annotations

from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2] / "nestcut"


@cache
def text_of(path: Path) -> str:
    """Return what stands in a module."""
    return path.read_text(encoding="utf-8")


@cache
def modules() -> tuple[Path, ...]:
    """Return the paths of all modules, in order."""
    return tuple(sorted(PACKAGE.rglob("*.py")))
