"""The group of all commands, and what several of them take."""

from __future__ import annotations

import math
from pathlib import Path

import click

from nestcut import __version__
from nestcut.cli.form import Form

JOB = click.argument("job", type=click.Path(path_type=Path))
PLAN = click.argument("plan", type=click.Path(path_type=Path))
MARKING = click.option(
    "--marking",
    type=click.Choice(["mm", "inch", "feet-inches-eighths"]),
    help="How marking-out numbers are written; as [marking] in the job file or else as all "
    "lengths.",
)
JSON = click.option(
    "--json",
    "form",
    is_flag=True,
    callback=lambda _, __, is_json: Form.JSON if is_json else Form.WORDS,
    help="Print one JSON document on stdout.",
)


_USUAL = (
    *("start", "check", "explain", "plan", "report", "labels", "pattern", "verify"),
    *("shape", "again", "choices", "stages", "bench", "shed"),
)


class InOrderOfUse(click.Group):
    """Lists commands as they're needed on the way from drawing to boat."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the usual way first, then all others as they were added."""
        del ctx
        usual = [name for name in _USUAL if name in self.commands]
        return [*usual, *(name for name in self.commands if name not in usual)]


class Seconds(click.FloatRange):
    """A time that ends."""

    def convert(
        self, value: float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the time; one that isn't a number is wrong usage.

        Parameters
        ----------
        value
            As typed. [s]
        param, ctx
            Option and command that it is for, for the message.

        Raises
        ------
        BadParameter
            If it isn't one.
        """
        seconds = float(super().convert(value, param, ctx))
        if math.isnan(seconds):
            self.fail(f"{value!r} is no time in seconds.", param, ctx)
        return seconds


@click.group(
    cls=InOrderOfUse,
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
