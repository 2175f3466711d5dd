"""Keys of what the yard sells and what lies in the shed."""

from nestcut.jobfile.schema.records import TableSchema, What, may, need, sub
from nestcut.model.stock import GoodFaces, SheetGrain

TABLES = (
    TableSchema(
        "sheet",
        "[[sheet]]",
        "Sheets of one kind.",
        (
            need("name", What.TEXT, "What you call it.", '"6 mm ply"', into="name"),
            may(
                "material",
                What.TEXT,
                "What it is; parts may ask for it.",
                "ply",
                '"larch ply"',
                into="material",
            ),
            need("thickness", What.LENGTH, "As parts name it.", '"1/4in"'),
            need(
                "length",
                What.LENGTH,
                "Along the face grain (smallest measured). A sheet written shorter than wide is asked about.",
                '"8ft"',
                into="length_mm",
            ),
            need("width", What.LENGTH, "Across the face grain.", '"4ft"', into="width_mm"),
            may(
                "grain",
                What.CHOICE,
                "Which way the face grain runs on the sheet as written.",
                "along",
                choices=SheetGrain,
                into="grain",
            ),
            may(
                "price",
                What.PRICE,
                "Price each; not counted for what is to hand.",
                example="41.00",
                into="price_minor",
            ),
            may("count", What.MIXED, 'How many are to hand, or "buy".', "buy", "2"),
            may("supplier", What.TEXT, "Who sells it.", "", '"timber yard"', into="supplier"),
            may(
                "pack",
                What.COUNT,
                "It is sold in packs of so many; the price is each.",
                "1",
                "5",
                into="pack",
            ),
            may(
                "most", What.COUNT, "No more than so many can be bought.", example="3", into="most"
            ),
            may(
                "spare",
                What.MIXED,
                "Bought beyond what is cut: so many, or a share of what is bought.",
                "0",
                '"10 %"',
            ),
            may(
                "measured_thickness",
                What.LENGTH,
                "Where a caliper says otherwise: slots and bevels follow it.",
                example='"5.6 mm"',
                into="actual_thickness_mm",
            ),
            may(
                "trim",
                What.LENGTH,
                "Strip along all edges that isn't used.",
                "0 mm",
                '"5 mm"',
                into="edge_trim_mm",
            ),
            may(
                "good_faces",
                What.CHOICE,
                "How many faces may be seen in the boat.",
                "one",
                choices=GoodFaces,
                into="good_faces",
            ),
            may("saw", What.TEXT, "Name of the saw that it is cut with.", "", '"jigsaw"'),
            may(
                "outline",
                What.POINTS,
                "Real corners of an offcut, from the marking-out corner, in order.",
                example='[["0in", "0in"], ["40in", "0in"], ["30in", "24in"], ["0in", "24in"]]',
                into="outline",
            ),
            sub("keep_out", What.TABLES, "Knots, stains, holes: nothing is cut there.", "keep_out"),
            may(
                "joined",
                What.COUNT,
                "So many sheets are scarfed end to end before marking out.",
                "1",
            ),
            may("joined_slope", What.SLOPE, "Slope of these scarfs.", "8:1"),
        ),
    ),
    TableSchema(
        "keep_out",
        "keep_out = [{ ... }] of a [[sheet]]",
        "An area on the sheet, by opposite corners or by its points.",
        (
            may("from", What.POINT, "One corner.", example='["2ft", "6in"]'),
            may("to", What.POINT, "The opposite one.", example='["2ft 4in", "10in"]'),
            may("points", What.POINTS, "Its corners in order, where it is no rectangle."),
            may("why", What.TEXT, "Printed on it.", "", '"stain"'),
        ),
    ),
    TableSchema(
        "board",
        "[[board]]",
        "Boards of one section, in one or more lengths.",
        (
            need("name", What.TEXT, "What you call it.", '"1x6 spruce"', into="name"),
            need(
                "material",
                What.TEXT,
                "What it is; rails may ask for it.",
                '"spruce"',
                into="material",
            ),
            need(
                "thickness",
                What.LENGTH,
                "Real thickness: a 1 in board dressed is 3/4 in.",
                '"3/4in"',
                into="thickness_mm",
            ),
            need("width", What.LENGTH, "Real width.", '"5-1/2in"', into="width_mm"),
            sub(
                "lengths",
                What.TABLES,
                "What can be had.",
                "board_length",
                '[{ length = "8ft", price = 10.40 }]',
            ),
            may(
                "end_trim", What.LENGTH, "Cut off both ends.", "0 mm", '"1/2in"', into="end_trim_mm"
            ),
            may("edge_trim", What.LENGTH, "Planed off both edges.", "0 mm", into="edge_trim_mm"),
            may("saw", What.TEXT, "Name of the saw that it is cut with.", ""),
            may("supplier", What.TEXT, "Who sells them.", "", '"timber yard"', into="supplier"),
            may(
                "spare",
                What.MIXED,
                "Bought beyond what is cut, of the longest length bought: so many, or a share.",
                "0",
                "1",
            ),
        ),
    ),
    TableSchema(
        "supplier",
        "[[supplier]]",
        "A yard that asks for bringing an order. Stock names it by `supplier`.",
        (
            need("name", What.TEXT, "What you call it.", '"timber yard"', into="name"),
            may(
                "delivery",
                What.PRICE,
                "Asked for each order, however large.",
                example="35.00",
                into="delivery_minor",
            ),
        ),
    ),
    TableSchema(
        "board_length",
        "lengths = [{ ... }] of a [[board]]",
        "One length.",
        (
            need("length", What.LENGTH, "How long it is.", '"12ft"', into="length_mm"),
            may(
                "price",
                What.PRICE,
                "Price each; not counted for what is to hand.",
                example="16.90",
                into="price_minor",
            ),
            may("count", What.MIXED, 'How many are to hand, or "buy".', "buy", "1"),
            may(
                "pack",
                What.COUNT,
                "It is sold in packs of so many; the price is each.",
                "1",
                "10",
                into="pack",
            ),
            may(
                "most", What.COUNT, "No more than so many can be bought.", example="4", into="most"
            ),
            sub(
                "defects",
                What.TABLES,
                "Stretches that no piece may contain, of a board to hand.",
                "defect",
            ),
        ),
    ),
    TableSchema(
        "defect",
        "defects = [{ ... }] of a board to hand",
        "A knot or a check, measured from the board's marked end.",
        (
            need("from", What.LENGTH, "Where it begins.", '"3ft"'),
            need("to", What.LENGTH, "Where it ends.", '"3ft 4in"'),
            may("why", What.TEXT, "Printed on it.", "defect", '"knot"'),
        ),
    ),
)
