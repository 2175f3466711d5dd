"""A job file as this checker understands it: what is wanted, what there is to cut it from."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import shapely
from shapely.geometry import Polygon

from tests.second.drawing import Read, read_whole
from tests.second.lengths import length_mm, minor, slope
from tests.second.shapes import NotUnderstoodError, shape_of

Table = dict[str, Any]
HANDS = {"none": ("",), "pair": ("port", "starboard"), "port": ("port",),
         "starboard": ("starboard",)}  # fmt: skip


@dataclass(frozen=True)
class Saw:
    kerf_mm: float
    gap_mm: float


@dataclass(frozen=True)
class Zone:
    """A stretch where no overlap may reach. [mm]"""

    from_mm: float
    to_mm: float


@dataclass(frozen=True)
class JointAsked:
    """How a part may be joined; ``at_mm`` None: wherever it suits."""

    kind: str
    slope: float
    at_mm: tuple[float, ...] | None
    along: str | None
    zones: tuple[Zone, ...]
    least_mm: float
    most: int | None
    strap_thicknesses: float
    strap_face: str
    strap_margin_mm: float
    key_clearance_mm: float
    lap: str

    def overlap_mm(self, thickness_mm: float) -> float:
        """Scarfs and half laps reach slope times thickness over each other; others only meet."""
        return self.slope * thickness_mm if self.kind in {"scarf", "half lap"} else 0.0


@dataclass(frozen=True)
class Stock:
    """Sheets of one kind, or boards of one section and length."""

    name: str
    kind: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    price_minor: int
    count: int | None
    saw: Saw
    edge_trim_mm: float = 0.0
    end_trim_mm: float = 0.0
    grain: str = "along"
    is_good_both: bool = False
    outline: tuple[tuple[float, float], ...] = ()
    barred: tuple[Polygon, ...] = ()
    defects: tuple[Zone, ...] = ()

    @property
    def size_mm(self) -> tuple[float, float]:
        """Length and width. [mm]"""
        return self.length_mm, self.width_mm


@dataclass(frozen=True)
class FlatPart:
    name: str
    material: str | None
    thickness_mm: float
    count: int
    hand: str
    drawn: str
    grain: str
    turn: str
    small_deg: float
    faces: str
    holes: str
    allowance_mm: float
    source: str
    joint: JointAsked | None
    shape: Polygon | None
    """The true outline with its holes; None: this checker can't work it out."""
    is_smooth: bool
    """Whether it has curves that are neither straight nor round."""


@dataclass(frozen=True)
class RailAsked:
    name: str
    material: str | None
    thickness_mm: float
    width_mm: float
    length_mm: float | None
    count: int
    hand: str
    allowance_mm: float
    joint: JointAsked | None


@dataclass(frozen=True)
class JobAsked:
    saw: Saw
    stocks: tuple[Stock, ...]
    parts: tuple[FlatPart, ...]
    rails: tuple[RailAsked, ...]
    not_understood: tuple[str, ...] = field(default=())


class _Reader:
    """Reads tables in the unit of their job."""

    def __init__(self, path: Path, read: Read) -> None:
        self.path, self.read = path, read
        self.table = tomllib.loads(path.read_text(encoding="utf-8"))
        self.head: Table = self.table.get("job", {})
        self.unit: str | None = self.head.get("unit")
        self.not_understood: list[str] = []
        saws = self.table.get("saw", [{"kerf": 0}])
        saws = saws if isinstance(saws, list) else [saws]
        self.saws = {s.get("name", ""): self.saw(s) for s in saws}
        self.first_saw = next(iter(self.saws.values()))

    def mm(self, value: object) -> float:
        return length_mm(value, self.unit)

    def saw(self, table: Table) -> Saw:
        return Saw(self.mm(table["kerf"]), self.mm(table.get("gap", 0)))

    def point(self, value: list[object]) -> tuple[float, float]:
        return self.mm(value[0]), self.mm(value[1])

    def sheet(self, t: Table) -> Stock:
        if t.get("joined", 1) != 1:
            self.not_understood.append(f"{t['name']}: joined sheets")
        barred = []
        for k in t.get("keep_out", []):
            if "points" in k:
                barred.append(Polygon([self.point(p) for p in k["points"]]))
            else:
                (ax, ay), (bx, by) = self.point(k["from"]), self.point(k["to"])
                barred.append(shapely.box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)))
        count = t.get("count", "buy")
        return Stock(
            name=t["name"],
            kind="sheet",
            material=t.get("material", "ply"),
            thickness_mm=self.mm(t["thickness"]),
            length_mm=self.mm(t["length"]),
            width_mm=self.mm(t["width"]),
            price_minor=minor(t.get("price", 0)),
            count=None if count == "buy" else int(count),
            saw=self.saws[t["saw"]] if "saw" in t else self.first_saw,
            edge_trim_mm=self.mm(t.get("trim", 0)),
            grain=t.get("grain", "along"),
            is_good_both=t.get("good_faces") == "both",
            outline=tuple(self.point(p) for p in t.get("outline", [])),
            barred=tuple(barred),
        )

    def boards(self, t: Table) -> list[Stock]:
        found = []
        for length in t.get("lengths", []):
            count = length.get("count", "buy")
            width = self.mm(t["width"])
            zones = tuple(
                Zone(self.mm(d["from"]), self.mm(d["to"])) for d in length.get("defects", [])
            )
            found.append(
                Stock(
                    name=t["name"],
                    kind="board",
                    material=t["material"],
                    thickness_mm=self.mm(t["thickness"]),
                    length_mm=self.mm(length["length"]),
                    width_mm=width,
                    price_minor=minor(length.get("price", 0)),
                    count=None if count == "buy" else int(count),
                    saw=self.saws[t["saw"]] if "saw" in t else self.first_saw,
                    edge_trim_mm=self.mm(t.get("edge_trim", 0)),
                    end_trim_mm=self.mm(t.get("end_trim", 0)),
                    barred=tuple(shapely.box(z.from_mm, 0.0, z.to_mm, width) for z in zones),
                    defects=zones,
                )
            )
        return found

    def joint(self, t: Table | None, *, is_solid: bool) -> JointAsked | None:
        if t is None:
            return None
        zones = []
        clear = t.get("keep_clear", [])
        for z in [] if clear == "none" else clear:
            if "at" in z:
                middle, half = self.mm(z["at"]), self.mm(z.get("within", "50 mm"))
                zones.append(Zone(middle - half, middle + half))
            else:
                zones.append(Zone(self.mm(z["from"]), self.mm(z["to"])))
        at = t.get("at")
        return JointAsked(
            kind=t.get("kind", "scarf"),
            slope=slope(t.get("slope", "12:1" if is_solid else "8:1")),
            at_mm=None if at is None else tuple(sorted(self.mm(a) for a in at)),
            along=t.get("along", "length" if at is not None else None),
            zones=tuple(zones),
            least_mm=self.mm(t.get("least_piece", 0)),
            most=t.get("most_joints"),
            strap_thicknesses=float(t.get("strap_width", 16)),
            strap_face=t.get("strap_face", "back"),
            strap_margin_mm=self.mm(t.get("strap_margin", "10 mm")),
            key_clearance_mm=self.mm(t.get("key_clearance", "0.1 mm")),
            lap=t.get("lap", "either"),
        )

    def part(self, t: Table) -> FlatPart:
        source = t.get("from", "sheet")
        joint = self.joint(t.get("joint"), is_solid=source == "board")
        shape, is_smooth = None, False
        try:
            shape, is_smooth = shape_of(t, self.table, self.path.parent, self.mm, self.read)
        except NotUnderstoodError as error:
            self.not_understood.append(f"{t['name']}: {error}")
        return FlatPart(
            name=t["name"],
            material=t.get("material"),
            thickness_mm=self.mm(t.get("thickness", self.head.get("thickness"))),
            count=t.get("count", 1),
            hand=t.get("hand", "none"),
            drawn=t.get("drawn", "port"),
            grain=t.get("grain", "along"),
            turn=t.get("turn", "half"),
            small_deg=float(t.get("small_angle", 5)),
            faces=t.get("faces", "good up"),
            holes=t.get("holes", "keep"),
            allowance_mm=self.mm(t.get("allowance", 0)),
            source=source,
            joint=joint,
            shape=shape,
            is_smooth=is_smooth,
        )

    def rail(self, t: Table) -> RailAsked:
        may = t.get("joints", "allowed") == "allowed"
        length = self.mm(t["length"]) if "length" in t else None
        if length is None or t.get("end_angles", [90, 90]) != [90, 90]:
            self.not_understood.append(f"{t['name']}: its length follows a line, or angled ends")
            length = None
        return RailAsked(
            name=t["name"],
            material=t.get("material"),
            thickness_mm=self.mm(t["section"][0]),
            width_mm=self.mm(t["section"][1]),
            length_mm=length,
            count=t.get("count", 1),
            hand=t.get("hand", "none"),
            allowance_mm=self.mm(t.get("allowance", 0)),
            joint=self.joint(t.get("joint", {}), is_solid=True) if may else None,
        )


def read_job(path: Path, read: Read = read_whole) -> JobAsked:
    """Read a job file and the drawings it names."""
    reader = _Reader(path, read)
    table = reader.table
    for word in ("offsets", "tapered_box", "frames", "slats", "cleats", "fillets"):
        if word in table:
            reader.not_understood.append(f"[{word}]")
    stocks = [reader.sheet(t) for t in table.get("sheet", [])]
    stocks += [s for t in table.get("board", []) for s in reader.boards(t)]
    return JobAsked(
        saw=reader.first_saw,
        stocks=tuple(stocks),
        parts=tuple(reader.part(t) for t in table.get("part", [])),
        rails=tuple(reader.rail(t) for t in table.get("rail", [])),
        not_understood=tuple(reader.not_understood),
    )
