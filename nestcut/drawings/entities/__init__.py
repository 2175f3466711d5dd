"""A file to strokes and texts in mm: opening, units, layers, blocks, curves, what isn't read."""
