"""Small jobs by lot, as a builder might write them: a job file and its drawing.

What a lot can bring: mm, inches with fractions, bare numbers in cm; a saw of no width, two saws;
sheets to buy and to hand, measured corners, knots, trims, face grain across; parts by numbers and
drawn in polylines with bulges, loose lines and arcs, splines; handed parts, oversize parts, parts
cut from boards; joints of every kind, given or free; rails, knots in boards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from pathlib import Path

import numpy as np
from ezdxf.layouts.layout import Modelspace

from tests.second.drawing import empty_document, new_document, save_drawn, save_whole

Draw = np.random.Generator


@dataclass(frozen=True)
class Unit:
    """How a job writes its lengths; all sizes are whole numbers of ``step``."""

    name: str
    mm: Fraction
    step: Fraction

    def text(self, mm: float) -> str:
        """The nearest length that a builder would write, as the job file has it."""
        n = round(Fraction(mm) / self.mm / self.step) * self.step
        if self.name == "in":
            whole, part = divmod(n, 1)
            if not part:
                return f'"{whole}in"'
            return f'"{whole}-{part}in"' if whole else f'"{part}in"'
        if self.name == "bare cm":
            return f"{float(n):.6f}".rstrip("0").rstrip(".")
        return f'"{float(n):.6f}'.rstrip("0").rstrip(".") + f' {self.name}"'

    def near(self, mm: float) -> float:
        """The same as text() writes, in mm."""
        return float(round(Fraction(mm) / self.mm / self.step) * self.step * self.mm)


UNITS = (
    Unit("mm", Fraction(1), Fraction(1)),
    Unit("mm", Fraction(1), Fraction(1, 10)),
    Unit("in", Fraction("25.4"), Fraction(1, 16)),
    Unit("in", Fraction("25.4"), Fraction(1, 64)),
    Unit("bare cm", Fraction(10), Fraction(1, 100)),
)


class Size(Enum):
    """How many parts and rails a job may have, and how many copies of all together."""

    USUAL = ((1, 2, 3), (0, 0, 1, 2, 3), 100)
    SMALL = ((1, 1, 2), (0, 0, 1, 1, 2), 6)
    FLAT = ((1, 1, 1, 2), (0,), 2)
    RAILS = ((0,), (1, 2), 2)


def small_size(seed: int) -> Size:
    """Small jobs take turns: three have flat parts, one has rails, one a little of all."""
    return (Size.FLAT, Size.RAILS, Size.FLAT, Size.SMALL, Size.FLAT)[seed % 5]


def write_job(folder: Path, seed: int, size: Size = Size.USUAL) -> Path:
    """Write a job by lot into a folder and return its job file; the same seed, the same job."""
    lot = _Lot(np.random.default_rng([20261128, seed]), size)
    text = lot.job(f"job {seed}")
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    if lot.is_drawn:
        save = save_whole if size is Size.USUAL else save_drawn
        save(lot.document, folder / "parts.dxf")
    return path


class _Lot:
    """Draws everything of one job from one stream."""

    def __init__(self, draw: Draw, size: Size = Size.USUAL) -> None:
        self.draw = draw
        self.n_parts, self.n_rails, room = size.value
        self.room: int = room
        self.unit = UNITS[int(draw.integers(len(UNITS)))]
        self.document = new_document() if size is Size.USUAL else empty_document()
        self.space: Modelspace = self.document.modelspace()
        self.is_drawn = False
        self.lines: list[str] = []

    # ---- lots ----

    def chance(self, share: float) -> bool:
        return bool(self.draw.random() < share)

    def one(self, *things: object) -> object:
        return things[int(self.draw.integers(len(things)))]

    def size(self, low: float, high: float) -> float:
        return self.unit.near(float(self.draw.uniform(low, high)))

    def t(self, mm: float) -> str:
        return self.unit.text(mm)

    def say(self, key: str, value: str) -> None:
        self.lines.append(f"{key} = {value}")

    # ---- the job ----

    def job(self, name: str) -> str:
        self.lines = ["[job]"]
        self.say("name", f'"{name}"')
        if self.unit.name == "bare cm":
            self.say("unit", '"cm"')
        if self.unit.name == "in":
            self.say("show", '"inch"')
        self.say("currency", '"EUR"')
        saws = ["" if self.chance(0.8) else "panel saw"]
        if saws[0]:
            saws.append("jigsaw")
        for saw in saws:
            self.lines.append("\n[[saw]]" if saw else "\n[saw]")
            if saw:
                self.say("name", f'"{saw}"')
            kerf = float(self.one(0.0, 0.0, 1.0, 2.0, 3.175))  # type: ignore[arg-type]
            self.say("kerf", self.t(kerf))
            if self.chance(0.4):
                self.say("gap", self.t(float(self.one(0.5, 1.5, 3.0))))  # type: ignore[arg-type]
        second = saws[1] if len(saws) > 1 else None
        thick = [self.unit.near(float(self.one(4.0, 6.0, 9.0, 12.7)))]  # type: ignore[arg-type]
        if self.chance(0.25):
            thick.append(self.unit.near(18.0))
        for thickness in thick:
            self.sheets(thickness, second)
        n_rails = int(self.draw.choice(self.n_rails))
        self.solid = self.unit.near(18.0)
        is_wood = self.chance(0.15)
        if n_rails or is_wood:
            self.boards(self.solid, second)
        for k in range(int(self.draw.choice(self.n_parts))):
            self.part(f"part {k + 1}", float(self.draw.choice(thick)))
        if is_wood:
            self.cleat()
        for k in range(n_rails):
            self.rail(f"rail {k + 1}")
        return "\n".join(self.lines) + "\n"

    def sheets(self, thickness: float, second: str | None) -> None:
        length, width = self.size(900, 2440), self.size(600, 1220)
        length = max(length, width)
        for kind in ("buy", "shed") if self.chance(0.4) else ("buy",):
            self.lines.append("\n[[sheet]]")
            self.say("name", f'"{kind} {thickness:.1f}"')
            self.say("thickness", self.t(thickness))
            x, y = length, width
            if kind == "shed":
                x, y = self.unit.near(0.8 * length), self.unit.near(0.7 * width)
                x = max(x, y)
            self.say("length", self.t(x))
            self.say("width", self.t(y))
            if kind == "shed":
                self.say("count", str(int(self.draw.integers(1, 3))))
                if self.chance(0.5):
                    corners = ((0, 0), (x, 0), (x, 0.6 * y), (0.7 * x, 0.55 * y), (0.6 * x, y),
                               (0, y))  # fmt: skip
                    rows = ", ".join(f"[{self.t(a)}, {self.t(b)}]" for a, b in corners)
                    self.say("outline", f"[{rows}]")
            elif self.chance(0.9):
                self.say("price", f"{self.draw.integers(500, 9000) / 100:.2f}")
            if self.chance(0.3):
                self.say("trim", self.t(float(self.one(2.0, 5.0, 10.0))))  # type: ignore[arg-type]
            if self.chance(0.2):
                a, b = self.size(0.1 * x, 0.6 * x), self.size(0.1 * y, 0.6 * y)
                low, high = f"{self.t(a)}, {self.t(b)}", f"{self.t(a + 60)}, {self.t(b + 40)}"
                self.say("keep_out", f'[{{ from = [{low}], to = [{high}], why = "knot" }}]')
            if self.chance(0.15):
                self.say("grain", '"across"')
            if self.chance(0.2):
                self.say("good_faces", '"both"')
            if second and self.chance(0.5):
                self.say("saw", f'"{second}"')

    def boards(self, thickness: float, second: str | None) -> None:
        self.board_width = self.unit.near(float(self.one(60.0, 95.0, 140.0)))  # type: ignore[arg-type]
        self.lines.append("\n[[board]]")
        self.say("name", '"fir"')
        self.say("material", '"fir"')
        self.say("thickness", self.t(thickness))
        self.say("width", self.t(self.board_width))
        if self.chance(0.4):
            self.say("end_trim", self.t(10.0))
        if self.chance(0.3):
            self.say("edge_trim", self.t(2.0))
        if second and self.chance(0.5):
            self.say("saw", f'"{second}"')
        offers = []
        self.longest = 0.0
        lengths = {self.size(1800, 3000) for _ in range(int(self.draw.integers(1, 4)))}
        for length in sorted(lengths):
            self.longest = max(self.longest, length)
            price = f"{self.draw.integers(200, 2000) / 100:.2f}"
            offers.append(f"{{ length = {self.t(length)}, price = {price} }}")
        if self.chance(0.4):
            length, at = self.size(1500, 2600), self.size(300, 1200)
            if self.chance(0.3):
                length = min(lengths)
            offers.append(
                f"{{ length = {self.t(length)}, count = {int(self.draw.integers(1, 3))}, "
                f"defects = [{{ from = {self.t(at)}, to = {self.t(at + 40)} }}] }}"
            )
        self.say("lengths", "[" + ", ".join(offers) + "]")

    # ---- parts ----

    def part(self, name: str, thickness: float) -> None:
        self.lines.append("\n[[part]]")
        self.say("name", f'"{name}"')
        self.say("thickness", self.t(thickness))
        length, width = self.size(120, 820), self.size(70, 300)
        want_joint = length > 450 and self.chance(0.35)
        few = self.copies() if self.chance(0.4) else 1
        if few > 1:
            self.say("count", str(few))
        self.hands(few)
        grain = str(self.one("along", "along", "across", "any"))
        self.say("grain", f'"{grain}"')
        turns = ["none", "half", "half", "small"]
        if grain == "any":
            turns += ["quarter", "free", "free"]
        turn = str(self.draw.choice(turns))
        self.say("turn", f'"{turn}"')
        if turn == "small" and self.chance(0.5):
            self.say("small_angle", str(int(self.draw.integers(1, 20))))
        if self.chance(0.3):
            self.say("faces", '"either"')
        if self.chance(0.3):
            self.say("holes", '"use"')
        if want_joint:
            self.joint(length)
        if self.chance(0.25):
            self.say("allowance", self.t(float(self.one(3.0, 8.0, 12.0))))  # type: ignore[arg-type]
        shape = self.draw.integers(0, 9)
        if want_joint:
            shape = self.draw.choice([0, 1, 4, 6, 7])
        self.shape(int(shape), name, length, width, has_holes=not want_joint)

    def copies(self) -> int:
        """A count of two or three, as far as there is room."""
        return min(int(self.draw.integers(2, 4)), max(1, self.room - 1))

    def is_pair(self, hand: str, count: int) -> bool:
        """Take the room that copies need; a pair that there is no room for is told."""
        self.room -= count
        if hand == "pair" and self.room >= count:
            self.room -= count
            return True
        return False

    def hands(self, count: int = 1) -> None:
        hand = str(self.one("none", "none", "pair", "pair", "port", "starboard"))
        if not self.is_pair(hand, count) and hand == "pair":
            hand = "port"
        if hand != "none":
            self.say("hand", f'"{hand}"')
            if self.chance(0.4):
                self.say("drawn", '"starboard"')

    def joint(self, length: float) -> None:
        kind = str(self.one("scarf", "scarf", "butt strap", "keyed", "half lap"))
        words = [f'kind = "{kind}"']
        if kind in {"scarf", "half lap"} and self.chance(0.6):
            words.append(f'slope = "{self.one("6:1", "8:1", "10:1", "12:1")}"')
        if kind == "butt strap" and self.chance(0.5):
            words.append(f"strap_width = {int(self.draw.integers(8, 24))}")
            words.append(f'strap_face = "{self.one("good face", "back")}"')
            words.append(f"strap_margin = {self.t(float(self.draw.integers(0, 20)))}")
        if kind == "scarf" and self.chance(0.3):
            words.append(f'lap = "{self.one("aft", "forward")}"')
        if self.chance(0.7):
            words.append(f"at = [{self.t(self.size(0.4 * length, 0.6 * length))}]")
        else:
            words.append('keep_clear = "none"')
        self.say("joint", "{ " + ", ".join(words) + " }")

    def shape(self, kind: int, name: str, length: float, width: float, *, has_holes: bool) -> None:
        """By numbers (0 to 3) or drawn (4 and more)."""
        holes = has_holes and self.chance(0.5)
        r = 0.2 * min(length, width)
        if kind < 4:
            self.lines.append("\n[part.shape]")
            self.by_numbers(kind, length, width, r, holes=holes)
            return
        self.is_drawn = True
        at = self.lines.index(f'name = "{name}"') + 1
        self.lines.insert(at, f'drawing = "parts.dxf"\nlayer = "{name}"')
        self.drawn(kind, name, length, width, r)
        if holes:
            x, y = 0.45 * length, 0.4 * width
            if kind == 8:
                x, y = 0.18 * length, 0.18 * width
            self.space.add_circle((x, y), 0.5 * r, dxfattribs={"layer": name})

    def by_numbers(self, kind: int, length: float, width: float, r: float, *, holes: bool) -> None:
        if kind == 0:
            self.say("kind", '"rectangle"')
            self.say("length", self.t(length))
            self.say("width", self.t(width))
            if self.chance(0.5):
                self.say(str(self.one("radius", "chamfer")), self.t(r))
            elif self.chance(0.5):
                self.corners(r)
        elif kind == 1:
            self.say("kind", '"trapezoid"')
            self.say("bottom", self.t(length))
            self.say("top", self.t(0.7 * length))
            self.say("height", self.t(width))
            if self.chance(0.5):
                self.say("shift", self.t(0.1 * length))
        elif kind == 2:
            self.say("kind", '"polygon"')
            corners = ((0, 0), (length, 0), (length, 0.4 * width), (0.4 * length, width),
                       (0, width))  # fmt: skip
            rows = ", ".join(f"[{self.t(a)}, {self.t(b)}]" for a, b in corners)
            self.say("points", f"[{rows}]")
        elif self.chance(0.7):
            self.say("kind", '"circle"')
            self.say("diameter", self.t(width))
        else:
            self.say("kind", '"ellipse"')
            self.say("length", self.t(length))
            self.say("width", self.t(width))
        if holes:
            places = ("", f", off_centre = {self.t(0.3 * r)}", f", from_left = {self.t(2 * r)}")
            self.say("holes", f"[{{ {self.hole(r)}{self.one(*places)} }}]")

    def corners(self, r: float) -> None:
        """Some corners of a rectangle cut or rounded, each by its own size."""
        words = [
            f'{{ corner = {k}, cut = "{self.one("round", "chamfer")}", '
            f"size = {self.t(share * r)} }}"
            for k, share in ((1, 1.0), (2, 0.5), (3, 0.8), (4, 0.3))
            if self.chance(0.6)
        ]
        if words:
            self.say("corners", "[" + ", ".join(words) + "]")

    def hole(self, r: float) -> str:
        """A round one, a slot or a rectangle, upright or askew, within 0.9 r of its middle."""
        form = self.draw.integers(0, 4)
        if form < 2:
            return f"diameter = {self.t(r)}"
        size = f"length = {self.t(1.4 * r)}, width = {self.t(0.7 * r)}"
        turn = f", turn = {int(self.draw.integers(1, 90))}" if self.chance(0.5) else ""
        if form == 2:
            return f'form = "slot", {size}{turn}'
        round_ = f", radius = {self.t(0.15 * r)}" if self.chance(0.5) else ""
        return f'form = "rectangle", {size}{round_}{turn}'

    def drawn(self, kind: int, name: str, length: float, width: float, r: float) -> None:
        layer = {"layer": name}
        x, y = length, width
        if kind in {4, 5}:  # a bulged upper edge, in one polyline; bulge = tan(sweep / 4)
            bulge = float(self.draw.uniform(-0.12, 0.2))
            rows = [(0, 0, 0), (x, 0, 0), (x, y, bulge), (0, 0.8 * y, 0)]
            self.space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs=layer)
        elif kind == 6:  # loose lines and an arc, in no order
            self.space.add_line((x, y - r), (x, 0), dxfattribs=layer)
            self.space.add_line((0, 0), (x, 0), dxfattribs=layer)
            self.space.add_arc((x - r, y - r), r, 0.0, 90.0, dxfattribs=layer)
            self.space.add_line((0, y), (0, 0), dxfattribs=layer)
            self.space.add_line((x - r, y), (0, y), dxfattribs=layer)
        elif kind == 7:  # a spline above
            bow = float(self.draw.uniform(-0.2, 0.3)) * y
            points = [(x, y), (0.66 * x, y + bow), (0.33 * x, y + 0.7 * bow), (0, 0.9 * y)]
            self.space.add_open_spline([(a, b, 0) for a, b in points], degree=3, dxfattribs=layer)
            self.space.add_lwpolyline([(0, 0.9 * y), (0, 0), (x, 0), (x, y)], dxfattribs=layer)
        else:  # a knee with a hollow edge
            # an arc leaves its chord by half its sweep: it must stay off the other edges
            most = math.tan(0.4 * min(math.atan2(y, x), math.atan2(x, y)))
            rows = [(0, 0, 0), (x, 0, -float(self.draw.uniform(0.2, 0.8)) * most), (0, y, 0)]
            self.space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs=layer)

    def cleat(self) -> None:
        """A small part sawn from a board."""
        self.lines.append("\n[[part]]")
        self.say("name", '"cleat"')
        self.say("thickness", self.t(self.solid))
        self.say("material", '"fir"')
        self.say("from", '"board"')
        self.hands()
        self.shape(int(self.draw.choice([0, 1, 2])), "cleat", self.size(100, 400),
                   self.unit.near(0.6 * self.board_width), has_holes=True)  # fmt: skip

    def rail(self, name: str) -> None:
        self.lines.append("\n[[rail]]")
        self.say("name", f'"{name}"')
        self.say("material", '"fir"')
        width = self.unit.near(float(self.one(20.0, 30.0, 45.0)))  # type: ignore[arg-type]
        self.say("section", f"[{self.t(self.solid)}, {self.t(width)}]")
        length = self.size(300, 4200)
        self.say("length", self.t(length))
        few = 2 if self.chance(0.3) and self.room > 2 else 1
        if self.is_pair(str(self.one("none", "pair")), few):
            self.say("hand", '"pair"')
        if few > 1:
            self.say("count", "2")
        if self.chance(0.3):
            self.say("allowance", self.t(20.0))
        if length < 0.8 * self.longest and self.chance(0.6):
            self.say("joints", '"none"')
            return
        words = []
        if self.chance(0.5):
            words.append(f'slope = "{self.one("8:1", "10:1", "12:1")}"')
        if self.chance(0.15):
            words.append('kind = "half lap"')
        if length > 1500 and self.chance(0.4):
            ways = [0.5] if length < 3000 else [0.33, 0.67]
            words.append("at = [" + ", ".join(self.t(w * length) for w in ways) + "]")
        elif self.chance(0.5):
            at = self.size(0.2 * length, 0.8 * length)
            words.append(f"keep_clear = [{{ at = {self.t(at)}, within = {self.t(60)} }}]")
        else:
            words.append('keep_clear = "none"')
        if self.chance(0.2):
            words.append(f"least_piece = {self.t(400)}")
        self.say("joint", "{ " + ", ".join(words) + " }")
