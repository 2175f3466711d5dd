"""A small job that fills two sheets loosely."""

TWO_SHEETS = """
[job]
name = "hand"
[saw]
kerf = "3 mm"
[[sheet]]
name = "6 mm ply"
material = "ply"
length = "1200 mm"
width = "600 mm"
thickness = "6 mm"
price = 20
trim = "5 mm"
[[part]]
name = "plank"
thickness = "6 mm"
count = 4
[part.shape]
kind = "rectangle"
length = "700 mm"
width = "160 mm"
[[part]]
name = "knee"
thickness = "6 mm"
count = 5
grain = "any"
turn = "free"
[part.shape]
kind = "polygon"
points = [["0 mm", "0 mm"], ["260 mm", "0 mm"], ["60 mm", "70 mm"], ["0 mm", "240 mm"]]
[[part]]
name = "pad"
thickness = "6 mm"
count = 4
[part.shape]
kind = "rectangle"
length = "180 mm"
width = "90 mm"
"""
