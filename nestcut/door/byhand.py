"""Pieces pushed by hand: slid along their neighbours, put down where there is room."""

from nestcut.byhand import Hand, Moved, Tried

__all__ = ["Hand", "Moved", "Tried"]
