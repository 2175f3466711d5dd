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

from nestcut.errors import Finding, InputError, Severity
from nestcut.papers.view import PlanView, plan_digest

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

    @property
    def started(self) -> tuple[tuple[CutSource, str, int], ...]:
        """Sheets and boards from which something is cut already, each once, sorted."""
        return tuple(sorted({(c.source, c.stock, c.number) for c in self.cut}))


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
        raise ProgressFileError([_fault("TCK-001", name, f"this is no JSON ({error}).")]) from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        message = f"this isn't a file of ticks: 'format' should be '{FORMAT}'."
        raise ProgressFileError([_fault("TCK-001", name, message)])
    if data.get("version") != VERSION:
        message = f"version {data.get('version')!r} isn't known; this program reads {VERSION}."
        raise ProgressFileError([_fault("TCK-002", name, message)])
    job = data.get("job")
    entries = data.get("cut")
    findings: list[Finding] = []
    if not isinstance(job, dict) or not isinstance(entries, list):
        findings.append(_fault("TCK-003", name, "'job' or 'cut' is missing."))
        raise ProgressFileError(findings)
    cut = []
    for k, entry in enumerate(entries):
        piece = _piece(entry)
        if piece is None:
            where = f"{name}, cut[{k}]"
            findings.append(
                _fault("TCK-003", where, "a piece needs 'piece', 'from', 'stock' and 'number'.")
            )
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
    if progress.plan != plan_digest(view):
        findings.append(
            Finding(
                code="TCK-004",
                severity=Severity.WARNING,
                where=progress.job_name,
                message="The ticks were made on another plan than this one.",
                remedy="Give the plan file that lay beside the page on which they were made.",
            )
        )
    if strange:
        names = ", ".join(c.piece for c in strange[:PIECES_SHOWN])
        more = f" and {len(strange) - PIECES_SHOWN} more" if len(strange) > PIECES_SHOWN else ""
        findings.append(
            Finding(
                code="TCK-005",
                severity=Severity.ERROR,
                where=progress.job_name,
                message=f"Ticked, but not cut from there in this plan: {names}{more}.",
                remedy="Untick them, or give the plan on which they were ticked.",
            )
        )
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


def _fault(code: str, where: str, message: str) -> Finding:
    return Finding(
        code=code,
        severity=Severity.ERROR,
        where=where,
        message=message,
        remedy="Save the ticks again from the plan's page (shop.html).",
    )
