"""Keys of tables of offsets, lines, and entries that give several parts."""

from nestcut.jobfile.choices import RailJoints
from nestcut.jobfile.schema.records import TableSchema, What, may, need, sub
from nestcut.jobfile.schema.shapes import SECTION
from nestcut.model.part import Grain, Hand, Hands
from nestcut.shapes.boxes.bevels import CornerJoint
from nestcut.shapes.boxes.box import Laps, Level, Measured
from nestcut.shapes.figures.notches import BoxSide
from nestcut.shapes.figures.slats import Edges, Ends, Middle
from nestcut.shapes.known import OffsetForm
from nestcut.shapes.read.box import Bottom
from nestcut.shapes.read.box_fittings import Rims
from nestcut.shapes.table.offsets import Counted, Facing

_RAIL = (
    may("material", What.TEXT, "Needed only where several boards are as thick.", ""),
    may("hand", What.CHOICE, "As of a [[rail]].", "none", choices=Hands),
    may("joints", What.CHOICE, "Whether long ones may be scarfed.", "none", choices=RailJoints),
)
_ALONG_EDGE = (
    need("name", What.TEXT, "What it is called."),
    need("of", What.TEXT, "Name of the part."),
    need("edge", What.CHOICE, "Its edge.", choices=BoxSide),
    may("short", What.LENGTH, "Kept clear at both ends.", "0 mm"),
    may("count", What.COUNT, "How many.", "1"),
    may("note", What.TEXT, "Printed with it.", ""),
    *_RAIL,
)

TABLES = (
    TableSchema(
        "offsets",
        "[offsets]",
        "The plans' table of offsets, typed or pasted as it is printed: stations across, lines down. "
        "A row `station` names the stations, a row `at` gives their distances from the bow or the "
        "stern; a row `heights`, `half-breadths` or `distances` alone begins that block. Cells stand "
        "apart by |, tab, semicolon or two blanks; - or nothing: no reading. A line without "
        "half-breadths lies in the centre plane; one without heights is refused. "
        "Rows `sheer port` and `sheer starboard` give both sides of one line, `sheer`: where they don't "
        "agree, both are named. `distances` give "
        "a line's ends where they lie off the station, as at a raked transom.",
        (
            may("table", What.GRID, "The table.", example="'''...'''"),
            may(
                "file",
                What.TEXT,
                "In place of `table`: a CSV, spreadsheet (.xlsx) or text file beside the job file.",
                example='"offsets.xlsx"',
            ),
            may(
                "written",
                What.CHOICE,
                "How its figures are written.",
                "lengths",
                choices=OffsetForm,
            ),
            may(
                "measured_from",
                What.CHOICE,
                "From which end distances are.",
                "bow",
                choices=Counted,
            ),
            may(
                "spacing", What.LENGTH, "Distance of the stations, where the table has no row `at`."
            ),
            may(
                "to",
                What.CHOICE,
                "To which face of the planking offsets are measured; asked once a frame is wanted.",
                choices=Facing,
            ),
            may(
                "planking",
                What.LENGTHS,
                "Its thickness: one for all, or one for each strake from the centre line out.",
                example='["3/8in", "1/4in"]',
            ),
            may(
                "knuckles",
                What.TEXTS,
                "Lines that may turn sharply, and where.",
                example='["chine 3"]',
            ),
        ),
    ),
    TableSchema(
        "line",
        "[[line]]",
        "A line in space, stations from aft forward.",
        (
            need("name", What.TEXT, "How parts call it.", '"sheer"'),
            may("readings", What.TEXT, "CSV or spreadsheet file whose columns are the keys below."),
            may(
                "written",
                What.CHOICE,
                "Notation of bare figures here; 2-3-4 is always feet-inches-eighths.",
                "lengths",
                choices=OffsetForm,
            ),
            need("stations", What.LENGTHS, "Distances along the boat, rising."),
            may("half_breadths", What.LENGTHS, "None for a line in the centre plane."),
            need("heights", What.LENGTHS, "Above the base line."),
            may("knuckles", What.LENGTHS, "Stations where it turns sharply."),
        ),
    ),
    TableSchema(
        "tapered_box",
        "[[tapered_box]]",
        "Seat boxes, lockers, wells. Walls of a port and a starboard box are inboard and outboard.",
        (
            need("name", What.TEXT, "What it is called."),
            need("length", What.LENGTH, "Fore and aft."),
            need("width", What.LENGTH, "Across."),
            need("height", What.LENGTH, "Upright."),
            need("thickness", What.LENGTH, "Of its walls."),
            may("material", What.TEXT, "Of its walls.", ""),
            may(
                "measured",
                What.CHOICE,
                "Between which faces length and width are.",
                "outside",
                choices=Measured,
            ),
            may("at", What.CHOICE, "At which level they are.", "top", choices=Level),
            sub(
                "slopes",
                What.TABLE,
                "How far walls lean outward, going up.",
                "slopes",
                "{ fore = 10, inboard = 15 }",
            ),
            may("corners", What.CHOICE, "How walls meet.", "butt", choices=CornerJoint),
            may(
                "through",
                What.CHOICE,
                "Which walls run through at butted corners.",
                "sides",
                choices=Laps,
            ),
            may("bottom", What.CHOICE, "Whether it has one, and where.", "none", choices=Bottom),
            sub("lid", What.TABLE, "Its lid.", "lid"),
            sub("cleats", What.TABLE, "Cleats round its inside.", "box_cleats"),
            may("foam", What.NUMBER, "Density of foam in it, kg/m3: what it would bear is told."),
            may("hand", What.CHOICE, "As of a [[part]].", "none", choices=Hands),
            may("drawn", What.CHOICE, "Which hand the figures describe.", "port", choices=Hand),
            may("count", What.COUNT, "How many, or how many pairs.", "1"),
        ),
    ),
    TableSchema(
        "slopes",
        "slopes = { ... } of a [[tapered_box]]",
        "Degrees from upright, leaning outward going up; negative inward.",
        (
            may("fore", What.DEGREES, "Fore wall.", "0"),
            may("aft", What.DEGREES, "Aft wall.", "0"),
            may("port", What.DEGREES, "Port wall of a box that stands in the middle.", "0"),
            may("starboard", What.DEGREES, "Starboard wall of such a box.", "0"),
            may("inboard", What.DEGREES, "Inboard wall of a box to one side.", "0"),
            may("outboard", What.DEGREES, "Outboard wall of such a box.", "0"),
        ),
    ),
    TableSchema(
        "lid",
        "lid = { ... } of a [[tapered_box]]",
        "A lid over the walls.",
        (
            may("overhang", What.LENGTH, "Beyond the walls.", "0 mm"),
            may("radius", What.LENGTH, "Of its corners.", "0 mm"),
            may("thickness", What.LENGTH, "The walls' unless said."),
            may("material", What.TEXT, "The walls' unless said."),
            may(
                "grain",
                What.CHOICE,
                "How its face grain runs: `along` is fore and aft, `across` athwart; along its longer side unless said.",
                choices=Grain,
            ),
            may(
                "frame",
                What.LENGTH,
                "Width of a frame under it that drops between the walls.",
                "0 mm",
            ),
            may("clearance", What.LENGTH, "Play of that frame.", "2 mm"),
        ),
    ),
    TableSchema(
        "box_cleats",
        "cleats = { ... } of a [[tapered_box]]",
        "Cleats round the inside.",
        (
            need("section", What.LENGTHS, "Thickness and width."),
            may("material", What.TEXT, "Needed only where several boards are as thick.", ""),
            may("at", What.CHOICE, "Along which rim they lie.", "top", choices=Rims),
            may("below", What.LENGTH, "How far those at the top lie below it.", "0 mm"),
        ),
    ),
    TableSchema(
        "frames",
        "[[frames]]",
        'Frames or bulkheads at several stations, each a part of its own; `kind = "frame"` of a [[part]] gives a single one, with rake and joints.',
        (
            need("name", What.TEXT, "What they are called, before the station's name.", '"frame"'),
            need("at", What.PLACES, "Their stations.", '["1", "2", "3"]'),
            may(
                "thickness", What.LENGTH, "Unless `[job]` says it for all parts.", example='"3/4in"'
            ),
            may("material", What.TEXT, "Needed only where several materials are as thick.", ""),
            may("allowance", What.LENGTH, "Left all round.", "0 mm"),
            may("note", What.TEXT, "Printed with them.", ""),
            sub("notches", What.TABLES, "Notches in the edges of each.", "notch"),
            sub("holes", What.TABLES, "Holes in each.", "hole"),
            *SECTION,
        ),
    ),
    TableSchema(
        "slats",
        "[[slats]]",
        "Slats side by side over an outline, divided evenly unless said.",
        (
            need("name", What.TEXT, "What they are called."),
            may("over", What.TEXT, "Name of the part they lie over; or `shape`."),
            sub(
                "shape",
                What.TABLE,
                "In place of `over`: an outline that only carries slats and isn't cut itself, as of a [[part]].",
                "shape",
                '{ kind = "trapezoid", bottom = "3-2-0", top = "2-10-0", height = "2-4-0" }',
            ),
            need("section", What.LENGTHS, "Thickness and width."),
            may("gap", What.LENGTH, "Between two.", "0 mm"),
            may("direction", What.DEGREES, "From the part's x axis, anticlockwise.", "0"),
            may(
                "middle",
                What.CHOICE,
                "What lies on the line they are set out from; `even` leaves as much at both edges.",
                "even",
                choices=Middle,
            ),
            may("through", What.SIGNED, "Where that line is, across their direction.", "0 mm"),
            may("clearance", What.LENGTH, "Kept from the outline and its holes.", "0 mm"),
            may("ends", What.CHOICE, "How they end.", "along outline", choices=Ends),
            may(
                "edges",
                What.CHOICE,
                "Slats along which the outline's side runs, at a slant: not laid, or cut whole and `trimmed` to the outline in place.",
                "left out",
                choices=Edges,
            ),
            may("least", What.LENGTH, "Shorter ones are left out.", "0 mm"),
            *_RAIL,
        ),
    ),
    TableSchema(
        "cleats",
        "[[cleats]]",
        "A cleat along a part's edge.",
        (*_ALONG_EDGE, need("section", What.LENGTHS, "Thickness and width.")),
    ),
    TableSchema(
        "fillets",
        "[[fillets]]",
        "A three-sided blank along a part's edge that holds a cove.",
        (
            *_ALONG_EDGE,
            need("radius", What.LENGTH, "Of the cove."),
            may("corner", What.DEGREES, "Angle of the corner it fills.", "90"),
        ),
    ),
)
