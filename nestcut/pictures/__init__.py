"""Pictures to check a job by, before anything is planned: one page, and each picture as SVG.

A room that has something to show gives :class:`Fragment` s; :func:`page` makes one HTML page of any
number of them.  Whoever has other pictures (of drawings, say) hands in fragments of their own.
"""

from nestcut.pictures.fragment import Fragment
from nestcut.pictures.lines_plan import LinesToDraw, Ringed, lines_fragments
from nestcut.pictures.page import page
from nestcut.pictures.parts import InPlace, opened_out, part_fragment

__all__ = [
    "Fragment",
    "InPlace",
    "LinesToDraw",
    "Ringed",
    "lines_fragments",
    "opened_out",
    "page",
    "part_fragment",
]
