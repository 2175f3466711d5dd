"""``nestcut shed``: the stock book."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.declared.root import JOB, PLAN, InOrderOfUse, cli
from nestcut.door.lengths import LengthError, LengthStyle, parse_length_mm


@cli.group("shed", cls=InOrderOfUse)
def shed() -> None:
    """Keep a stock book: what lies in the shed, from one job to the next.

    A book is a small text file. What a plan leaves goes into it, the next job takes it out again,
    and every change can be taken back.

    \b
      nestcut shed take shed.toml boat.toml     gives the job what it can use
      nestcut plan boat.toml                    plans with it
      nestcut shed add outputs/boat shed.toml   when all is cut: keeps the rest
    """  # noqa: D301 - as above


_BOOK = click.argument("book", type=click.Path(path_type=Path))


@shed.command("show")
@_BOOK
@click.option("--units", type=click.Choice(["mm", "inch"]), default="mm", show_default=True)
def shed_show(book: Path, units: str) -> int:
    """List what lies in the shed."""
    from nestcut.cli.verbs.shed import run_show

    return run_show(book, LengthStyle(units))


@shed.command("take")
@_BOOK
@JOB
def shed_take(book: Path, job: Path) -> int:
    """Write what JOB can use into its job file, as stock to hand.

    It's set aside for this job until 'nestcut shed add' tells what became of it. Run again, the
    block at the end of the job file is written anew.
    """
    from nestcut.cli.verbs.shed import run_take

    return run_take(book, job)


@shed.command("add")
@PLAN
@_BOOK
@click.option(
    "--least",
    nargs=2,
    default=("300 mm", "150 mm"),
    show_default=True,
    metavar="LENGTH WIDTH",
    help="Smallest offcut of a sheet that is kept.",
)
@click.option(
    "--least-board",
    default="300 mm",
    show_default=True,
    help="Shortest end or strip of a board that is kept.",
)
def shed_add(plan: Path, book: Path, least: tuple[str, str], least_board: str) -> int:
    """Put what a plan leaves into the book, once all of it is cut.

    Entries that the plan used up are taken out; what was set aside for the job and not used is
    free again.
    """
    from nestcut.cli.verbs.shed import run_add
    from nestcut.door.stockbook import Kept

    try:
        first, second, board = (float(parse_length_mm(x)) for x in (*least, least_board))
    except LengthError as error:
        raise click.BadParameter(str(error)) from None
    return run_add(plan, book, Kept(sides_mm=(first, second), board_mm=board))


@shed.command("labels")
@_BOOK
@click.argument("numbers", nargs=-1, type=int)
@click.option("--out", type=click.Path(path_type=Path), help="PDF to write.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), help="Paper of the labels.")
@click.option("--grid", help="Your label sheet, as 'nestcut labels' takes it.")
@click.option("--used", type=click.IntRange(min=0, max=1000), default=0, help="Already peeled off.")
@click.option("--units", type=click.Choice(["mm", "inch"]), default="mm", show_default=True)
def shed_labels(
    book: Path,
    numbers: tuple[int, ...],
    out: Path | None,
    paper: str | None,
    grid: str | None,
    used: int,
    units: str,
) -> int:
    """Write labels to stick on what lies in the shed: all of it, or the NUMBERS given."""
    from nestcut.cli.verbs.shed import run_shed_labels
    from nestcut.door.single import LabelSheet

    sheet = LabelSheet(paper=paper, grid=grid, used=used)
    return run_shed_labels(book, numbers, out=out, sheet=sheet, style=LengthStyle(units))


@shed.command("back")
@_BOOK
@click.option("--to", type=int, help="Number of the state to bring back.")
def shed_back(book: Path, to: int | None) -> int:
    """Take the last change of a book back; a damaged book is brought back to its last state."""
    from nestcut.cli.verbs.shed import run_back

    return run_back(book, to)
