"""A first job file for parts that are given by numbers."""

from __future__ import annotations

from nestcut.drawings.first.usual_stock import ASK, comment, job_lines, rail_lines, sheet_lines
from nestcut.units import LengthStyle


def start_by_numbers(name: str, style: LengthStyle) -> str:
    """Return the text of a commented job file whose parts are given by numbers.

    Parameters
    ----------
    name
        Name of the job.
    style
        Measuring world of the usual stock and of the examples.
    """
    lines = [
        f"# First job file for {comment(name)}, for parts given by numbers.",
        "# Look for QUESTION: only you know the answer; 'nestcut check' refuses till it's given.",
        *_OTHER_WORLD[style],
        "",
        *job_lines(name, style),
        *sheet_lines([], style),
        "",
        "# ---- parts: one [[part]] with its [part.shape] for each; copy these for more "
        + "-" * 12,
        *_part_by_numbers(style),
        "",
        *rail_lines(style),
        "",
    ]
    return "\n".join(lines)


_OTHER_WORLD = {
    LengthStyle.MM: ("# In feet and inches instead: nestcut start --out FILE --world inch",),
    LengthStyle.INCH: (),
}


def _part_by_numbers(style: LengthStyle) -> list[str]:
    metric = style is LengthStyle.MM
    size, thick = ("900 mm", "6 mm") if metric else ("3ft", "1/4in")
    points = '[["0 mm", "0 mm"], ["900 mm", "0 mm"], ["700 mm", "300 mm"]]'
    if not metric:
        points = '[["0in", "0in"], ["3ft", "0in"], ["2ft 4in", "1ft"]]'
    return [
        "",
        "[[part]]",
        f'name = ""   {ASK}: what is it called?',
        f'thickness = ""   {ASK}: how thick? Such as "{thick}"',
        "count = 1",
        '# hand = "pair"   # if it is wanted once for each side of the boat, mirrored',
        'grain = "along"   # face grain along its length; or "across", "any"',
        "[part.shape]",
        'kind = "rectangle"',
        f'length = ""   {ASK}: how long? Such as "{size}"',
        f'width = ""   {ASK}: how wide?',
        "",
        "# A table of offsets? [offsets] takes it as it is printed, and sides, bottom, frames and",
        "# transom follow from its lines: nestcut explain offsets.",
        "# Other kinds: trapezoid, taper, polygon, circle, ellipse, panel (by stations), bulkhead,",
        "# box, slats and more, with holes, notches and rounded corners: parts/NUMBERS.md in the",
        "# project's folder explains each. For example:",
        "# [part.shape]",
        '# kind = "polygon"',
        f"# points = {points}",
    ]
