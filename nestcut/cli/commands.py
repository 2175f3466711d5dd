"""All commands with their help; each does its work through the rooms below."""

from __future__ import annotations

import math
import traceback
from pathlib import Path

import click

from nestcut import __version__
from nestcut.cli.browser import Browser
from nestcut.cli.session import Session
from nestcut.cli.talk import say, show_findings, use_colour
from nestcut.errors import InputError, JobFileError, PlanRejectedError
from nestcut.units import LengthError, LengthStyle, parse_length_mm
from nestcut.words import Speech

EXIT_FAULT_OF_OURS = 1
EXIT_WRONG_USAGE = 2
EXIT_FAULTY_INPUT = 3
EXIT_UNPLACED = 4
EXIT_INTERRUPTED = 130

_JOB = click.argument("job", type=click.Path(path_type=Path))
_PLAN = click.argument("plan", type=click.Path(path_type=Path))
_MARKING = click.option(
    "--marking",
    type=click.Choice(["mm", "inch", "feet-inches-eighths"]),
    help="How marking-out numbers are written; as [marking] in the job file or else as all "
    "lengths.",
)
_JSON = click.option("--json", "as_json", is_flag=True, help="Print one JSON document on stdout.")


class _InOrderOfUse(click.Group):
    """Lists commands as they're needed on the way from drawing to boat."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(self.commands)


class _Seconds(click.FloatRange):
    """A time that ends."""

    def convert(
        self, value: float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        seconds = float(super().convert(value, param, ctx))
        if math.isnan(seconds):
            self.fail(f"{value!r} is no time in seconds.", param, ctx)
        return seconds


@click.group(
    cls=_InOrderOfUse,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
)
@click.version_option(__version__, prog_name="nestcut")
@click.option("--debug", is_flag=True, help="Show where in the program a fault of ours arose.")
def cli(debug: bool) -> None:
    """Plan a home-built plywood boat's parts onto the sheets and boards your yard sells.

    You write down what you have: parts (outlines in a DXF drawing, or numbers), rails, the saw's
    kerf, and what sheets and boards can be had. nestcut works out what to buy, where every piece
    is cut, and where long parts are joined, proves the plan, and prints the pages for the saw.

    \b
    The usual way through:
      nestcut start boat.dxf       writes boat.toml, a first job file, from a drawing
      nestcut start --out boat.toml    the same without a drawing: parts by numbers
      nestcut check boat.toml      shows what was understood, and every fault at once
      nestcut plan boat.toml       searches, proves the plan and writes the papers
    Then print outputs/boat/shop.pdf, or open shop.html beside it.

    A length is written as people write it: "2440 mm", "7-1/4in", "8ft 2in".
    """  # noqa: D301 - click takes the backspace for "don't rewrap this"
    del debug  # read by main(), before any command runs


@cli.command(short_help="Write a first job file, from drawings or for numbers.")
@click.argument("drawings", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Job file to write; needed without drawings."
)
@click.option(
    "--world",
    type=click.Choice(["mm", "inch"]),
    help="Usual stock to start with; follows the drawing's unit unless said.",
)
def start(drawings: tuple[Path, ...], out: Path | None, world: str | None) -> int:
    """Write a first job file from the outlines found in DRAWINGS (DXF).

    Without a drawing, --out names a job file for parts given by numbers. Where only you know the
    answer, the job file asks; nothing that is there is overwritten.
    """
    from nestcut.cli.start import run_start

    return run_start(drawings, out=out, world=world)


@cli.command(short_help="Show what is understood of a job, and every fault at once.")
@_JOB
@_JSON
@click.option(
    "--draw",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for a picture of every drawing, with faults ringed.",
)
def check(job: Path, as_json: bool, draw: Path | None) -> int:
    """Show what is understood of JOB: parts with sizes, stock, and every fault at once."""
    from nestcut.cli.check import run_check

    return run_check(job, as_json=as_json, draw=draw)


@cli.command(short_help="Say what a key or a table of the job file is for.")
@click.argument("word", required=False, default="")
def explain(word: str) -> int:
    """Say what a key or a table of the job file is for.

    WORD is a key (gap), a table (sheet), a kind of outline (frame), or all; without it the tables
    are listed.
    """
    from nestcut.jobfile.schema import SCHEMAS, reference_page
    from nestcut.jobfile.schema import explain as explained

    if word == "all":
        click.echo(reference_page(), nl=False)
    elif word:
        click.echo(explained(word), nl=False)
    else:
        for schema in SCHEMAS.values():
            click.echo(f"{schema.heading}: {schema.says.split('. ')[0].rstrip('.')}.")
        click.echo("\nnestcut explain WORD tells more; nestcut explain all prints everything.")
    return 0


@cli.command(short_help="Search a plan, prove it, write the papers.")
@_JOB
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
    type=_Seconds(min=0.1, max=1e6),
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
@_MARKING
@_JSON
@click.pass_obj
def plan(session: Session, /, job: Path, **options: object) -> int:
    """Search a plan for JOB, prove it, and write the papers for the shop.

    Ctrl-C stops the search and keeps the best plan found so far.
    """
    from nestcut.cli.plan import PlanOptions, run_plan

    return run_plan(job, PlanOptions.from_words(**options), session)


@cli.command(short_help="Write a plan's papers again: other paper, other units.")
@_PLAN
@click.option("--out", type=click.Path(path_type=Path), help="Folder; the plan's own by default.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), help="Paper of the PDF.")
@click.option("--units", type=click.Choice(["mm", "inch"]), help="How lengths are printed.")
@_MARKING
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
    from nestcut.cli.report import run_report

    return run_report(plan, session, out=out, paper=paper, units=units, marking=marking)


@cli.command(short_help="Write labels to stick on the pieces.")
@_PLAN
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
    from nestcut.cli.single_papers import run_labels

    return run_labels(plan, out=out, paper=paper, grid=grid, used=used)


@cli.command(short_help="Write a full-size pattern of a piece on tiled pages.")
@_PLAN
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
    from nestcut.cli.single_papers import run_pattern

    return run_pattern(plan, piece, out=out, paper=paper, tiles=tiles)


@cli.command(short_help="Write the next job file once some pieces are cut.")
@_PLAN
@click.argument("ticks", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Next job file to write, beside the last one."
)
def left(plan: Path, ticks: Path, out: Path | None) -> int:
    """Tell what is left of PLAN once the pieces in TICKS are cut.

    TICKS is the file of cut and spoilt pieces that the shop page saves. With --out the next job
    file is written: begun sheets as they lie, parts with the counts that are still to make. Without
    it, the same is printed as tables and words to put into a job file.
    """
    from nestcut.cli.single_papers import run_left

    return run_left(plan, ticks, out=out)


@cli.command(short_help="Prove a plan once more.")
@_PLAN
@_JSON
def verify(plan: Path, as_json: bool) -> int:
    """Prove PLAN (a plan.json) against its job once more, without the solvers."""
    from nestcut.cli.verify import run_verify

    return run_verify(plan, as_json=as_json)


@cli.command(short_help="Write parts as drawings, and how fair panels are.")
@_JOB
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the drawings.")
@click.option("--part", "names", multiple=True, help="Only this part; may be given again.")
def shape(job: Path, out: Path | None, names: tuple[str, ...]) -> int:
    """Write every part of JOB as a DXF of its own, to check, edit and share.

    Panels given by stations come with a fairness report: second differences, the reading most
    likely misread, and a picture of how the edges bend.
    """
    from nestcut.cli.shape import run_shape

    return run_shape(job, out=out, names=names)


@cli.command("again")
@_PLAN
@click.argument("ticks", required=False, type=click.Path(path_type=Path))
@click.option("--cut", multiple=True, metavar="PIECE", help="A piece that is cut and good.")
@click.option("--spoilt", multiple=True, metavar="PIECE", help="A piece that has to be made again.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the new papers.")
@click.option("--effort", type=click.Choice(["quick", "normal", "thorough"]), default="normal")
@click.option("--seconds", type=click.FloatRange(min=0.1, max=1e6), help="Limit on the search.")
@click.option("--seed", type=int, default=0, show_default=True)
@_JSON
def again(
    plan: Path,
    ticks: Path | None,
    cut: tuple[str, ...],
    spoilt: tuple[str, ...],
    out: Path | None,
    effort: str,
    seconds: float | None,
    seed: int,
    as_json: bool,
) -> int:
    """Plan again after a piece is spoilt: what is cut stays, nothing is bought twice.

    TICKS is the file that shop.html saves; --cut and --spoilt name pieces as the cut list does.
    Joints, names and numbers stay what they are on the papers. What has to be made again is put
    beside the rest as it lies; only where that costs money, uncut pieces move. Says what to buy,
    what has moved, and which pages to throw away.
    """
    from nestcut.cli.again import run_again
    from nestcut.search.settings import Effort, Settings

    return run_again(
        plan,
        ticks,
        cut=cut,
        spoilt=spoilt,
        out=out,
        settings=Settings(seed=seed, effort=Effort(effort), seconds=seconds),
        as_json=as_json,
    )


@cli.command("choices")
@_JOB
@click.option("--kerf", "kerfs", multiple=True, metavar="LENGTH", help="Another saw to look at.")
@click.option("--effort", type=click.Choice(["quick", "normal", "thorough"]), default="quick")
@click.option("--seconds", type=click.FloatRange(min=0.1, max=1e6), help="Limit on each search.")
@click.option("--seed", type=int, default=0, show_default=True)
@click.option("--out", type=click.Path(path_type=Path), help="Write the papers of each plan here.")
@_JSON
def choices(
    job: Path,
    kerfs: tuple[str, ...],
    effort: str,
    seconds: float | None,
    seed: int,
    out: Path | None,
    as_json: bool,
) -> int:
    """Plan a job in several ways, and put cost, joints and offcuts side by side.

    Looks at fewest joints against least money, each size of sheet by itself where the yard has
    several, each length of board left out, and other saws (--kerf). Every plan is whole and proven.
    """
    from nestcut import door
    from nestcut.cli.choices import run_choices

    return run_choices(
        job,
        kerfs=kerfs,
        budget=door.Budget(effort=effort, seconds=seconds, seed=seed),
        out=out,
        as_json=as_json,
    )


@cli.command("stages")
@_PLAN
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
@click.option("--seconds", type=click.FloatRange(min=0.1, max=1e6), help="Limit on the search.")
@_JSON
def stages(
    plan: Path,
    order: Path,
    carry: int,
    out: Path | None,
    effort: str,
    seconds: float | None,
    as_json: bool,
) -> int:
    """Buy and cut a plan in the order of building, a few sheets at a time.

    ORDER is a text file with a [[stage]] table for each stage: name = "frames", parts = ["frame 1",
    "transom"]. Each stage takes what earlier ones left and buys as little as it can; parts that no
    stage names come last, trial-fit parts after everything else. Says what the order costs.
    """
    from nestcut.cli.stages import run_stages
    from nestcut.search.settings import Effort, Settings

    return run_stages(
        plan,
        order,
        carry=carry,
        out=out,
        settings=Settings(effort=Effort(effort), seconds=seconds),
        as_json=as_json,
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
    from nestcut.cli.bench import run_bench

    return run_bench(place, port, Browser.NONE if no_browser else Browser.OPENED)


@cli.group("shed", cls=_InOrderOfUse)
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
    from nestcut.cli.shed import run_show

    return run_show(book, LengthStyle(units))


@shed.command("take")
@_BOOK
@_JOB
def shed_take(book: Path, job: Path) -> int:
    """Write what JOB can use into its job file, as stock to hand.

    It's set aside for this job until 'nestcut shed add' tells what became of it. Run again, the
    block at the end of the job file is written anew.
    """
    from nestcut.cli.shed import run_take

    return run_take(book, job)


@shed.command("add")
@_PLAN
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
    "--least-board", default="500 mm", show_default=True, help="Shortest board end that is kept."
)
def shed_add(plan: Path, book: Path, least: tuple[str, str], least_board: str) -> int:
    """Put what a plan leaves into the book, once all of it is cut.

    Entries that the plan used up are taken out; what was set aside for the job and not used is
    free again.
    """
    from nestcut.cli.shed import run_add
    from nestcut.shed import Kept

    try:
        first, second, board = (float(parse_length_mm(x)) for x in (*least, least_board))
    except LengthError as error:
        raise click.BadParameter(str(error)) from None
    return run_add(plan, book, Kept(sides_mm=(first, second), board_mm=board))


@shed.command("back")
@_BOOK
@click.option("--to", type=int, help="Number of the state to bring back.")
def shed_back(book: Path, to: int | None) -> int:
    """Take the last change of a book back; a damaged book is brought back to its last state."""
    from nestcut.cli.shed import run_back

    return run_back(book, to)


def _speech_of(error: InputError) -> Speech:
    """How the reader of a job at fault is spoken to."""
    if isinstance(error, JobFileError):
        return Speech(style=LengthStyle(error.style), fraction=error.fraction)
    return Speech()


def _run(  # noqa: PLR0911 - one return for each exit status
    words: list[str], session: Session | None = None
) -> int:
    session = Session() if session is None else session
    try:
        status = cli.main(
            args=words,
            prog_name="nestcut",
            standalone_mode=False,
            color=use_colour(),
            obj=session,
        )
        return status if isinstance(status, int) else 0
    except click.ClickException as error:
        error.show()
        return EXIT_WRONG_USAGE
    except (click.Abort, KeyboardInterrupt):
        say(f"Stopped; {session.told_state()}.")
        return EXIT_INTERRUPTED
    except InputError as error:
        show_findings(error.findings, _speech_of(error))
        if not any(f.code == "OUT-007" for f in error.findings):
            say(f"{_sentence(session.told_state())}.")
        return EXIT_FAULTY_INPUT
    except PlanRejectedError as error:
        show_findings(error.findings)
        say("The plan did not stand up to its proof, so nothing was written. This is our fault.")
        return EXIT_FAULT_OF_OURS
    except Exception as error:
        if session.is_stop_asked:  # a library made something else of it
            say(f"Stopped; {session.told_state()}.")
            return EXIT_INTERRUPTED
        if "--debug" in words:
            traceback.print_exc()
        say(f"A fault of ours: {type(error).__name__}: {error}")
        say(
            f"{_sentence(session.told_state())}. Run again with 'nestcut --debug ...' to see where "
            "it arose."
        )
        return EXIT_FAULT_OF_OURS


def _sentence(words: str) -> str:
    return words[0].upper() + words[1:]
