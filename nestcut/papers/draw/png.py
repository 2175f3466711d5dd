"""A picture (SVG) as pixels (PNG), in the papers' own font whatever fonts the machine has."""

from __future__ import annotations

from nestcut.papers.draw.letters import FOLDER, Weight, fenced, scripts, spelled

ZOOM = 1.8
"""Pixels of the PNG to one of the SVG: letters are read on a screen without enlarging. [-]"""

_MANY = 800
"""Lines of a picture beyond which its pixels are fewer: thousands over each other take long."""

_LAST_OWN = 0x52F
"""Letters up to here (Latin, Greek, Cyrillic) need no other font."""

_FAMILY = "DejaVu Sans"
"""Family of the papers' font, by its name in the font files."""


def svg_png(svg: str) -> bytes:
    """Return a picture as PNG; the same picture gives the same bytes on one machine."""
    import resvg_py

    # Signs of the markup are plain letters: only what it writes can change, and plain text can't.
    shown = svg if svg.isascii() else fenced(spelled(svg))
    others = scripts() if any(ord(c) > _LAST_OWN for c in shown) else ()
    files = [*FOLDER.glob("*.ttf"), *(s.path(w) for s in others for w in Weight)]
    zoom = ZOOM * min(1.0, (_MANY / max(svg.count("<path"), 1)) ** 0.5)
    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=shown,
            zoom=zoom,
            background="white",
            skip_system_fonts=True,
            font_files=[str(file) for file in files],
            font_family=_FAMILY,
            sans_serif_family=_FAMILY,
        )
    )
