"""Keys of outlines by numbers, one table a kind."""

from nestcut.jobfile.schema.records import Key, TableSchema, What, may, need, sub
from nestcut.shapes.build import ShapeKind
from nestcut.shapes.fair.fairing import Manner
from nestcut.shapes.figures.cutouts import HoleForm
from nestcut.shapes.figures.notches import BoxSide
from nestcut.shapes.figures.outline import Treatment
from nestcut.shapes.hull.band import Lay, Rise
from nestcut.shapes.known import OffsetForm
from nestcut.shapes.read.cutouts import Planks

_COMMON = (
    need("kind", What.CHOICE, "Which figure it is.", '"rectangle"', ShapeKind),
    sub("notches", What.TABLES, "Notches in its edges.", "notch"),
    sub("holes", What.TABLES, "Holes in it.", "hole"),
)
_CORNERS = (
    may("radius", What.LENGTH, "Rounds all corners.", example='"1-1/2in"'),
    may("chamfer", What.LENGTH, "Cuts all corners off.", example='"3/8in"'),
    sub("corners", What.TABLES, "Treats single corners.", "corner"),
)
_MARKS = (
    may(
        "mark_at",
        What.PLACES,
        "Stations marked across it; all stations of the table of offsets unless said, [] for none.",
        example='["2", "4ft"]',
    ),
    may("mark_names", What.TEXTS, "What the marks are called."),
)
_READINGS = (
    may(
        "readings",
        What.TEXT,
        "CSV or spreadsheet file beside the job file whose first row names these columns by their keys.",
        example='"side.csv"',
    ),
    may(
        "written",
        What.CHOICE,
        "Notation of bare figures here; 2-3-4 is always feet-inches-eighths.",
        "lengths",
        choices=OffsetForm,
    ),
)


def _kind(
    kind: ShapeKind, says: str, *keys: Key, gone: dict[str, str] | None = None
) -> TableSchema:
    return TableSchema(
        f"shape:{kind}", f'[part.shape] kind = "{kind}"', says, (*_COMMON, *keys), gone or {}
    )


_PANEL = (
    *_READINGS,
    may("stations", What.LENGTHS, "Distances along the base line, rising."),
    may("upper", What.LENGTHS, "Offsets of the upper edge; below the base line they are negative."),
    may(
        "lower", What.LENGTHS, "Offsets of the lower edge; without them the base line is the edge."
    ),
    may("upper_stations", What.LENGTHS, "Where the upper edge has stations of its own."),
    may("lower_stations", What.LENGTHS, "Where the lower edge has."),
    may("upper_knuckles", What.LENGTHS, "Stations where the upper edge turns sharply."),
    may("lower_knuckles", What.LENGTHS, "Stations where the lower edge turns sharply."),
    may("curve", What.CHOICE, "How edges run between stations.", "batten", choices=Manner),
    *_MARKS,
)
_LIMBERS = (
    may("limber_at", What.LENGTHS, "Heights of corners that get a limber hole."),
    may("limber_diameter", What.LENGTH, "Its diameter.", "0 mm", '"1-1/2in"'),
    may(
        "keel_limber_diameter",
        What.LENGTH,
        "Diameter of the limber hole at the centre line.",
        "0 mm",
    ),
    may("camber", What.LENGTH, "Rise of the top edge at the centre line.", "0 mm", '"1-1/2in"'),
)
_BY_DIAMETER = {
    "limber": "limber holes are given by diameter: write limber_diameter = twice the radius",
    "keel_limber": "limber holes are given by diameter: write keel_limber_diameter = twice the radius",
}
SECTION = (
    need("lines", What.TEXTS, "Lines it passes, from the keel up.", '["chine", "sheer"]'),
    may("curve", What.CHOICE, "How its side runs from line to line.", "straight", choices=Manner),
    may(
        "planking",
        What.LENGTHS,
        "Thickness taken off, where it isn't that of [offsets]: one for all, or one for each strake from the centre line out.",
    ),
    may("camber", What.LENGTH, "Rise of the top edge at the centre line.", "0 mm"),
    may(
        "width",
        What.LENGTHS,
        "Width of a ring frame along bottom and sides: one for all, or one for each strake from the centre line out (floor, then sides); without it it is a bulkhead.",
        example='["4in", "3in"]',
    ),
    may(
        "beam",
        What.LENGTH,
        "Depth of a ring frame's beam across the top, under its camber; without it the frame is open on top.",
    ),
    may(
        "limber_at",
        What.TEXTS,
        "Lines at whose corners it gets a limber hole.",
        example='["chine"]',
    ),
    may("limber_diameter", What.LENGTH, "Its diameter.", "0 mm"),
    may(
        "keel_limber_diameter",
        What.LENGTH,
        "Diameter of the limber hole at the centre line.",
        "0 mm",
    ),
)

TABLES = (
    _kind(
        ShapeKind.RECTANGLE,
        "Length and width.",
        need("length", What.LENGTH, "Along x."),
        need("width", What.LENGTH, "Along y."),
        *_CORNERS,
    ),
    _kind(
        ShapeKind.TRAPEZOID,
        "Two parallel sides.",
        need("bottom", What.LENGTH, "Lower side."),
        need("top", What.LENGTH, "Upper side."),
        need("height", What.LENGTH, "Between them."),
        may("shift", What.SIGNED, "Of the top's left end; centred unless said."),
        *_CORNERS,
    ),
    _kind(
        ShapeKind.TAPER,
        "A board that narrows.",
        need("length", What.LENGTH, "Along x."),
        need("start", What.LENGTH, "Width at the start."),
        need("end", What.LENGTH, "Width at the end."),
        *_CORNERS,
    ),
    _kind(
        ShapeKind.POLYGON,
        "Straight from point to point.",
        need("points", What.POINTS, "Corners in order, anticlockwise."),
        *_CORNERS,
    ),
    _kind(ShapeKind.CIRCLE, "A disc.", need("diameter", What.LENGTH, "Across it.")),
    _kind(
        ShapeKind.ELLIPSE,
        "An ellipse.",
        need("length", What.LENGTH, "Along x."),
        need("width", What.LENGTH, "Along y."),
    ),
    _kind(
        ShapeKind.BULKHEAD,
        "A section by half-breadths at heights, mirrored about its centre line.",
        *_READINGS,
        need("heights", What.LENGTHS, "From the bottom up."),
        need("half_breadths", What.LENGTHS, "At these heights."),
        may("knuckles", What.LENGTHS, "Heights where the edge turns sharply."),
        may("curve", What.CHOICE, "How the edge runs between heights.", "straight", choices=Manner),
        may("keel_height", What.LENGTH, "Of a V bottom, at the centre line."),
        *_LIMBERS,
        gone=_BY_DIAMETER,
    ),
    _kind(ShapeKind.PANEL, "Two edges over a base line.", *_PANEL),
    _kind(
        ShapeKind.FRAME,
        "A frame or bulkhead at a station, from lines; planking is taken off as it really lies.",
        need("at", What.PLACE, "Which station.", '"3"'),
        may("rake", What.DEGREES, "Leaning aft, from upright.", "0"),
        may(
            "top",
            What.LENGTH,
            "Height at which it ends, where that is below its uppermost line: a bulkhead that carries a seat.",
            example='"1-1-0"',
        ),
        *SECTION,
    ),
    _kind(
        ShapeKind.TRANSOM,
        "The transom in its own plane, through the after ends of the lines.",
        may(
            "rake",
            What.DEGREES,
            "Leaning aft from upright; follows from the lines' ends unless said.",
        ),
        *SECTION,
    ),
    _kind(
        ShapeKind.DEVELOPED,
        "A panel between two lines laid flat, full size: starboard seen from outside, bow to the right.",
        need("lower", What.TEXT, "Name of the lower line.", '"chine"'),
        need("upper", What.TEXT, "Name of the upper line.", '"sheer"'),
        *_MARKS,
    ),
    _kind(
        ShapeKind.BOTTOM,
        "A flat or rockered bottom at its full width, mirrored about the centre line; rocker is rolled out.",
        *_READINGS,
        may("line", What.TEXT, "Line of its edge, of [offsets] or [[line]].", example='"chine"'),
        may(
            "stations", What.LENGTHS, "In place of `line`: distances along the centre line, rising."
        ),
        may("half_breadths", What.LENGTHS, "Half its width there."),
        may("heights", What.LENGTHS, "Its height there, where it is rockered."),
        may("from", What.PLACE, "Where it begins, along `line`."),
        may("to", What.PLACE, "Where it ends."),
        *_MARKS,
    ),
    _kind(
        ShapeKind.DECK,
        "A deck at its full width along a line, mirrored; sheer is rolled out, camber added.",
        need("line", What.TEXT, "Line of its edge.", '"sheer"'),
        may(
            "camber",
            What.LENGTH,
            "Rise of the deck at its widest place; one round for all of it.",
            "0 mm",
        ),
        may("from", What.PLACE, "Where it begins."),
        may("to", What.PLACE, "Where it ends."),
        *_MARKS,
    ),
    _kind(
        ShapeKind.SEAT,
        "A seat or thwart from side to side at one height, inside the planking: its upper face, the larger one where the sides flare.",
        need("height", What.LENGTH, "Of its upper face, as heights are counted.", '"1-1-0"'),
        need("from", What.PLACE, "Where it begins.", '"1-6-0"'),
        need("to", What.PLACE, "Where it ends.", '"2-4-0"'),
        need("lines", What.TEXTS, "Lines it lies between, from the keel up.", '["chine", "sheer"]'),
        may(
            "planking",
            What.LENGTHS,
            "Thickness taken off, where it isn't that of [offsets]: one for all, or one for each strake from the centre line out.",
        ),
    ),
    _kind(
        ShapeKind.CAP,
        "A band along a line: port, seen from above.",
        need("along", What.TEXT, "Name of the line.", '"sheer"'),
        need("width", What.LENGTH, "Square to the line."),
        may("lay", What.CHOICE, "On which side of the line it lies.", "inside", choices=Lay),
        may(
            "rise", What.CHOICE, "What is done about the sheer's rise.", "rolled out", choices=Rise
        ),
        may("from", What.PLACE, "Where it begins."),
        may("to", What.PLACE, "Where it ends."),
    ),
    _kind(
        ShapeKind.STRAP,
        "A strip along an edge of a part that stands before it in the file.",
        need("of", What.TEXT, "Name of the part."),
        need("edge", What.CHOICE, "Its edge.", choices=BoxSide),
        need("width", What.LENGTH, "Square to the edge."),
        may("inset", What.LENGTH, "How far it stays off the edge.", "0 mm"),
    ),
    _kind(
        ShapeKind.DOUBLER,
        "A ring round a hole of a part that stands before it in the file.",
        need("of", What.TEXT, "Name of the part."),
        may("hole", What.COUNT, "Number of the hole, from 1.", "1"),
        need("margin", What.LENGTH, "Width of the ring."),
    ),
    TableSchema(
        "corner",
        "corners = [{ ... }] of an outline",
        "One corner, numbered from 1 (lower left) as the outline runs.",
        (
            need("corner", What.COUNT, "Which."),
            need("cut", What.CHOICE, "What is done to it.", choices=Treatment),
            may("size", What.LENGTH, "Radius of a round or a bite, leg of a chamfer.", "0 mm"),
        ),
    ),
    TableSchema(
        "notch",
        "notches = [{ ... }] of an outline",
        "A notch in an edge, straight or curved, square to it where it sits; or one for a batten "
        "along a line of the hull. One that ends just where its edge does is open at that corner. "
        "All are measured before any is cut.",
        (
            may(
                "edge",
                What.CHOICE,
                "The edge that faces this side; edges that follow each other, such as the two of a V bottom, count as one. Needed unless `line` is given.",
                choices=BoxSide,
            ),
            may(
                "line",
                What.TEXT,
                "In frames and transoms, in place of `edge`: the notch for a batten let in flush along this line, to port and to starboard: an inwale at the sheer, a chine log, a keelson. `width` lies along the planking, `depth` square to it; no horn stays.",
                example='"sheer"',
            ),
            may(
                "against",
                What.CHOICE,
                "At a line: whether the batten lies against the planking above the line, as a chine log does against the side, or below it; at the uppermost line it is below.",
                "above",
                choices=Planks,
            ),
            need("width", What.LENGTH, "Along the edge."),
            may(
                "depth",
                What.LENGTH,
                "Into the part, from where its sides meet the edge; half the width unless said.",
            ),
            may("radius", What.LENGTH, "Of the corners at its bottom.", "0 mm"),
            may("at", What.LENGTH, "Its middle, from the edge's left or lower end."),
            may("from_far_end", What.LENGTH, "Its middle, from the other end."),
            may("off_middle", What.SIGNED, "Its middle, from the edge's middle.", "0 mm"),
        ),
    ),
    TableSchema(
        "hole",
        "holes = [{ ... }] of an outline",
        "A hole, placed from edges, from the middle, or by its centre.",
        (
            may("form", What.CHOICE, "What it looks like.", "round", choices=HoleForm),
            may("diameter", What.LENGTH, "Of a round one."),
            may("length", What.LENGTH, "Of the others, along x."),
            may("width", What.LENGTH, "Of the others, along y."),
            may("radius", What.LENGTH, "Of a rectangle's corners.", "0 mm"),
            may("turn", What.DEGREES, "Turned, anticlockwise.", "0"),
            may(
                "centre",
                What.POINT,
                "Its centre in the part's own frame; in frames and transoms x is counted from the centre line, y as heights are.",
            ),
            may("from_left", What.LENGTH, "Its centre, from the left."),
            may("from_right", What.LENGTH, "From the right."),
            may("from_bottom", What.LENGTH, "From below."),
            may("from_top", What.LENGTH, "From above."),
            may("off_centre", What.SIGNED, "From the middle, along x.", "0 mm"),
            may("off_middle", What.SIGNED, "From the middle, along y.", "0 mm"),
        ),
    ),
)
