"""Letters of other scripts for pages and pictures in a browser, cut down to those that they use.

Whatever fonts a telephone in the workshop has, names look there as on paper.
"""

from __future__ import annotations

import base64

from nestcut.papers.draw.letters.fonts import REGIONS, Script, Weight, has_letter, is_joiner
from nestcut.papers.draw.letters.measures import spelled
from nestcut.papers.draw.letters.runs import runs


def _family(region: str) -> str:
    return f"Other scripts {region}".strip()


WEB_FAMILIES = ",".join(f"'{_family(region)}'" for region in REGIONS)
"""Families that a page names behind its own fonts, as style sheets write them."""
_CSS_WEIGHTS = {Weight.PLAIN: "normal", Weight.BOLD: "bold"}


def web_fonts(text: str) -> str:
    """Return style rules that bring the fonts which a text needs besides the house's own.

    The same text gives the same rules; nothing, if its letters are all in the house's font.
    """
    foreign = "".join(dict.fromkeys(c for c in text if not c.isascii() and not has_letter(c)))
    if not foreign:
        return ""
    used: dict[Script, set[str]] = {}
    # in one piece, so that East Asian letters are told apart; joiners are wanted beside theirs
    for run in runs("".join(c for c in spelled(foreign) if not is_joiner(c)), Weight.PLAIN):
        if run.script is not None:
            used.setdefault(run.script, set()).update(run.text)
    return "".join(
        f"@font-face{{font-family:'{_family(script.region)}';font-weight:{_CSS_WEIGHTS[weight]};"
        f"src:url(data:font/ttf;base64,{_cut_down(script, letters, weight)})}}\n"
        for script, letters in used.items()
        for weight in Weight
    )


def _cut_down(script: Script, letters: set[str], weight: Weight) -> str:
    """A font with these letters and the rules that shape them, as base64."""
    import uharfbuzz

    wanted = uharfbuzz.SubsetInput()
    wanted.unicode_set.update({ord(c) for c in letters} | {0x20, 0x200C, 0x200D})
    face = uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(script.path(weight))))
    return base64.b64encode(uharfbuzz.subset(face, wanted).blob.data).decode("ascii")
