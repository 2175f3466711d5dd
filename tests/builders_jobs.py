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
SHELF = """
[job]
name = "shelf"
[saw]
kerf = "3 mm"
[[sheet]]
name = "6 mm ply"
material = "ply"
length = "1000 mm"
width = "500 mm"
thickness = "6 mm"
price = 20
[[part]]
name = "shelf"
thickness = "6 mm"
[part.shape]
kind = "rectangle"
length = "400 mm"
width = "300 mm"
"""
"""A whole job of one part."""
SKIFF = """
[job]
name = "skiff"
unit = "mm"
[saw]
kerf = 2
[[sheet]]
name = "6 mm ply"
material = "ply"
thickness = 6
length = 2440
width = 1220
price = 50.0
"""
"""Bare numbers in mm, a saw and a sheet."""
LARCH = """[[board]]
name = "larch"
material = "larch"
thickness = 20
width = 95
lengths = [{ length = "4.2 m", price = 15.0 }]
"""
CHINE_AND_SHEER = """[[line]]
name = "chine"
stations = [0, 600, 1200, 1800, 2300]
half_breadths = [420, 500, 510, 420, 260]
heights = [120, 90, 85, 110, 160]
[[line]]
name = "sheer"
stations = [0, 600, 1200, 1800, 2300]
half_breadths = [520, 610, 630, 560, 400]
heights = [480, 450, 445, 470, 520]
"""
"""Two lines in space, from the transom forward."""
