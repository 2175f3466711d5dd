"""The order of building: what is cut when, and what each stage buys."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nestcut.errors import InputError, Severity, finding
from nestcut.gate import FileKind, read_text, tables_of
from nestcut.model.plan import VerifiedPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """Parts that are wanted together; ``name`` is how the builder calls them."""

    name: str
    parts: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """What one stage comes to.

    Parameters
    ----------
    name
        The stage.
    pieces
        Ids of the pieces that are cut then.
    sheets, boards
        Numbers of the sheets and boards that are bought, or taken from the shed, for it.
    cost_minor
        What is paid at this stage. [minor units]
    """

    name: str
    pieces: tuple[str, ...]
    sheets: tuple[int, ...]
    boards: tuple[int, ...]
    cost_minor: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StagedPlan:
    """A whole plan in stages, and what the order costs against ``least_minor`` without one."""

    verified: VerifiedPlan
    stages: tuple[Bought, ...]
    least_minor: int

    @property
    def cost_minor(self) -> int:
        """What all stages cost together. [minor units]"""
        return sum(s.cost_minor for s in self.stages)


def parse_stages(text: str, name: str) -> tuple[Stage, ...]:
    """Read an order of stages.

    Parameters
    ----------
    text
        A TOML text with a ``[[stage]]`` table for each stage.
    name
        Of the file.

    Raises
    ------
    InputError
        With what is wrong with it.
    """
    try:
        tables = tables_of(text, name).get("stage")
    except ValueError as error:
        raise InputError([finding("AGN-006", Severity.ERROR, name, fault=str(error))]) from None
    stages = []
    for k, table in enumerate(tables if isinstance(tables, list) else [], start=1):
        parts = table.get("parts") if isinstance(table, dict) else None
        if not isinstance(parts, list) or not all(isinstance(p, str) for p in parts):
            fault = f"stage {k} has no list of parts"
            raise InputError([finding("AGN-006", Severity.ERROR, name, fault=fault)])
        stages.append(Stage(name=str(table.get("name", f"stage {k}")), parts=frozenset(parts)))
    if not stages:
        fault = "there is no [[stage]]"
        raise InputError([finding("AGN-006", Severity.ERROR, name, fault=fault)])
    return tuple(stages)


def read_stages(path: Path) -> tuple[Stage, ...]:
    """Read a file with an order of stages; raises as :func:`parse_stages`."""
    return parse_stages(read_text(path, FileKind.JOB), str(path))
