"""Doubts about readings: whole tables weighed together, each doubt with the reading that would fit.

Lines of one boat bend alike: sheer and chine run into the same stem.  So the third derivatives of
all lines of a view are taken as one common white noise, in proportion to how far each line ranges,
plus a smaller noise of each line's own (for several
lines at once: a smooth curve plus reading errors of known size, the curve's third derivative as
white noise of unknown strength, the smoothing spline's model, G. Wahba, Spline Models for
Observational Data, SIAM 1990, chapter 1).  Each reading in turn is taken as shifted by an unknown
amount (mean-shift outlier model: R. D. Cook and S. Weisberg, Residuals and Influence in
Regression, 1982, section 2.2) and compared with the table as it stands by the Bayes factor (R. E.
Kass and A. E. Raftery, Bayes Factors, J. Am. Stat. Assoc. 90, 1995), strengths and shift summed
over, held near what fair boats show.  The greatest likelihood alone slights readings at the lines'
ends, where many shifts fit alike.

Where stations are few, these figures alone name the wrong one of two neighbours.  So readings are
weighed by families of fair hulls as well (:mod:`nestcut.shapes.table.fair_hulls`), and the mean of
both log Bayes factors counts: what either knows better, and none alone accuses (a logarithmic pool
of opinions, C. Genest and J. V. Zidek, Statistical Science 1, 1986).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nestcut.errors import Finding
from nestcut.facts import Facts, Length, fact
from nestcut.shapes.fair.fairness import READING_MM, contrasts_of
from nestcut.shapes.fair.stations import EdgeReadings, PanelReadings
from nestcut.shapes.known import OffsetForm, warning
from nestcut.shapes.table.fair_hulls import Reading, breadths_gains, heights_gains
from nestcut.shapes.table.line_order import crossings
from nestcut.shapes.table.notation import likely_mm, said
from nestcut.shapes.table.offsets import OffsetTable, View
from nestcut.tolerances.likeness import LINE_NOISE, SLIP_CHANCE
from nestcut.tolerances.noise import DUST

Floats = NDArray[np.float64]

_FIRST_GAIN = 1.7
"""Log Bayes factor from which the most doubtful reading is told; how many fair tables then have a
doubt is measured in tests/benchmark/misreadings. [-]"""
_NEXT_GAIN = 6.0
"""The same for every further one, taken after those before it are mended. [-]"""
_LEAST_MM = 3.0
"""Smaller slips disappear under the batten. [mm]"""
_MISREAD_MM = 20.0
"""A figure misread is rarely less; smaller slips are told only where much speaks for them. [mm]"""
_SIZES_MM = np.concatenate([np.geomspace(3.0, 18.0, 7), np.geomspace(20.0, 330.0, 18)])
_SLIPS = np.concatenate([_SIZES_MM, -_SIZES_MM])
"""How far a reading may have been misread: an inch and more, less than that rarely. [mm]"""
_SLIP_LOGS = np.log(np.where(np.abs(_SLIPS) < _MISREAD_MM, SLIP_CHANCE, 1.0))
_SLIP_LOGS = _SLIP_LOGS - np.logaddexp.reduce(_SLIP_LOGS)
_ALIKE = 1.0
"""Log Bayes factors that differ by no more leave open which of two readings is misread. [-]"""
_MOST_DOUBTS = 5
FEWEST = 5
"""Four readings can't accuse one of them."""
_STRENGTHS = tuple(10.0 ** (k / 4.0) for k in range(-8, 9))
"""Trial strengths, in ranges over the cube of the length. [-]"""
_OWN = (LINE_NOISE, 0.1, 0.3, 1.0)
"""A line's own noise against the common one. [-]"""
_USUAL_LOG10, _SPREAD_LOG10 = 0.7, 0.6
"""What fair lines show: third derivatives of some five ranges over the cube of the length, give or
take a factor of four (measured on closed forms and skiffs in tests/unit/shapes/test_doubts)."""
_OWN_PENALTY = 1.0
"""Cost of a tenfold own noise, in log likelihood. [-]"""


@dataclass(frozen=True, slots=True)
class Row:
    """Readings of one line in one view. [mm]"""

    line: str
    view: str
    stations: tuple[str, ...]
    x: tuple[float, ...]
    y: tuple[float, ...]
    knuckles: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Doubt:
    """A reading that no fair line would pass through.

    ``off_mm`` is the reading less what a fair line would read there; ``gain`` is what speaks
    against it, a log Bayes factor. [mm], [-]
    """

    line: str
    view: str
    station: str
    x_mm: float
    reading_mm: float
    off_mm: float
    gain: float
    beside: Doubt | None = None
    """The reading beside it, where that one misread would explain nearly as much, or more."""

    @property
    def fair_mm(self) -> float:
        """What a fair line would read. [mm]"""
        return self.reading_mm - self.off_mm


def doubts_of(rows: Sequence[Row]) -> tuple[Doubt, ...]:
    """Doubted readings, the worst first; rows of one view are weighed together."""
    views = dict.fromkeys(r.view for r in rows)
    ranked = [d for view in views for d in _view_doubts([r for r in rows if r.view == view])]
    ranked.sort(key=lambda d: -d.gain)
    return tuple(d for i, d in enumerate(ranked) if d.gain >= (_NEXT_GAIN if i else _FIRST_GAIN))[
        :_MOST_DOUBTS
    ]


def _view_doubts(rows: list[Row]) -> list[Doubt]:
    """Doubts of one view, one after the other, each on the table as mended before."""
    found: list[Doubt] = []
    for _ in range(_MOST_DOUBTS):
        best = _worst(rows)
        if best is None or best.gain < (_NEXT_GAIN if found else _FIRST_GAIN):
            break
        if any((d.line, d.station) == (best.line, best.station) for d in found):
            break
        found.append(best)
        rows = [_mended(r, best) for r in rows]
    return found


def first_doubt(rows: list[Row]) -> Doubt | None:
    """Reading of a view that is told first; None where none is doubted enough."""
    best = _worst(rows)
    return best if best is not None and best.gain >= _FIRST_GAIN else None


def _mended(row: Row, doubt: Doubt) -> Row:
    if row.line != doubt.line:
        return row
    i = row.stations.index(doubt.station)
    return Row(
        row.line, row.view, row.stations, row.x,
        (*row.y[:i], doubt.fair_mm, *row.y[i + 1 :]), row.knuckles,
    )  # fmt: skip


def _worst(rows: list[Row]) -> Doubt | None:
    """Reading whose shift gains most."""
    rows = [r for r in rows if len(r.x) >= FEWEST]
    if not rows:
        return None
    blocks = [contrasts_of(np.array(r.x), r.knuckles) for r in rows]
    if sum(len(b) for b in blocks) < 2:
        return None
    long = max(max(r.x) - min(r.x) for r in rows)
    ranges = [max(float(np.ptp(r.y)), long / 50.0) for r in rows]
    size = [len(r.x) for r in rows]
    starts = np.cumsum([0, *size])
    contrasts = np.zeros((sum(len(b) for b in blocks), sum(size)))
    amplitude, cells = [], []
    k = 0
    for j, (row, block) in enumerate(zip(rows, blocks, strict=True)):
        for c in block:
            contrasts[k, starts[j] : starts[j + 1]] = c
            used = np.flatnonzero(c)
            cells.append((round(row.x[used[0]]), round(row.x[used[-1]])))
            amplitude.append(ranges[j] / long**3 * math.sqrt(long / 3.0))
            k += 1
    same = np.array([[a == b for b in cells] for a in cells], dtype=np.float64)
    y = np.concatenate([np.array(r.y) for r in rows])
    gains, slips = _gains(contrasts, y, np.array(amplitude), same)
    by_hulls = _by_hulls(rows)
    if by_hulls is not None:
        gains, slips = (gains + by_hulls[0]) / 2.0, (slips + by_hulls[1]) / 2.0
    is_large = np.abs(slips) >= np.where(gains >= _NEXT_GAIN, _LEAST_MM, _MISREAD_MM)
    meant = np.concatenate([np.isin(np.array(r.x), np.array(r.knuckles)) for r in rows])
    worth = np.where(is_large & ~meant, gains, -math.inf)
    i = int(np.argmax(worth))
    if not math.isfinite(worth[i]):
        return None
    j = int(np.searchsorted(starts, i, side="right") - 1)
    row, n = rows[j], i - int(starts[j])

    def doubt(k: int) -> Doubt:
        off, gain = float(slips[starts[j] + k]), float(gains[starts[j] + k])
        return Doubt(row.line, row.view, row.stations[k], row.x[k], row.y[k], off, gain)

    neighbours = [
        doubt(k) for k in (n - 1, n + 1) if 0 <= k < len(row.x) and row.x[k] not in row.knuckles
    ]
    near = [d for d in neighbours if abs(d.off_mm) >= _LEAST_MM and d.gain >= gains[i] - _ALIKE]
    beside = max(near, key=lambda d: d.gain, default=None)
    return replace(doubt(n), beside=beside)


def _by_hulls(rows: Sequence[Row]) -> tuple[Floats, Floats] | None:
    """Gains and shifts by what fair hulls look like; None for others and lines with knuckles."""
    weigh = _HULLS.get(rows[0].view)
    if weigh is None or any(r.knuckles for r in rows):
        return None
    start, end = min(r.x[0] for r in rows), max(r.x[-1] for r in rows)
    lines = [Reading((np.array(r.x) - start) / (end - start), np.array(r.y)) for r in rows]
    return weigh(lines, end - start, _SLIPS, _SLIP_LOGS)


_HULLS = {View.HEIGHTS.value: heights_gains, View.HALF_BREADTHS.value: breadths_gains}


def _gains(contrasts: Floats, y: Floats, amplitude: Floats, same: Floats) -> tuple[Floats, Floats]:
    """Log Bayes factor of each reading's being misread, and the likely shift. [-], [mm]

    Summed over what isn't known: strengths, the lines' own noise, and how far it was misread.
    """
    plain, shifted, shifts = [], [], []
    noise = READING_MM**2 * contrasts @ contrasts.T
    bend = contrasts @ y
    common = np.outer(amplitude, amplitude) * same
    own = np.diag(amplitude**2)
    for strength in _STRENGTHS:
        usual = -(((math.log10(strength) - _USUAL_LOG10) / _SPREAD_LOG10) ** 2) / 2.0
        for share in _OWN:
            covariance = noise + strength**2 * (common + share**2 * own)
            root = np.linalg.cholesky(covariance + DUST * np.trace(covariance) * np.eye(len(bend)))
            z, effects = np.linalg.solve(root, bend), np.linalg.solve(root, contrasts)
            prior = usual - _OWN_PENALTY * (math.log10(share) + 1.5)
            base = prior - float(np.sum(np.log(np.diag(root)))) - float(z @ z) / 2.0
            sizes, along = np.sum(effects**2, axis=0), effects.T @ z
            fits = np.outer(along, _SLIPS) - np.outer(sizes, _SLIPS**2) / 2.0 + _SLIP_LOGS
            top = fits.max(axis=1)
            weights = np.exp(fits - top[:, None])
            plain.append(base)
            shifted.append(base + top + np.log(weights.sum(axis=1)))
            shifts.append(along / np.maximum(sizes, DUST * sizes.max()))
    logs = np.array(shifted)
    shares = np.exp(logs - logs.max(axis=0))
    gains = logs.max(axis=0) + np.log(shares.sum(axis=0)) - np.logaddexp.reduce(plain)
    return gains, (shares * np.array(shifts)).sum(axis=0) / shares.sum(axis=0)


# -- findings -----------------------------------------------------------------------------------


def table_rows(table: OffsetTable) -> list[Row]:
    """Rows of a table of offsets to be weighed."""
    rows = []
    for (line, view), figures in table.readings.items():
        if view is View.DISTANCES:
            continue
        kept = [
            (table.forward_mm(_place(table, line, i)), table.stations[i], value)
            for i, value in enumerate(figures)
            if value is not None
        ]
        kept.sort()
        rows.append(
            Row(
                line,
                view.value,
                tuple(k[1] for k in kept),
                tuple(k[0] for k in kept),
                tuple(k[2] for k in kept),
                tuple(k[0] for k in kept if (line, k[1]) in table.knuckles),
            )
        )
    return rows


def _place(table: OffsetTable, line: str, i: int) -> float:
    off = table.row(line, View.DISTANCES)[i]
    return table.at_mm[i] if off is None else off


def table_doubts(table: OffsetTable) -> tuple[Doubt, ...]:
    """Doubted readings of a table."""
    return doubts_of(table_rows(table))


def table_findings(table: OffsetTable, doubts: Sequence[Doubt]) -> tuple[Finding, ...]:
    """Findings about readings to be read again, and about lines that cross or are exchanged."""
    told = [
        warning(
            "SHP-070" if d.off_mm > 0 else "SHP-071",
            f"offsets.table[{table.rows[d.line, View(d.view)]}]"
            f"[{1 + table.stations.index(d.station)}]",
            line=d.line,
            view=_ONE[d.view],
            station=d.station,
            reading=said(d.reading_mm, table.form),
            off=Length(abs(d.off_mm)),
            fair=said(likely_mm(d.reading_mm, d.fair_mm, table.form), table.form),
            beside=_beside(d, table.form),
        )
        for d in doubts
    ]
    return (*_sides_apart(table), *told, *crossings(table))


def _beside(doubt: Doubt, form: OffsetForm) -> Facts:
    """The reading beside a doubted one, if it may be that one as well."""
    other = doubt.beside
    if other is None:
        return Facts(())
    fair = said(likely_mm(other.reading_mm, other.fair_mm, form), form)
    reading = said(other.reading_mm, form)
    return Facts((fact("SHP-252", station=other.station, reading=reading, fair=fair),))


def _sides_apart(table: OffsetTable) -> list[Finding]:
    """Findings about points that port and starboard read differently."""
    return [
        warning(
            "SHP-087",
            f"offsets.table[{a.row}][{1 + a.station}]",
            line=a.line,
            view=_ONE.get(a.view, a.view),
            station=table.stations[a.station],
            side=a.doubted,
            reading=said(a.doubted_mm, table.form),
            other=said(a.used_mm, table.form),
            off=Length(abs(a.doubted_mm - a.used_mm)),
        )
        for a in table.apart
    ]


_ONE = {View.HEIGHTS.value: "height", View.HALF_BREADTHS.value: "half-breadth"}


def line_doubts(
    name: str,
    where: str,
    points: Floats,
    knuckles_mm: tuple[float, ...],
) -> tuple[Finding, ...]:
    """Findings about readings of a single line in space, shape (n, 3). [mm]

    Parameters
    ----------
    name
        Of the line.
    where
        Table of the job file that has the readings.
    points
        Readings (x, half-breadth, height), x rising, shape (n, 3). [mm]
    knuckles_mm
        Where along x the line may have a knuckle. [mm]
    """
    x = tuple(points[:, 0].tolist())
    stations = tuple(str(i) for i in range(1, len(x) + 1))
    rows = [
        Row(name, view, stations, x, tuple(points[:, k].tolist()), knuckles_mm)
        for view, k in ((View.HALF_BREADTHS.value, 1), (View.HEIGHTS.value, 2))
        if np.ptp(points[:, k]) > 0.0
    ]
    keys = {View.HALF_BREADTHS.value: "half_breadths", View.HEIGHTS.value: "heights"}
    return tuple(
        warning(
            "SHP-072" if d.off_mm > 0 else "SHP-073",
            f"{where}.{keys[d.view]}[{int(d.station) - 1}]",
            view=_ONE[d.view],
            line=name,
            at=Length(d.x_mm),
            reading=Length(d.reading_mm),
            off=Length(abs(d.off_mm)),
            fair=Length(d.fair_mm),
        )
        for d in doubts_of(rows)
    )


def panel_row_doubts(panel: PanelReadings) -> tuple[Doubt, ...]:
    """Doubted readings of a panel by stations; its edges are weighed together."""
    return doubts_of([_edge_row(n, e) for n, e in (("lower", panel.lower), ("upper", panel.upper))])


def _edge_row(name: str, edge: EdgeReadings) -> Row:
    stations = tuple(str(i) for i in range(len(edge.stations_mm)))
    return Row(name, "offsets", stations, edge.stations_mm, edge.offsets_mm, edge.knuckles_mm)


def panel_doubts(panel: PanelReadings) -> tuple[Finding, ...]:
    """Findings about readings of a panel by stations."""
    return tuple(
        warning(
            "SHP-074" if d.off_mm > 0 else "SHP-075",
            f"{d.line}[{d.station}]",
            edge=d.line,
            at=Length(d.x_mm),
            reading=Length(d.reading_mm),
            off=Length(abs(d.off_mm)),
            fair=Length(d.fair_mm),
        )
        for d in panel_row_doubts(panel)
    )
