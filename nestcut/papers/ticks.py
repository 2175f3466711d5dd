"""The ticks that the HTML page saves: which pieces of a plan are already cut.

The file is JSON, ``{"format": "nestcut progress", "version": 1, "job": {"name", "sha256"}, "plan",
"cut": [{"piece", "from": "sheet" | "board", "stock", "number", "spoilt"}]}``; ``spoilt`` may be
missing. A later plan keeps what is cut, makes again what is spoilt, and leaves those sheets and
boards as they are.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from enum import StrEnum

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.facts import Fact, Names, Value
from nestcut.model.digest import plan_digest
from nestcut.papers.view import PlanView

FORMAT = "nestcut progress"
VERSION = 1
PIECES_SHOWN = 5
"""Most names in one finding."""


class CutSource(StrEnum):
    """What a piece was cut from."""

    SHEET = "sheet"
    BOARD = "board"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPiece:
    """A piece that lies cut, and the sheet or board it came out of (numbered within its stock).

    One that ``is_spoilt`` has used its place up, but has to be made again.
    """

    piece: str
    source: CutSource
    stock: str
    number: int
    is_spoilt: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What is cut of one plan; ``plan`` is the digest of the plan that was ticked."""

    job_name: str
    job_sha256: str
    plan: str
    cut: tuple[CutPiece, ...]

    @property
    def done(self) -> frozenset[str]:
        """Pieces that needn't be made any more."""
        return frozenset(c.piece for c in self.cut) - self.spoilt

    @property
    def spoilt(self) -> frozenset[str]:
        """Pieces that were cut and can't be used."""
        return frozenset(c.piece for c in self.cut if c.is_spoilt)


class ProgressFileError(InputError):
    """A file of ticks can't be read."""


def read_progress(text: str, name: str) -> Progress:
    """Read a file of ticks.

    Parameters
    ----------
    text
        What the file holds.
    name
        How messages call it.

    Raises
    ------
    ProgressFileError
        If it's no such file; every faulty entry is told.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ProgressFileError([_fault("TCK-001", name, fault=str(error))]) from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise ProgressFileError([_fault("TCK-007", name, form=FORMAT)])
    if data.get("version") != VERSION:
        version = repr(data.get("version"))
        raise ProgressFileError([_fault("TCK-002", name, version=version, known=VERSION)])
    job = data.get("job")
    entries = data.get("cut")
    findings: list[Finding] = []
    if not isinstance(job, dict) or not isinstance(entries, list):
        findings.append(_fault("TCK-003", name, why=Fact("TCK-008")))
        raise ProgressFileError(findings)
    cut = []
    for k, entry in enumerate(entries):
        piece = _piece(entry)
        if piece is None:
            where = f"{name}, cut[{k}]"
            findings.append(_fault("TCK-003", where, why=Fact("TCK-009")))
        else:
            cut.append(piece)
    if findings:
        raise ProgressFileError(findings)
    return Progress(
        job_name=str(job.get("name", "")),
        job_sha256=str(job.get("sha256", "")),
        plan=str(data.get("plan", "")),
        cut=tuple(sorted(set(cut), key=lambda c: (c.source, c.stock, c.number, c.piece))),
    )


def match_progress(progress: Progress, view: PlanView) -> tuple[Finding, ...]:
    """Say where ticks don't belong to a plan: another plan's, or pieces that it doesn't have."""
    places = {
        (p.piece, CutSource.SHEET, s.stock, s.number)
        for s in view.verified.plan.sheets
        for p in s.placements
    } | {
        (c.piece, CutSource.BOARD, b.stock, b.number)
        for b in view.verified.plan.boards
        for c in b.cuts
    }
    strange = [c for c in progress.cut if (c.piece, c.source, c.stock, c.number) not in places]
    findings = []
    if progress.plan != plan_digest(view.verified.plan):
        findings.append(finding("TCK-004", Severity.WARNING, progress.job_name))
    if strange:
        names = Names(tuple(c.piece for c in strange[:PIECES_SHOWN]))
        more = len(strange) - PIECES_SHOWN
        if more > 0:
            findings.append(_fault("TCK-010", progress.job_name, pieces=names, more=more))
        else:
            findings.append(_fault("TCK-005", progress.job_name, pieces=names))
    return tuple(findings)


def _piece(entry: object) -> CutPiece | None:
    if not isinstance(entry, dict):
        return None
    piece, source, stock, number = (entry.get(k) for k in ("piece", "from", "stock", "number"))
    is_spoilt = entry.get("spoilt", False)
    if not (isinstance(piece, str) and isinstance(stock, str)):
        return None
    if not isinstance(number, int) or isinstance(number, bool):
        return None
    if source not in {s.value for s in CutSource} or not isinstance(is_spoilt, bool):
        return None
    return CutPiece(
        piece=piece,
        source=CutSource(source),
        stock=stock,
        number=number,
        is_spoilt=is_spoilt,
    )


def _fault(code: str, where: str, **values: Value) -> Finding:
    return finding(code, Severity.ERROR, where, **values)
