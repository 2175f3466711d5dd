"""Strokes to closed loops: doubles out, ends joined, crossings cut, gaps measured."""
