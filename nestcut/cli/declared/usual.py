"""The commands of the usual way, from a drawing to papers."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.declared.root import JOB, JSON, MARKING, PLAN, Seconds, cli
from nestcut.cli.form import Form
from nestcut.cli.session import Session


@cli.command(short_help="Write a first job file, from drawings or for numbers.")
@click.argument("drawings", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Job file to write; needed without drawings."
)
@click.option(
    "--world",
    type=click.Choice(["mm", "inch"]),
    help="In which units the job file and its usual stock are: millimetres and 2440 x 1220 sheets, "
    "or feet and inches and 4 x 8 ft sheets. The drawing's unless said; without one, mm.",
)
def start(drawings: tuple[Path, ...], out: Path | None, world: str | None) -> int:
    """Write a first job file from the outlines found in DRAWINGS (DXF or SVG).

    Without a drawing, --out names a job file for parts given by numbers; for plans in feet and
    inches: nestcut start --out boat.toml --world inch. Where only you know the answer, the job file
    asks; nothing that is there is overwritten.
    """
    from nestcut.cli.verbs.start import run_start

    return run_start(drawings, out=out, world=world)


@cli.command(short_help="Show what is understood of a job, and every fault at once.")
@JOB
@JSON
@click.option(
    "--draw",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for a picture of every drawing, with faults ringed.",
)
def check(job: Path, form: Form, draw: Path | None) -> int:
    """Show what is understood of JOB: parts with sizes, stock, and every fault at once."""
    from nestcut.cli.verbs.check import run_check

    return run_check(job, form=form, draw=draw)


@cli.command(short_help="Say what a key, a table or a code is for.")
@click.argument("word", required=False, default="")
def explain(word: str) -> int:
    """Say what a key or a table of the job file is for, or a finding's code.

    WORD is a key (gap), a table (sheet), a kind of outline (frame), or all; a code as messages
    carry it (DXF-058), or codes for all of them. Without it the tables are listed.
    """
    from nestcut.door.findings import explain_code, register_page
    from nestcut.door.job import JOB_SCHEMA, reference_page
    from nestcut.door.job import explain as explained

    if word == "all":
        click.echo(reference_page(), nl=False)
    elif word == "codes":
        click.echo(register_page(), nl=False)
    elif code := explain_code(word):
        click.echo(code, nl=False)
    elif word:
        click.echo(explained(word), nl=False)
    else:
        for schema in JOB_SCHEMA.values():
            click.echo(f"{schema.heading}: {schema.says.split('. ')[0].rstrip('.')}.")
        click.echo("\nnestcut explain WORD tells more; nestcut explain all prints everything.")
    return 0


@cli.command(short_help="Search a plan, prove it, write the papers.")
@JOB
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the results.")
@click.option(
    "--effort",
    type=click.Choice(["quick", "normal", "thorough"]),
    default="normal",
    show_default=True,
    help="How much work to spend; the same effort gives the same plan again.",
)
@click.option(
    "--seconds",
    type=Seconds(min=0.1, max=1e6),
    help="Stop the search after this time; such a plan may come out differently next time.",
)
@click.option(
    "--seed",
    type=click.IntRange(min=0),
    default=0,
    show_default=True,
    help="Starting point of the search's chance; another one may find another plan.",
)
@click.option(
    "--workers",
    type=click.IntRange(min=1, max=64),
    default=2,
    show_default=True,
    help="Searches side by side; the plan depends on their number.",
)
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Run them on the Dask cluster at this address (tcp://...), not in processes here.",
)
@click.option(
    "--joints",
    type=click.Choice(["fewest", "balanced", "cheapest"]),
    default="balanced",
    show_default=True,
    help="What counts more where joints are free: fewer of them, or less money.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    help="Paper of the PDF; A4 unless lengths are shown in inches.",
)
@MARKING
@JSON
@click.pass_obj
def plan(session: Session, /, job: Path, **options: object) -> int:
    """Search a plan for JOB, prove it, and write the papers for the shop.

    Ctrl-C stops the search and keeps the best plan found so far.
    """
    from nestcut.cli.verbs.plan import PlanOptions, run_plan

    return run_plan(job, PlanOptions.from_words(**options), session)


@cli.command(short_help="Write a plan's papers again: other paper, other units.")
@PLAN
@click.option("--out", type=click.Path(path_type=Path), help="Folder; the plan's own by default.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), help="Paper of the PDF.")
@click.option("--units", type=click.Choice(["mm", "inch"]), help="How lengths are printed.")
@MARKING
@click.pass_obj
def report(
    session: Session,
    /,
    plan: Path,
    out: Path | None,
    paper: str | None,
    units: str | None,
    marking: str | None,
) -> int:
    """Write the papers of PLAN (a plan.json) again, without searching."""
    from nestcut.cli.verbs.report import run_report

    return run_report(plan, session, out=out, paper=paper, units=units, marking=marking)


@cli.command(short_help="Write labels to stick on the pieces.")
@PLAN
@click.option("--out", type=click.Path(path_type=Path), help="PDF to write.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), help="Paper of the labels.")
@click.option(
    "--grid",
    help="Your label sheet: columns, rows, label width, label height, left edge, top edge and, "
    'where there are any, gap across and gap down, such as "3, 8, 70 mm, 37 mm, 0 mm, 0.5 mm".',
)
@click.option(
    "--used", type=click.IntRange(min=0, max=1000), default=0, help="Labels already peeled off."
)
def labels(plan: Path, out: Path | None, paper: str | None, grid: str | None, used: int) -> int:
    """Write labels to stick on the pieces of PLAN: name, hand, face, sheet, joints."""
    from nestcut.cli.verbs.single_papers import run_labels

    return run_labels(plan, out=out, paper=paper, grid=grid, used=used)


@cli.command(short_help="Write a full-size pattern of a piece on tiled pages.")
@PLAN
@click.argument("piece")
@click.option("--out", type=click.Path(path_type=Path), help="PDF to write.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), help="Paper of the tiles.")
@click.option(
    "--tiles",
    type=click.Choice(["all", "touched", "lines"]),
    default="touched",
    show_default=True,
    help="Which tiles to print: all, those the piece touches, or only those with lines on them.",
)
def pattern(plan: Path, piece: str, out: Path | None, paper: str | None, tiles: str) -> int:
    """Write a full-size pattern of PIECE (a piece or part of PLAN) on tiled pages."""
    from nestcut.cli.verbs.single_papers import run_pattern

    return run_pattern(plan, piece, out=out, paper=paper, tiles=tiles)


@cli.command(short_help="Prove a plan once more.")
@PLAN
@JSON
def verify(plan: Path, form: Form) -> int:
    """Prove PLAN (a plan.json) against its job once more, without the solvers."""
    from nestcut.cli.verbs.verify import run_verify

    return run_verify(plan, form=form)


@cli.command(short_help="Write parts as drawings, and how fair panels are.")
@JOB
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the drawings.")
@click.option("--part", "names", multiple=True, help="Only this part; may be given again.")
def shape(job: Path, out: Path | None, names: tuple[str, ...]) -> int:
    """Write every part of JOB as a DXF of its own, to check, edit and share.

    Panels given by stations come with a fairness report: second differences, the reading most
    likely misread, and a picture of how the edges bend.
    """
    from nestcut.cli.verbs.shape import run_shape

    return run_shape(job, out=out, names=names)
