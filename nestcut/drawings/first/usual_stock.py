"""Usual stock to start a job file with, in the measuring world of the drawings."""

from __future__ import annotations

import json
from collections.abc import Sequence

from nestcut.trade.shop import SHEET_FEET_MM, SHEET_METRIC_MM
from nestcut.units import LengthStyle

ASK = "# QUESTION"
"""What stands beside a key that only the builder can fill in."""

SHEETS = {
    LengthStyle.MM: ("2440 mm", "1220 mm", SHEET_METRIC_MM.high),
    LengthStyle.INCH: ("8ft", "4ft", SHEET_FEET_MM.high),
}
"""Length and width of a usual sheet as written, and its length. [mm]"""


_KERF = {
    LengthStyle.MM: (
        f'kerf = ""   {ASK}: how wide is your saw cut? Jigsaws 1 to 1.5 mm, thin circular saw',
        "            # blades 2 to 2.4 mm, full ones 3.2 mm, a router its bit's diameter.",
    ),
    LengthStyle.INCH: (
        f'kerf = ""   {ASK}: how wide is your saw cut? Jigsaws 3/64 to 1/16 in, thin circular saw',
        "            # blades 5/64 to 3/32 in, full ones 1/8 in, a router its bit's diameter.",
    ),
}
"""The question for the kerf, with the usual widths."""
_GAP = {LengthStyle.MM: "3 mm", LengthStyle.INCH: "1/8in"}
THICKNESS = {LengthStyle.MM: "6 mm", LengthStyle.INCH: "1/4in"}
"""An example of a thickness."""


def job_lines(name: str, style: LengthStyle, thickness: str = "") -> list[str]:
    """Return the tables [job] and [saw]; ``thickness`` is a line of [job] where it is asked.

    Parameters
    ----------
    name
        Of the job.
    thickness
        A line that says or asks it; empty: none.
    """
    return [
        "[job]",
        f"name = {toml_text(name)}",
        f"show = {toml_text(style.value)}",
        *([thickness] if thickness else []),
        '# currency = "..."   # printed after prices',
        "",
        "[saw]",
        *_KERF[style],
        f"gap = {toml_text(_GAP[style])}   # extra room between pieces, to cut beside the line",
    ]


def comment(value: str) -> str:
    """Return a text that stays on its line."""
    return "".join(c if c.isprintable() else "?" for c in value)


AS_THE_JOB = None
"""Of a sheet that is as thick as [job] says."""


def sheet_lines(thick: Sequence[str | None], style: LengthStyle) -> list[str]:
    """Return [[sheet]] tables, one for each thickness as labels write it, or `AS_THE_JOB`."""
    length, width, _ = SHEETS[style]
    lines = ["", "# ---- what the yard sells; edit to what you can get " + "-" * 20]
    if not thick:
        lines += _sheet(
            "[[sheet]]",
            "ply",
            f'thickness = ""   {ASK}: how thick? One [[sheet]] for each thickness',
            *_sheet_tail(length, width),
        )
    for t in thick:
        if t is AS_THE_JOB:
            head = "[[sheet]]   # as thick as [job] says"
            lines += _sheet(head, "ply", *_sheet_tail(length, width))
        else:
            head = "[[sheet]]   # this thickness is written in the drawing"
            tail = (f"thickness = {toml_text(t)}", *_sheet_tail(length, width))
            lines += _sheet(head, f"{t} ply", *tail)
    return lines


def _sheet(head: str, name: str, *tail: str) -> list[str]:
    return ["", head, f"name = {toml_text(name)}", 'material = "ply"', *tail]


def _sheet_tail(length: str, width: str) -> list[str]:
    return [
        f"length = {toml_text(length)}   # measure the sheet: real ones differ",
        f"width = {toml_text(width)}",
        "# price = 60.00",
        'count = "buy"',
    ]


def rail_lines(style: LengthStyle) -> list[str]:
    """Return an example of boards and rails, commented out."""
    metric = style is LengthStyle.MM
    section = '["20 mm", "45 mm"]' if metric else '["3/4in", "1-3/4in"]'
    return [
        "# ---- rails: gunwales, inwales, chine logs; take the length off the bent sheer "
        + "-" * 5,
        "# [[board]]",
        '# name = "boards"',
        '# material = "larch"',
        f"# thickness = {toml_text('20 mm' if metric else '3/4in')}",
        f"# width = {toml_text('95 mm' if metric else '3-1/2in')}",
        "# lengths = ["
        + (
            '{ length = "3.0 m", price = 11.00 }'
            if metric
            else '{ length = "12ft", price = 14.00 }'
        )
        + "]",
        "# [[rail]]",
        '# name = "gunwale"',
        f"# section = {section}",
        f"# length = {toml_text('4.95 m' if metric else '10ft 4in')}",
        '# hand = "pair"',
    ]


def toml_text(value: str) -> str:
    """Return a basic string of TOML."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
