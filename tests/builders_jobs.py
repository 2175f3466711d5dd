"""Beginnings of small job files."""

PLY_TO_BUY = """
[job]
name = "shelf"
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "1220 mm"
width = "610 mm"
count = "buy"
"""
"""One size of plywood on sale, and a saw: parts are to be added."""
