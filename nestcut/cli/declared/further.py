"""Commands for when something went otherwise, and for looking before buying."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.declared.root import JOB, JSON, PLAN, Seconds, cli
from nestcut.cli.form import Form
from nestcut.cli.session import Session
from nestcut.cli.verbs.browser import Browser


@cli.command("again")
@PLAN
@click.argument("ticks", required=False, type=click.Path(path_type=Path))
@click.option("--cut", multiple=True, metavar="PIECE", help="A piece that is cut and good.")
@click.option("--spoilt", multiple=True, metavar="PIECE", help="A piece that has to be made again.")
@click.option("--job", "changed", type=click.Path(path_type=Path), help="The job as it is now.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the new papers.")
@click.option("--effort", type=click.Choice(["quick", "normal", "thorough"]), default="normal")
@click.option("--seconds", type=Seconds(min=0.1, max=1e6), help="Limit on the search.")
@click.option("--seed", type=int, default=0, show_default=True)
@JSON
@click.pass_obj
def again(
    session: Session,
    plan: Path,
    ticks: Path | None,
    cut: tuple[str, ...],
    spoilt: tuple[str, ...],
    changed: Path | None,
    out: Path | None,
    effort: str,
    seconds: float | None,
    seed: int,
    form: Form,
) -> int:
    """Plan again when something is spoilt or the job has changed: what is cut stays.

    TICKS is the file that shop.html saves; --cut and --spoilt name pieces as the cut list does.
    Joints, names and numbers stay what they are on the papers, and nothing is bought twice. What
    has to be made again is put beside the rest as it lies; only where that costs money, uncut
    pieces move. Parts, stock and prices may have changed, in the job file itself or in another
    (--job): cut pieces that are still wanted stay. Says what to buy, what has moved, and which
    pages to throw away.
    """
    from nestcut.cli.verbs.again import run_again
    from nestcut.door.search import Budget

    return run_again(
        plan,
        ticks,
        cut=cut,
        spoilt=spoilt,
        changed=changed,
        out=out,
        budget=Budget(seed=seed, effort=effort, seconds=seconds),
        form=form,
        session=session,
    )


@cli.command("choices")
@JOB
@click.option("--kerf", "kerfs", multiple=True, metavar="LENGTH", help="Another saw to look at.")
@click.option("--effort", type=click.Choice(["quick", "normal", "thorough"]), default="quick")
@click.option("--seconds", type=Seconds(min=0.1, max=1e6), help="Limit on all of it.")
@click.option("--seed", type=int, default=0, show_default=True)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the picture and each way's plan."
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), help="Paper of the picture.")
@JSON
@click.pass_obj
def choices(
    session: Session,
    job: Path,
    kerfs: tuple[str, ...],
    effort: str,
    seconds: float | None,
    seed: int,
    out: Path | None,
    paper: str | None,
    form: Form,
) -> int:
    """Plan a job in several ways, and put cost, joints and offcuts side by side.

    Looks at fewest joints against least money, each size of sheet by itself where the yard has
    several, each length of board left out, other saws (--kerf), and one joint fewer, or more, in
    each part whose joints' places are free. Every plan is whole and proven. With --out the picture
    is written as choices.pdf, .svg and .html, and each plan into a folder beside it, from which
    'nestcut report' prints its papers. Ctrl-C keeps what is known by then.
    """
    from nestcut.cli.verbs.choices import run_choices
    from nestcut.door.search import Budget

    return run_choices(
        job,
        kerfs=kerfs,
        budget=Budget(effort=effort, seconds=seconds, seed=seed),
        out=out,
        paper=paper,
        form=form,
        session=session,
    )


@cli.command("stages")
@PLAN
@click.argument("order", type=click.Path(path_type=Path))
@click.option(
    "--carry",
    type=click.IntRange(1, 100),
    default=2,
    show_default=True,
    help="Sheets that go on one trip.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the new papers.")
@click.option("--effort", type=click.Choice(["quick", "normal", "thorough"]), default="normal")
@click.option("--seconds", type=Seconds(min=0.1, max=1e6), help="Limit on the search.")
@JSON
@click.pass_obj
def stages(
    session: Session,
    plan: Path,
    order: Path,
    carry: int,
    out: Path | None,
    effort: str,
    seconds: float | None,
    form: Form,
) -> int:
    """Buy and cut a plan in the order of building, a few sheets at a time.

    ORDER is a text file with a [[stage]] table for each stage: name = "frames", parts = ["frame 1",
    "transom"]. Each stage takes what earlier ones left and buys as little as it can; parts that no
    stage names come last, trial-fit parts after everything else. Says what the order costs.
    """
    from nestcut.cli.verbs.stages import run_stages
    from nestcut.door.search import Budget

    return run_stages(
        plan,
        order,
        carry=carry,
        out=out,
        budget=Budget(effort=effort, seconds=seconds),
        form=form,
        session=session,
    )


@cli.command("bench")
@click.argument("place", type=click.Path(path_type=Path), default=Path())
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port to listen on; 0: any.")
@click.option("--no-browser", is_flag=True, help="Only print the address; open no browser.")
def bench(place: Path, port: int, no_browser: bool) -> int:
    """Do the whole job on a page in your browser, on this computer alone.

    PLACE is a folder or a job file; without it, this folder. Job files and plans are the same as
    for the other commands. Ctrl-C ends it; everything on the page is saved already.
    """
    from nestcut.cli.verbs.bench import run_bench

    return run_bench(place, port, Browser.NONE if no_browser else Browser.OPENED)
