"""Papers asked for one by one from a plan file: a pattern, labels, what is left to cut."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.errors import (
    Finding,
    InputError,
    Severity,
    blocking,
    finding,
)
from nestcut.gate import Kind, read_text
from nestcut.intake.plan import read_proven
from nestcut.outlet import add_to_folder, check_single, write_single
from nestcut.outlet.results import PLAN_PAPERS, choose_paper, papers_folder
from nestcut.papers.labels import TileChoice, default_grid, labels_pdf, parse_grid, pattern_pdf
from nestcut.papers.rest import match_progress, next_job, read_progress, remaining_text
from nestcut.papers.view import Figures, PlanView, plan_view, slug


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
    target = _write(path, out, f"pattern-{slug(piece)}.pdf", data)
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
    target = _write(path, out, "labels.pdf", data)
    click.echo(f"Labels: {target}")
    return 0


def run_left(path: Path, ticks: Path, *, out: Path | None = None) -> int:
    """Tell what is left of a plan, from ticks saved by its page; ``out`` is the next job file."""
    try:
        view = _proven(path)
    except InputError as error:
        raise InputError([_told_for_ticks(f) for f in error.findings]) from None
    progress = read_progress(read_text(ticks, Kind.TICKS), str(ticks))
    findings = match_progress(progress, view)
    if blocking(findings):
        raise InputError(findings)
    show_findings(findings)
    if out is None:
        click.echo(remaining_text(view, progress), nl=False)
        return 0
    check_single(out)
    job = Path(view.verified.job.file)
    if out.resolve().parent != job.resolve().parent:
        raise InputError([_elsewhere(out, job)])
    made = next_job(read_text(job, Kind.JOB), view, progress)
    write_single(out, made.text.encode())
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


def _proven(path: Path) -> PlanView:
    return plan_view(read_proven(path))


def _write(plan: Path, out: Path | None, name: str, data: bytes) -> Path:
    """Write a paper: among those of its plan, to go with them; elsewhere only where nothing is."""
    folder = papers_folder(plan)
    target = folder / name if out is None else out
    is_of_the_plan = target.resolve() == (folder / target.name).resolve()
    if is_of_the_plan and PLAN_PAPERS.names.fullmatch(target.name) and _is_kept(folder):
        written = add_to_folder(folder, PLAN_PAPERS, lambda made: _put(made / target.name, data))
        show_findings(written.findings)
    else:
        write_single(target, data)
    return target


def _is_kept(folder: Path) -> bool:
    return (folder / PLAN_PAPERS.register).is_file()


def _put(path: Path, data: bytes) -> None:
    path.write_bytes(data)


def _elsewhere(out: Path, job: Path) -> Finding:
    beside = (job.parent / out.name).as_posix()
    return finding("OUT-014", Severity.ERROR, str(out), path=beside)
