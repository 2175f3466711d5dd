"""Below a picture: the key to its fills and lines, and every finding in words."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from xml.etree import ElementTree as ET

from nestcut.drawings.lettering import letters
from nestcut.drawings.pictures.strokes import ASKED, NOT_TAKEN, OPEN, PART, RING
from nestcut.drawings.records import Drawing
from nestcut.errors import Finding, Severity
from nestcut.words import Speech, tell

KEY_HEIGHT = 60.0
"""Room for the key. [px]"""

NOTE_LINE = 16.0
_NOTE_SIGNS = 150

_KEY: tuple[tuple[dict[str, str], str], ...] = (
    (PART, "taken as a part"),
    (PART | ASKED, "part or hole? you are asked"),
    (PART | NOT_TAKEN, "seen, not taken"),
    (OPEN, "open line"),
    (RING, "look here, see below"),
)


def draw_key(svg: ET.Element, top: float) -> None:
    """Draw what each fill and line means."""
    for i, (style, words) in enumerate(_KEY):
        x = 20.0 + 200.0 * i
        if style is RING:
            place = {"cx": f"{x + 14:.0f}", "cy": f"{top + 18:.0f}", "r": "10"}
            ET.SubElement(svg, "circle", place | style)
        elif style is OPEN:
            ET.SubElement(svg, "path", {"d": f"M{x:.0f} {top + 18:.0f} h28", **style})
        else:
            place = {"x": f"{x:.0f}", "y": f"{top + 9:.0f}", "width": "28", "height": "18"}
            ET.SubElement(svg, "rect", place | style)
        text = ET.SubElement(svg, "text", {"x": f"{x + 36:.0f}", "y": f"{top + 22:.0f}"})
        text.text = words


def note_lines(
    drawing: Drawing, ringed: Sequence[Finding], speech: Speech
) -> list[tuple[str, str]]:
    """Return (text, colour) of every line below the picture, wrapped to its width.

    Rings come first, then questions and warnings, then what is only told.
    """
    notes = [(letters(i), f) for i, f in enumerate(ringed)]
    known = {id(f) for f in ringed}
    others = [("", f) for f in drawing.findings if id(f) not in known]
    others.sort(key=lambda note: note[1].severity in _QUIET)
    lines = []
    for letter, finding in [*notes, *others]:
        told = tell(finding, speech)
        lead = f"{letter}: " if letter else ""
        text = f"{lead}{told.message} [{finding.code}]"
        colour = "#555" if finding.severity in _QUIET else "black"
        lines += [(part, colour) for part in textwrap.wrap(text, _NOTE_SIGNS)]
        lines += [("    " + part, "#555") for part in textwrap.wrap(told.remedy, _NOTE_SIGNS)]
    return lines


_QUIET = {Severity.NOTE, Severity.REPAIRED}
"""What needs nothing done."""


def write_notes(svg: ET.Element, lines: list[tuple[str, str]], top: float) -> None:
    """Write the lines below each other.

    Parameters
    ----------
    svg
        The picture.
    lines
        Words and their colour, from above.
    top
        Where the first line stands. [picture units]
    """
    for i, (line, colour) in enumerate(lines):
        text = ET.SubElement(svg, "text", {"x": "20", "y": f"{top + i * NOTE_LINE:.0f}"})
        text.set("fill", colour)
        text.set("xml:space", "preserve")
        text.text = line
