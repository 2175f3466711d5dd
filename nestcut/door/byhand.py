"""Pieces pushed by hand: slid along their neighbours, put down where there is room."""

from nestcut.byhand import Bench, Moved, put_down, slide_to

__all__ = ["Bench", "Moved", "put_down", "slide_to"]
