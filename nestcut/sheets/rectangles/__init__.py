"""Pieces that are all upright rectangles: exact whole numbers, and searches of their own."""
