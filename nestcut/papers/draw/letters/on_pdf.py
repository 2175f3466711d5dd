"""A line of text on a PDF page, names in other scripts included.

Only the shapes that a document uses are embedded.  What a shaped run says stands beside it as the
text that a viewer finds and copies (ISO 32000-2, 14.9.4, ``ActualText``).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from nestcut.papers.draw.letters.fonts import Script, Weight, font_face, is_joiner
from nestcut.papers.draw.letters.measures import spelled
from nestcut.papers.draw.letters.runs import Glyph, Run, runs
from nestcut.tolerances.looks import ADVANCE

_BEYOND = 0x10000
"""The PDF writer names letters below this code only."""
_PRIVATE = 0xE000
"""First code of the private use area: shapes that no letter has are numbered from here."""


def draw_line(
    canvas: Any, x_pt: float, y_pt: float, text: str, size_pt: float, weight: Weight = Weight.PLAIN
) -> None:
    """Write a line from the left end of its base line. [pt]

    Parameters
    ----------
    canvas
        Reportlab's canvas to write on.
    x_pt, y_pt
        Left end of the base line. [pt]
    text
        What to write, in any script that there is a font for.
    size_pt
        Size of the font, its em. [pt]
    """
    font_face(weight)
    shown = spelled(text)
    made = runs(shown, weight)
    if all(run.script is None for run in made):
        canvas.setFont(weight.value, size_pt)
        canvas.drawString(x_pt, y_pt, shown)
        return
    for run in made:
        if run.script is None:
            canvas.setFont(weight.value, size_pt)
            canvas.drawString(x_pt, y_pt, run.text)
        else:
            _draw_shaped(canvas, (x_pt, y_pt), run, run.script, size_pt, weight)
        x_pt += run.width * size_pt


def _draw_shaped(
    canvas: Any,
    at_pt: tuple[float, float],
    run: Run,
    script: Script,
    size_pt: float,
    weight: Weight,
) -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    name = script.name(weight)
    # each document has fonts of its own that number its shapes: its bytes don't depend on others
    fonts = canvas._doc.__dict__.setdefault("shaped_fonts", {})  # noqa: SLF001 - no public name
    if name not in fonts:
        fonts[name] = TTFont(name, str(script.path(weight)))
    pdfmetrics.registerFont(fonts[name])
    canvas.setFont(name, size_pt)
    if not run.is_leftward:  # leftward letters are turned back by viewers themselves
        canvas._code.append(_says(run.text))  # noqa: SLF001 - nor has this a name
    x, y = at_pt
    for letters, right, up, wide in _together(run, fonts[name].face):
        canvas.drawString(x + right * size_pt, y + up * size_pt, letters)
        x += wide * size_pt
    if not run.is_leftward:
        canvas._code.append("EMC")  # noqa: SLF001


def _together(run: Run, face: Any) -> Iterator[tuple[str, float, float, float]]:
    """Shapes that follow each other as the font says: (letters, right, up, width) per font size."""
    letters, wide = "", 0.0
    for glyph in run.glyphs:
        if is_joiner(glyph.text):
            continue
        letter = chr(_code_of(face, glyph))
        own = face.charWidths[ord(letter)] / 1000.0
        is_plain = not glyph.right and not glyph.up and abs(own - glyph.advance) < ADVANCE
        if not is_plain:
            if letters:
                yield letters, 0.0, 0.0, wide
            yield letter, glyph.right, glyph.up, glyph.advance
            letters, wide = "", 0.0
        else:
            letters, wide = letters + letter, wide + glyph.advance
    if letters:
        yield letters, 0.0, 0.0, wide


def _says(text: str) -> str:
    code = f"\ufeff{text}".encode("utf-16-be").hex().upper()
    return f"/Span <</ActualText <{code}>>> BDC"


def _code_of(face: Any, glyph: Glyph) -> int:
    """The letter that stands for a shape in its document; one is made up where it has none."""
    own = [c for c in face.glyphToChar.get(glyph.index, ()) if c < _BEYOND]
    if own:
        return ord(glyph.text) if len(glyph.text) == 1 and ord(glyph.text) in own else int(own[0])
    made: dict[int, int] = face.__dict__.setdefault("codes_made_up", {})
    if glyph.index not in made:
        code = max(made.values(), default=_PRIVATE - 1) + 1
        while code in face.charToGlyph:
            code += 1
        made[glyph.index] = code
        face.charToGlyph[code] = glyph.index
        face.charWidths[code] = 1000.0 * glyph.advance
    return made[glyph.index]
