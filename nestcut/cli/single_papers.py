"""Papers asked for one by one from a plan file: a pattern, labels, what is left to cut."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.errors import Finding, InputError, PlanRejectedError, Severity, blocking
from nestcut.intake.plan import folder_of, read_plan
from nestcut.model.plan import VerifiedPlan
from nestcut.outlet.results import choose_paper
from nestcut.papers.labels import TileChoice, default_grid, labels_pdf, parse_grid, pattern_pdf
from nestcut.papers.rest import match_progress, next_job, read_progress, remaining_text
from nestcut.papers.view import Figures, PlanView, plan_view, slug
from nestcut.verify import verify_plan


def run_pattern(path: Path, piece: str, *, out: Path | None, paper: str | None, tiles: str) -> int:
    """Write the full-size pattern of a piece, or of a part by its name.

    A piece goes by its short name or by the one that lists have.
    """
    view = _proven(path)
    in_words = {view.name_of(p.id): p.id for p in view.verified.plan.pieces}
    piece = in_words.get(piece, piece)
    job = view.verified.job
    figures = Figures(job.style, job.fraction, job.currency)
    size = choose_paper(paper, job.style)
    data = pattern_pdf(view, piece, size, figures, TileChoice(tiles))
    target = folder_of(path) / f"pattern-{slug(piece)}.pdf" if out is None else out
    _write(target, data)
    click.echo(f"Pattern: {target}")
    return 0


def run_labels(
    path: Path, *, out: Path | None, paper: str | None, grid: str | None, used: int
) -> int:
    """Write labels for every piece; ``used`` are gone from the first sheet of labels."""
    view = _proven(path)
    job = view.verified.job
    size = choose_paper(paper, job.style)
    measures = default_grid(size) if grid is None else parse_grid(grid, size)
    data = labels_pdf(view, Figures(job.style, job.fraction, job.currency), measures, used)
    target = folder_of(path) / "labels.pdf" if out is None else out
    _write(target, data)
    click.echo(f"Labels: {target}")
    return 0


def run_left(path: Path, ticks: Path, *, out: Path | None = None) -> int:
    """Tell what is left of a plan, from ticks saved by its page; ``out`` is the next job file."""
    try:
        view = _proven(path)
    except InputError as error:
        raise InputError([_told_for_ticks(f) for f in error.findings]) from None
    progress = read_progress(_text_of(ticks), str(ticks))
    findings = match_progress(progress, view)
    if blocking(findings):
        raise InputError(findings)
    show_findings(findings)
    if out is None:
        click.echo(remaining_text(view, progress), nl=False)
        return 0
    job = Path(view.verified.job.file)
    if out.resolve().parent != job.resolve().parent:
        raise InputError([_elsewhere(out, job)])
    made = next_job(_text_of(job), view, progress)
    try:
        with out.open("x", encoding="utf-8", newline="\n") as file:
            file.write(made.text)
    except FileExistsError:
        raise InputError([_exists(out)]) from None
    except OSError as error:
        raise InputError([_file_fault(out, "can't be written", error)]) from None
    click.echo(str(out))
    for words in made.by_hand:
        say(f"by hand: {words}")
    say(f"Look it through, then: nestcut check {out}")
    return 0


def _told_for_ticks(finding: Finding) -> Finding:
    """Ticks belong to their plan: another plan is no remedy for a job file that was edited."""
    if finding.code != "PLAN-005":
        return finding
    remedy = "Put the job file back as it was, then change the next one, which --out writes."
    return replace(finding, remedy=remedy)


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError([_file_fault(path, "can't be read", error)]) from None


def _proven(path: Path) -> PlanView:
    read = read_plan(path)
    if blocking(read.findings):
        raise InputError(read.findings)
    verification = verify_plan(read.job, read.text.plan)
    if not verification.is_proven:
        raise PlanRejectedError(verification.findings)
    return plan_view(VerifiedPlan(job=read.job, plan=read.text.plan, checks=verification.checks))


def _write(target: Path, data: bytes) -> None:
    """Write a PDF; nothing but an older PDF is overwritten."""
    try:
        if target.exists() and not target.read_bytes().startswith(b"%PDF"):
            raise InputError([_taken(target)])
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    except OSError as error:
        raise InputError([_file_fault(target, "can't be written", error)]) from None


def _elsewhere(out: Path, job: Path) -> Finding:
    return Finding(
        code="OUT-004",
        severity=Severity.ERROR,
        where=str(out),
        message="the next job file has to lie beside the last one, or it wouldn't find drawings.",
        remedy=f"Write --out {(job.parent / out.name).as_posix()}.",
    )


def _exists(out: Path) -> Finding:
    return Finding(
        code="OUT-002",
        severity=Severity.ERROR,
        where=str(out),
        message="there is a file of this name already.",
        remedy="Choose another with --out.",
    )


def _taken(path: Path) -> Finding:
    return Finding(
        code="OUT-002",
        severity=Severity.ERROR,
        where=str(path),
        message="this file is no PDF, so it is left alone.",
        remedy="Choose another name with --out.",
    )


def _file_fault(path: Path, what: str, error: Exception) -> Finding:
    reason = error.strerror if isinstance(error, OSError) else "it is no UTF-8 text"
    return Finding(
        code="OUT-001",
        severity=Severity.ERROR,
        where=str(path),
        message=f"the file {what} ({reason}).",
        remedy="Check the name, or give another.",
    )
