# ruff: noqa: E501 - sentences and edits stand as they are
"""What a builder types wrongly: each mistake as an edit of one sound job."""

from __future__ import annotations

from dataclasses import dataclass

JOB = """\
[job]
name = "skiff"
show = "inch"
currency = "EUR"

[saw]
kerf = "1/8in"
gap = "1/16in"

[[sheet]]
name = "1/4 in ply"
thickness = "1/4in"
length = "8ft"
width = "4ft"
price = 41.00
keep_out = [{ from = ["1ft", "1ft"], to = ["1ft 4in", "1ft 6in"], why = "stain" }]

[[sheet]]
name = "3/4 in ply"
thickness = "3/4in"
length = "8ft"
width = "4ft"
price = 88.00

[[board]]
name = "1x6 spruce"
material = "spruce"
thickness = "3/4in"
width = "5-1/2in"
lengths = [{ length = "12ft", price = 16.90 }]

[offsets]
to = "outside"
planking = ["3/8in", "1/4in"]
table = '''
station        |   0   |   1   |   2   |   3   |   4    |   5
at             | 0-0-0 | 2-8-0 | 5-4-0 | 8-0-0 | 10-8-0 | 13-0-0
distances
chine          | 0-7-0 |   -   |   -   |   -   |   -    | 12-6-4
heights
sheer          | 2-1-6 | 1-8-4 | 1-5-2 | 1-4-2 | 1-5-0  | 1-7-2
chine          | 0-4-6 | 0-2-1 | 0-0-4 | 0-0-2 | 0-1-6  | 0-4-2
half-breadths
sheer          | 0-0-6 | 1-4-0 | 1-11-7| 2-1-3 | 1-11-6 | 1-8-4
chine          | 0-0-6 | 0-10-6| 1-6-0 | 1-7-5 | 1-6-3  | 1-4-2
'''

[[part]]
name = "side"
thickness = "1/4in"
hand = "pair"
joint = { kind = "scarf", slope = "8:1", keep_clear = "none" }

[part.shape]
kind = "developed"
lower = "chine"
upper = "sheer"

[[part]]
name = "frame"
thickness = "3/4in"
shape = { kind = "frame", at = "2", lines = ["chine", "sheer"] }

[[part]]
name = "knee"
thickness = "3/4in"
count = 2

[part.shape]
kind = "polygon"
points = [["0in", "0in"], ["8in", "0in"], ["0in", "8in"]]

[[part]]
name = "lid"
thickness = "1/4in"

[part.shape]
kind = "rectangle"
length = "20in"
width = "12in"
holes = [{ diameter = "1in", from_left = "4in", from_bottom = "3in" }]

[[rail]]
name = "gunwale"
section = ["3/4in", "1-1/2in"]
along = { line = "sheer" }

[[cleats]]
name = "lid cleat"
of = "lid"
edge = "bottom"
section = ["3/4in", "3/4in"]
"""
"""Without a fault: every mistake is the only one in its file."""


@dataclass(frozen=True)
class Mistake:
    """An edit: the first ``old`` becomes ``new``."""

    name: str
    old: str
    new: str

    @property
    def text(self) -> str:
        """The job with this mistake in it."""
        assert self.old in JOB, self.name
        return JOB.replace(self.old, self.new, 1)


MISTAKES = (
    Mistake("length without quotes", 'kerf = "1/8in"', "kerf = 1/8in"),
    Mistake("curly quotes", 'kerf = "1/8in"', "kerf = \u201c1/8in\u201d"),
    Mistake("inch mark in double quotes", 'width = "5-1/2in"', 'width = "5-1/2""'),
    Mistake("feet and inches without quotes", 'length = "20in"', "length = 1' 8\""),
    Mistake("decimal comma in a price", "price = 41.00", "price = 41,00"),
    Mistake("open quote", 'name = "knee"', 'name = "knee'),
    Mistake("name without quotes", 'name = "knee"', "name = knee"),
    Mistake("nothing behind the equals sign", 'gap = "1/16in"', "gap ="),
    Mistake("key of another table", 'gap = "1/16in"', 'kind = ""'),
    Mistake("kerf not answered", 'kerf = "1/8in"', 'kerf = ""'),
    Mistake("one bracket too few", "[[rail]]", "[rail]]"),
    Mistake("key written twice", "count = 2", "count = 2\ncount = 3"),
    Mistake("list not closed", 'section = ["3/4in", "1-1/2in"]', 'section = ["3/4in", "1-1/2in"'),
    Mistake("prose", "[saw]", "this is my saw\n[saw]"),
    Mistake("key below the wrong heading", 'points = [[', 'grain = "any"\npoints = [['),
    Mistake("shape's key above its heading", 'hand = "pair"', 'hand = "pair"\nlower = "chine"'),
    Mistake("misspelt key", "currency", "curency"),
    Mistake("misspelt choice", 'hand = "pair"', 'hand = "both"'),
    Mistake("strap's width in a wrong unit", 'kind = "scarf", slope = "8:1",', 'kind = "butt strap", strap_width = "6ft",'),
    Mistake("misspelt kind", 'kind = "rectangle"', 'kind = "rectangel"'),
    Mistake("misspelt line", 'lower = "chine"', 'lower = "chime"'),
    Mistake("misspelt part", 'of = "lid"', 'of = "led"'),
    Mistake("no unit", 'length = "20in"', 'length = "20"'),
    Mistake("bare number without a job-wide unit", 'length = "20in"', "length = 20"),
    Mistake("unknown unit", 'length = "20in"', 'length = "20 inchs"'),
    Mistake("comma that may be thousands", 'length = "20in"', 'length = "1,200 mm"'),
    Mistake("thirteen inches", "1-11-7|", "1-13-7|"),
    Mistake("nine eighths", "1-8-4 | 1-5-2", "1-8-9 | 1-5-2"),
    Mistake("figure left out", " | 1-5-2 | 1-4-2 | 1-5-0", " | 1-4-2 | 1-5-0"),
    Mistake("stations out of order", "5-4-0 | 8-0-0", "8-0-0 | 5-4-0"),
    Mistake("no distances", "at             | 0-0-0", "xt             | 0-0-0"),
    Mistake("height misread by a foot", "1-5-2 | 1-4-2 | 1-5-0", "1-5-2 | 2-4-2 | 1-5-0"),
    Mistake("half-breadth misread by two inches", "1-6-0 | 1-7-5", "1-4-0 | 1-7-5"),
    Mistake("line misspelt in the table", "sheer          | 2-1-6", "sheet          | 2-1-6"),
    Mistake("outside or inside not said", 'to = "outside"\n', ""),
    Mistake("planking not said", 'planking = ["3/8in", "1/4in"]\n', ""),
    Mistake("station that isn't there", 'at = "2"', 'at = "9"'),
    Mistake("hole over the edge", 'from_bottom = "3in"', 'from_bottom = "1/4in"'),
    Mistake("key nearly right", 'lower = "chine"', 'lower = "chine"\nnotch = 3'),
    Mistake("no stock of this thickness", 'name = "lid"\nthickness = "1/4in"', 'name = "lid"\nthickness = "3/8in"'),
    Mistake("sheet turned", 'length = "8ft"\nwidth = "4ft"\nprice = 88', 'length = "4ft"\nwidth = "8ft"\nprice = 88'),
    Mistake("keep-out off the sheet", '"1ft 4in", "1ft 6in"', '"9ft", "1ft 6in"'),
    Mistake("unit slip in the kerf", 'kerf = "1/8in"', 'kerf = "3ft"'),
    Mistake("two parts of one name", 'name = "knee"\n', 'name = "frame"\n'),
    Mistake("no name", 'name = "lid cleat"\n', ""),
    Mistake("saw forgotten", '[saw]\nkerf = "1/8in"\ngap = "1/16in"\n', ""),
)  # fmt: skip
