"""Outlines from dimensions: plain figures, sections, notches, holes, slats, straps."""
