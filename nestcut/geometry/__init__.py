"""Pure functions over outlines, curves and polygons; no job knowledge, no files.

Coordinates are (n, 2) float arrays or tuples of points in mm; angles in degrees, turned
counter-clockwise; outer rings run counter-clockwise, holes clockwise.
"""
