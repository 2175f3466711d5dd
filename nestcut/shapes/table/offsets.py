"""A table of offsets as plans print it: stations across, lines down, heights and half-breadths.

Rows begin with a word.  ``station`` names the stations, ``at`` gives their distances; ``heights``,
``half-breadths`` and ``distances`` alone open a block, or stand beside a line's name in its own
row.  What can't be placed is named by its row, so that the builder finds it in the print.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np

from nestcut.errors import Finding
from nestcut.facts import Length, Names
from nestcut.shapes.fair.two_sides import Apart, made_one
from nestcut.shapes.faults import FollowsError, ShapeFaultError
from nestcut.shapes.hull.spaceline import SpaceLine, through
from nestcut.shapes.known import OffsetForm, count_bare_in
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances import SAME_LENGTH_MM

Grid = Sequence[tuple[int, Sequence[str]]]
"""Rows of cells with the number of each row in its file or text, from 1."""


class Facing(StrEnum):
    """To which face of the planking offsets are measured."""

    OUTSIDE = "outside"
    INSIDE = "inside"


class Counted(StrEnum):
    """From which end distances along the boat are measured."""

    BOW = "bow"
    STERN = "stern"


class View(StrEnum):
    """What a figure measures."""

    HEIGHTS = "heights"
    HALF_BREADTHS = "half-breadths"
    DISTANCES = "distances"


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetTable:
    """A table of offsets as read.

    Parameters
    ----------
    stations
        Their names, in the order of the table.
    at_mm
        Their distances from the end they are counted from. [mm]
    readings
        By line and view, one for each station; None: none. [mm]
    rows
        Number of each reading's row in the text or file, by line and view.
    """

    stations: tuple[str, ...]
    at_mm: tuple[float, ...]
    readings: dict[tuple[str, View], tuple[float | None, ...]]
    rows: dict[tuple[str, View], int]
    counted: Counted
    form: OffsetForm
    facing: Facing | None
    planking_mm: tuple[float, ...] = ()
    knuckles: frozenset[tuple[str, str]] = frozenset()
    findings: list[Finding] = field(default_factory=list)
    apart: tuple[Apart, ...] = ()
    """Where both sides are given and don't agree."""

    @property
    def line_names(self) -> tuple[str, ...]:
        """Names of the lines, in the order of the table."""
        return tuple(dict.fromkeys(name for name, _ in self.readings))

    @property
    def length_mm(self) -> float:
        """Greatest distance in the table. [mm]"""
        far = [v for (_, view), row in self.readings.items() if view is View.DISTANCES for v in row]
        return max([*self.at_mm, *(v for v in far if v is not None)])

    def forward_mm(self, distance_mm: float) -> float:
        """Distance from the after end of the table, rising forward. [mm]"""
        if self.counted is Counted.STERN:
            return distance_mm
        return self.length_mm - distance_mm

    def row(self, line: str, view: View) -> tuple[float | None, ...]:
        """Readings of a line in a view; none where the table has no such row."""
        return self.readings.get((line, view), (None,) * len(self.stations))

    def points(self, line: str) -> list[tuple[str, float, float, float]]:
        """Station's name, distance forward, half-breadth and height of a line's points. [mm]"""
        has_breadths = (line, View.HALF_BREADTHS) in self.readings
        found = []
        for i, name in enumerate(self.stations):
            z, y = self.row(line, View.HEIGHTS)[i], self.row(line, View.HALF_BREADTHS)[i]
            off = self.row(line, View.DISTANCES)[i]
            if z is None or (y is None and has_breadths):
                continue
            x = self.forward_mm(self.at_mm[i] if off is None else off)
            found.append((name, x, y or 0.0, z))
        return sorted(found, key=lambda p: p[1])

    def line(self, name: str) -> SpaceLine:
        """Return a line in space, running forward.

        Raises
        ------
        ShapeFaultError
            If it has too few points.
        """
        points = self.points(name)
        if len(points) < 2:
            raise ShapeFaultError("table", "SHP-041", line=name, number=len(points))
        sharp = tuple(
            i
            for i, p in enumerate(points)
            if (name, p[0]) in self.knuckles and 0 < i < len(points) - 1
        )
        return through(np.array([p[1:] for p in points], dtype=np.float64), sharp)


def read_offset_table(reader: ShapeReader, grid: Grid) -> OffsetTable | None:
    """Read the table; None if anything is at fault, which the reader has recorded."""
    try:
        table = _read(reader, grid)
    except ShapeFaultError as fault:
        fault.record(reader)
        table = None
    reader.close()
    return table if reader.is_sound else None


def _read(reader: ShapeReader, grid: Grid) -> OffsetTable:
    reading = _Reading(reader, count_bare_in(reader))
    told: set[str] = set()
    for number, cells in grid:
        try:
            reading.take(number, [c.strip() for c in cells])
        except ShapeFaultError as fault:  # each row's own fault, all at once
            if not told & {fault.code} & _SHARED:
                fault.record(reader)
            told.add(fault.code)
            if not reading.stations:
                break
    table = reading.table(
        reader.choice("measured_from", Counted),
        reader.choice("to", Facing) if reader.has("to") else None,
        reader.lengths("planking"),
        reader.positive("spacing") if reader.has("spacing") else None,
    )
    return _with_knuckles(table, reader.texts("knuckles"))


_SHARED = {"SHP-043", "SHP-083"}
"""Faults that several rows share when what stands above them is missing."""


def grid_of_text(text: str) -> Grid:
    """Cells of a pasted table: apart by |, tab, semicolon, or two blanks."""
    rows = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
    separator = next((s for s in ("|", "\t", ";") if any(s in line for _, line in rows)), None)
    if separator is None:
        return [(n, re.split(r"\s{2,}", line.strip())) for n, line in rows]
    return [
        (n, _edges_off(line, separator).split(separator))
        for n, line in rows
        if not re.fullmatch(r"[\s|:+=-]*[=-]{2,}[\s|:+=-]*", line)
    ]


def _edges_off(line: str, separator: str) -> str:
    """Line of a table that is ruled at its sides too, without these rules."""
    return line.strip().removeprefix("|").removesuffix("|") if separator == "|" else line


_EIGHTHS = re.compile(r"\d+-\d+-\d+[+-]?")
_NONE = {"", "-", "--", "\u2013", "\u2014", ".", "..", "...", "x", "n/a"}
"""Cells without a reading."""
_VIEWS: tuple[tuple[re.Pattern[str], View], ...] = (
    (re.compile(r"\b(half|1/2|\u00bd)[\s-]*(breadths?|beams?|widths?)\b|\bh\.?b\.?\b"),
     View.HALF_BREADTHS),
    (re.compile(r"\bheights?\b|\bhts?\b\.?"), View.HEIGHTS),
    (re.compile(r"\bdistances?\b|\blengths?\b|\bfore[\s-]and[\s-]aft\b|\bends\b"),
     View.DISTANCES),
)  # fmt: skip
_FILLERS = re.compile(
    r"\b(above|below|from|base\s?line|base|the|of|to|line|centre|center|bow|stern|and)\b|[:(),.]"
)
_NAMES_ROW = re.compile(r"\s*(stations?|sta\.?|frames?|sections?|no\.?)\b.*")
_AT_ROW = re.compile(
    r"\s*(at|x|position|spacing|(from|aft|abaft|forward|fore)\b.*|distances?\b.*)\s*:?\s*"
)


class _Reading:
    """The table while it is being read, row by row."""

    def __init__(self, reader: ShapeReader, form: OffsetForm) -> None:
        self.reader, self.form = reader, form
        self.view: View | None = None
        self.stations: tuple[str, ...] = ()
        self.at: tuple[float | None, ...] = ()
        self.readings: dict[tuple[str, View], tuple[float | None, ...]] = {}
        self.rows: dict[tuple[str, View], int] = {}

    def take(self, number: int, cells: list[str]) -> None:
        head, figures = cells[0].lower().strip("*_ "), cells[1:]  # * and _ make letters bold
        while figures and not figures[-1] and len(figures) > max(len(self.stations), 1):
            figures.pop()
        is_alone = all(not f for f in figures)
        view, name = _view_and_name(head)
        if not self.stations and _NAMES_ROW.fullmatch(head) and not is_alone:
            self.stations = tuple(figures)
        elif is_alone and view is not None:
            self.view = view
        elif self.stations and not self.readings and not self.at and _AT_ROW.fullmatch(head):
            self.at = self._figures(number, "at", figures)
        elif not is_alone and not _says_centre(figures):
            self._line(number, name, self.view if view is None else view, figures)

    def _line(self, number: int, name: str, view: View | None, figures: list[str]) -> None:
        key = f"table[{number}]"
        if not self.stations:
            raise ShapeFaultError(key, "SHP-042")
        if view is None and not self.at and not self.readings:
            raise ShapeFaultError(key, "SHP-083", row=name or "?")
        if view is None or not name:
            raise ShapeFaultError(key, "SHP-043", row=name or "?")
        if (name, view) in self.readings:
            raise ShapeFaultError(key, "SHP-044", row=name, view=view.value)
        self.readings[name, view] = self._figures(number, name, figures)
        self.rows[name, view] = number

    def _figures(self, number: int, name: str, cells: list[str]) -> tuple[float | None, ...]:
        key = f"table[{number}]"
        if len(cells) < len(self.stations) and not any(c in _NONE for c in cells):
            raise ShapeFaultError(
                key, "SHP-045", row=name, number=len(cells), stations=len(self.stations)
            )
        if len(cells) > len(self.stations):
            raise ShapeFaultError(
                key, "SHP-045", row=name, number=len(cells), stations=len(self.stations)
            )
        cells = [*cells, *[""] * (len(self.stations) - len(cells))]
        if self.form is OffsetForm.LENGTHS and any(_EIGHTHS.fullmatch(c) for c in cells):
            self.form = OffsetForm.EIGHTHS  # so that doubts are told as the table is written
        return tuple(
            None if c.lower() in _NONE else self.reader.read_signed(key, in_form(c, self.form))
            for c in cells
        )

    def table(
        self,
        counted: Counted,
        facing: Facing | None,
        planking: tuple[float, ...],
        spacing: float | None,
    ) -> OffsetTable:
        if not self.reader.is_sound:
            raise FollowsError
        if not self.stations or not self.readings:
            raise ShapeFaultError("table", "SHP-042")
        at = self.at
        if not at and spacing is not None:
            at = tuple(i * spacing for i in range(len(self.stations)))
        if not at:
            raise ShapeFaultError("table", "SHP-046")
        at = self._with_own_distances(at)
        missing = tuple(s for s, a in zip(self.stations, at, strict=True) if a is None)
        if missing:
            raise ShapeFaultError("table", "SHP-150", missing=Names(missing))
        places = tuple(a for a in at if a is not None)
        for (one, a), (other, b) in pairwise(zip(self.stations, places, strict=True)):
            if b - a <= SAME_LENGTH_MM:
                raise ShapeFaultError(
                    "table", "SHP-047", one=one, other=other, at=Length(a), after=Length(b)
                )
        readings, rows, apart = made_one(self.readings, self.rows, places)
        for name in dict.fromkeys(n for n, _ in readings):
            if (name, View.HEIGHTS) not in readings:
                raise ShapeFaultError("table", "SHP-048", line=name)
        return OffsetTable(
            stations=self.stations,
            at_mm=places,
            readings=readings,
            rows=rows,
            apart=apart,
            counted=counted,
            form=self.form,
            facing=facing,
            planking_mm=planking,
        )

    def _with_own_distances(self, at: tuple[float | None, ...]) -> tuple[float | None, ...]:
        """Distances of stations, such as stem and transom, where only lines' own rows say them."""
        own = [row for (_, view), row in self.readings.items() if view is View.DISTANCES]
        return tuple(
            next((row[i] for row in own if row[i] is not None), None) if a is None else a
            for i, a in enumerate(at)
        )


def _says_centre(cells: list[str]) -> bool:
    """Whether a row says in words that its line runs on the centre line, as one without does."""
    said = " ".join(c for c in cells if c not in _NONE)
    return not any(c.isdigit() for c in said) and bool(re.search(r"\bcent(re|er)\b", said.lower()))


def in_form(cell: str, form: OffsetForm) -> str:
    """Cell as the length reader takes it: feet, inches and eighths may stand apart by blanks."""
    text = cell.strip().strip("\"'") if form is OffsetForm.EIGHTHS else cell.strip()
    if form is not OffsetForm.EIGHTHS:
        return text
    found = re.fullmatch(r"(?:(\d+)[\s.:-]+)?(\d+)[\s.:-]+(\d+)\s*([+-]?)", text)
    return f"{found[1] or 0}-{found[2]}-{found[3]}{found[4]}" if found else text


def _view_and_name(head: str) -> tuple[View | None, str]:
    """View that a row's head names, and what is left of it: the line's name."""
    for pattern, view in _VIEWS:
        if pattern.search(head):
            rest = _FILLERS.sub(" ", pattern.sub(" ", head))
            return view, " ".join(rest.replace("-", " ").split())
    return None, " ".join(head.strip(" :.").split())


def _with_knuckles(table: OffsetTable, wishes: tuple[str, ...]) -> OffsetTable:
    found = set()
    for wish in wishes:
        line, _, station = wish.strip().rpartition(" ")
        if line not in table.line_names or station not in table.stations:
            raise ShapeFaultError(
                "knuckles",
                "SHP-049",
                wish=wish,
                lines=Names(table.line_names),
                stations=Names(table.stations),
            )
        found.add((line, station))
    return replace(table, knuckles=frozenset(found))
