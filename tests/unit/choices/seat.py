"""A seat with its bottom, from two sizes of sheets, and a cleat from two lengths of board."""

JOB = """
[job]
name = "seat"
currency = "EUR"
[saw]
kerf = "3 mm"
[[sheet]]
name = "large"
material = "ply"
length = "2440 mm"
width = "1220 mm"
thickness = "6 mm"
price = 58
[[sheet]]
name = "small"
material = "ply"
length = "1220 mm"
width = "610 mm"
thickness = "6 mm"
price = 19
[[board]]
name = "fir"
material = "fir"
thickness = "20 mm"
width = "45 mm"
lengths = [{ length = "2.4 m", price = 6 }, { length = "3 m", price = 7 }]
[[part]]
name = "seat"
thickness = "6 mm"
count = 2
[part.shape]
kind = "rectangle"
length = "900 mm"
width = "300 mm"
[[part]]
name = "bottom"
thickness = "6 mm"
[part.shape]
kind = "rectangle"
length = "1800 mm"
width = "300 mm"
[[rail]]
name = "cleat"
material = "fir"
section = ["20 mm", "45 mm"]
length = "2.9 m"
"""
