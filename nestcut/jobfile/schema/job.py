"""Keys of the job itself: names and units, saws, drawings, marking out."""

from nestcut.jobfile.choices import DoubtfulHoles, Halves
from nestcut.jobfile.schema.records import TableSchema, What, may, need, sub
from nestcut.model.job import Notation
from nestcut.units import LengthStyle, Unit

TABLES = (
    TableSchema(
        "",
        "top of the file",
        "A job file is TOML. `[name]` begins a table that stands once, `[[name]]` one of several.",
        (
            sub("job", What.TABLE, "Name, units, money.", "job"),
            sub("saw", What.TABLES, "What the blade eats; the first saw is the usual one.", "saw"),
            sub("drawings", What.TABLE, "How drawings are read.", "drawings"),
            sub("drawing", What.TABLES, "How one drawing is read, if otherwise.", "drawing"),
            sub("marking", What.TABLE, "How marking-out figures are written.", "marking"),
            sub("sheet", What.TABLES, "Sheets of one kind, to buy or to hand.", "sheet"),
            sub("board", What.TABLES, "Boards of one section.", "board"),
            sub("supplier", What.TABLES, "A yard that asks for bringing an order.", "supplier"),
            sub("offsets", What.TABLE, "A table of offsets as printed in the plans.", "offsets"),
            sub("line", What.TABLES, "A single line in space.", "line"),
            sub("part", What.TABLES, "A flat part.", "part"),
            sub("rail", What.TABLES, "A straight part ripped from a board.", "rail"),
            sub("tapered_box", What.TABLES, "A box with sloping walls.", "tapered_box"),
            sub("frames", What.TABLES, "Frames at several stations.", "frames"),
            sub("slats", What.TABLES, "Slats over a part's outline.", "slats"),
            sub("cleats", What.TABLES, "A cleat along a part's edge.", "cleats"),
            sub("fillets", What.TABLES, "A three-sided blank along a part's edge.", "fillets"),
        ),
    ),
    TableSchema(
        "job",
        "[job]",
        "What holds for the whole job.",
        (
            may(
                "name",
                What.TEXT,
                "Title of all papers; the folder's name unless said.",
                example='"skiff"',
            ),
            may(
                "unit",
                What.CHOICE,
                "Unit of bare numbers. Without it every length names its unit.",
                example='"mm"',
                choices=Unit,
            ),
            may(
                "show",
                What.CHOICE,
                "How papers and messages say lengths; follows `unit` unless said.",
                example='"inch"',
                choices=LengthStyle,
            ),
            may(
                "fraction",
                What.COUNT,
                "Finest fraction of an inch that lengths are printed in: 2, 4, 8, 16, 32 or 64. Sizes below "
                "an inch and drills are printed to what gauges and drills come in.",
                "16",
            ),
            may("currency", What.TEXT, "Written after prices.", "", '"EUR"'),
            may(
                "thickness",
                What.LENGTH,
                "Thickness of every part and sheet that names none.",
                example='"6 mm"',
            ),
        ),
    ),
    TableSchema(
        "saw",
        "[saw] or [[saw]]",
        "One saw, or several by name. Pieces keep kerf + gap apart. Where several are named, a sheet, "
        'board, part or rail may say `saw = "name"`; else it is the first one.',
        (
            may("name", What.TEXT, "How stock and parts call it.", "", '"jigsaw"'),
            need("kerf", What.LENGTH, "Width of the cut: measure a test cut.", '"2 mm"'),
            may(
                "gap",
                What.LENGTH,
                "Extra room between pieces, on top of the kerf.",
                "0 mm",
                '"1 mm"',
            ),
            may(
                "reserve",
                What.LENGTHS,
                "Length and width of a rectangle to keep free for remaking a part, in each kind of "
                "sheets that is cut from: a KEEP holds it. No sheet is bought for it alone; where "
                "it finds no place you are told.",
                example='["600 mm", "400 mm"]',
            ),
        ),
    ),
    TableSchema(
        "drawings",
        "[drawings]",
        "How DXF drawings are read.",
        (
            may("folder", What.TEXT, "Where they are, seen from the job file.", "", '"drawings"'),
            may(
                "unit",
                What.CHOICE,
                "In which unit they are drawn, where they don't say or say wrongly.",
                choices=Unit,
            ),
            may(
                "join_gap", What.LENGTH, "Ends of lines nearer than this belong together.", "0.1 mm"
            ),
            may("flatness", What.LENGTH, "How near curves are followed.", "0.05 mm"),
        ),
    ),
    TableSchema(
        "drawing",
        "[[drawing]]",
        "How one drawing is read, where it differs from [drawings].",
        (
            need("file", What.TEXT, "Which drawing, as its parts name it.", '"boat.dxf"'),
            may("unit", What.CHOICE, "In which unit it is drawn, whatever it says.", choices=Unit),
            may(
                "join_gap",
                What.LENGTH,
                "Ends of lines nearer than this belong together, in this drawing.",
                example='"0.5 mm"',
            ),
            may(
                "doubtful_holes",
                What.CHOICE,
                "`cut`: closed lines inside parts that may be no holes are holes; `leave`: they are "
                "only drawn on the part. A part may say otherwise.",
                choices=DoubtfulHoles,
            ),
            may(
                "drawn_half",
                What.CHOICE,
                "`mirror`: what looks like half a part, up to a centre line, is mirrored; `no`: it is "
                "taken as drawn. A part may say otherwise.",
                choices=Halves,
            ),
            may(
                "no_parts",
                What.TEXTS,
                "Outlines of it that are no parts, by their numbers in the picture and of how many: "
                "they aren't asked about.",
                example='["10 of 12"]',
            ),
            sub(
                "layers",
                What.TABLES,
                "Layers of it that are read otherwise.",
                "drawing layer",
                '[{ name = "hull", join_gap = "1 mm" }]',
            ),
        ),
    ),
    TableSchema(
        "drawing layer",
        "layers = [{ ... }] of a [[drawing]]",
        "One layer of a drawing.",
        (
            need("name", What.TEXT, "Its name in the drawing.", '"hull"'),
            need(
                "join_gap",
                What.LENGTH,
                "Ends of lines nearer than this belong together, on this layer.",
                '"1 mm"',
            ),
        ),
    ),
    TableSchema(
        "marking",
        "[marking]",
        "Figures to mark out from, where they differ from how lengths are shown.",
        (
            may("written", What.CHOICE, "Notation of the figures.", choices=Notation),
            may("stations", What.LENGTH, "Distance between squared lines.", example='"6in"'),
            may(
                "within",
                What.LENGTH,
                "How far a line drawn from the figures may be from the true edge.",
                example='"1 mm"',
            ),
        ),
    ),
)
