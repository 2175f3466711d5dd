"""Keys of parts and rails."""

from nestcut.geometry.edges import Side
from nestcut.jobfile.choices import CountedFrom, Halves, RailJoints
from nestcut.jobfile.schema.records import TableSchema, What, may, need, sub
from nestcut.joints.kinds import FOR_RAILS
from nestcut.model.joint import Accept, Face, JointAxis, JointKind, LapFacing
from nestcut.model.part import (
    CutFrom,
    Faces,
    Grain,
    Hand,
    Hands,
    HoleUse,
    Outside,
    Timing,
    Towards,
    Turning,
)
from nestcut.trade import joints as trade

TABLES = (
    TableSchema(
        "part",
        "[[part]]",
        "A flat part. Its outline comes from a drawing or from numbers.",
        (
            need("name", What.TEXT, "What the plans call it.", '"side panel"'),
            may(
                "thickness", What.LENGTH, "Unless `[job]` says it for all parts.", example='"6 mm"'
            ),
            may(
                "material",
                What.TEXT,
                "Needed only where several materials are as thick.",
                "",
                '"ply"',
            ),
            may("count", What.COUNT, "How many, or how many pairs.", "1"),
            may(
                "hand",
                What.CHOICE,
                "One port and one starboard (`pair`), or one hand only.",
                "none",
                choices=Hands,
            ),
            may(
                "drawn",
                What.CHOICE,
                "Which hand the outline shows; a developed panel, cap or box knows it.",
                "port",
                choices=Hand,
            ),
            may(
                "grain",
                What.CHOICE,
                "How the face grain runs: along x of the outline, across, or any.",
                "along",
                choices=Grain,
            ),
            may(
                "turn",
                What.CHOICE,
                "How far it may be turned on the sheet; `quarter` where the grain may be any.",
                "half",
                choices=Turning,
            ),
            may("small_angle", What.DEGREES, 'Most that turn = "small" turns.', "5"),
            may(
                "faces", What.CHOICE, "Which face of the sheet may show.", "good up", choices=Faces
            ),
            may(
                "holes",
                What.CHOICE,
                "Whether small pieces may be cut from what falls out of its holes.",
                "keep",
                choices=HoleUse,
            ),
            may(
                "allowance",
                What.LENGTH,
                "Left all round, trimmed after the dry fit.",
                "0 mm",
                '"10 mm"',
            ),
            may("cut", What.CHOICE, "When it is cut.", "with the rest", choices=Timing),
            may(
                "forward",
                What.CHOICE,
                "Which side of the outline, or which face, looks to the bow; papers mark it FWD.",
                "not said",
                choices=Towards,
            ),
            may(
                "up",
                What.CHOICE,
                "Which side of the outline, or which face, is up in the boat.",
                "not said",
                choices=Towards,
            ),
            may(
                "outside",
                What.CHOICE,
                "Which face is seen from outside the boat.",
                "not said",
                choices=Outside,
            ),
            may(
                "stands_forward",
                What.TEXTS,
                "Names of lines marked on it whose frame or bulkhead stands forward of the line; papers say `(fwd)` behind the name.",
                example='["frame 3", "fore bulkhead"]',
            ),
            may(
                "stands_aft",
                What.TEXTS,
                "The same for those that stand aft of their line.",
                example='["frame 1"]',
            ),
            may("from", What.CHOICE, "What it is cut from.", "sheet", choices=CutFrom),
            may("saw", What.TEXT, "Name of the saw that cuts it.", ""),
            may(
                "layers",
                What.COUNT,
                "So many layers of `thickness` are glued up; each gets its own size where an edge is bevelled.",
                "1",
                "2",
            ),
            sub(
                "joint",
                What.TABLE,
                "May be joined from pieces, like this; without it the part comes out whole.",
                "joint",
                '{ kind = "scarf", slope = "8:1" }',
            ),
            sub(
                "bevels",
                What.MIXED,
                "Words, or tables that name an edge (see bevels).",
                "bevel",
                '[{ edge = "bottom", larger = "good face", tilt = 12 }]',
            ),
            may(
                "band_width",
                What.LENGTH,
                "Width of a drawn cap: it may be divided along its curve.",
            ),
            may("note", What.TEXT, "Printed with it.", ""),
            may("forward_note", What.TEXT, "Printed with the piece that has its forward end.", ""),
            may("after_note", What.TEXT, "Printed with the piece that has its after end.", ""),
            sub("shape", What.TABLE, "Its outline by numbers (see [part.shape]).", "shape"),
            may("drawing", What.TEXT, "Drawing that shows it.", "", '"boat.dxf"'),
            may("layer", What.TEXT, "Layer that its outline is on, in the drawing."),
            may("label", What.TEXT, "A text inside its outline, in the drawing."),
            may("block", What.TEXT, "Block that it is, in the drawing."),
            may(
                "outline",
                What.TEXT,
                "Its number in the picture of the drawing, and of how many.",
                example='"7 of 12"',
            ),
            may("handle", What.TEXT, "Handle of its outline, in the drawing."),
            may(
                "drawn_half",
                What.CHOICE,
                "`mirror`: half of it is shown, up to its centre line; by numbers that is the base line y = 0.",
                "no",
                choices=Halves,
            ),
            may(
                "doubtful_holes",
                What.TEXTS,
                "Closed lines inside it that may be no holes: `cut` them all, `leave` them all on "
                "the part as drawn lines, or a list of those to cut, as the picture names them.",
                example='["3a", "3c"]',
            ),
        ),
    ),
    TableSchema(
        "bevel",
        "bevels = [{ ... }] of a [[part]]",
        "A bevel that is marked at its edge.",
        (
            may("edge", What.CHOICE, "Side of the outline, or a list of sides.", choices=Side),
            may("near", What.POINT, "In place of `edge`: a point by it, in the part's drawing."),
            need("larger", What.CHOICE, "Which face keeps its full size.", choices=Face),
            may(
                "tilt",
                What.DEGREES,
                "Off square; two where it changes along the edge: left then right end, or of an edge that rather stands its lower then its upper end; left out: planed to fit.",
                example="[8, 15]",
            ),
            may("words", What.TEXT, "What else is to be known.", "", '"to the ramp"'),
        ),
    ),
    TableSchema(
        "joint",
        "joint = { ... } of a [[part]] or [[rail]]",
        "How it may be joined. Joint places and slopes of your plans win.",
        (
            may(
                "kind", What.CHOICE, f"Rails: {' or '.join(FOR_RAILS)}.", "scarf", choices=JointKind
            ),
            may(
                "slope",
                What.SLOPE,
                f"Of a scarf; {trade.SLOPE_SOLID.value:g}:1 in solid wood unless said.",
                f"{trade.SLOPE_PLYWOOD.value:g}:1",
                '"8:1"',
            ),
            may(
                "at",
                What.PLACES,
                "Where the joints are: lengths along the part, or stations' names; without it they are put where it suits the stock.",
                example='["5ft", "station 3"]',
            ),
            may(
                "measured_from",
                What.CHOICE,
                "From where lengths in `at` and `keep_clear` are counted: along the part from the end that its drawing starts at (the left one, black on the pages: the stern end of a developed side, bottom, deck, cap, or rail `along` a line), from its `bow` or `stern` end, or, with `table`, along the boat as the table of offsets counts.",
                "start",
                choices=CountedFrom,
            ),
            may(
                "along",
                What.CHOICE,
                "Along which of the part's sizes the pieces follow each other; the longer one unless said, `length` where `at` is given.",
                choices=JointAxis,
            ),
            sub(
                "keep_clear",
                What.TABLES,
                'Stretches without a joint; [] or "none" where there are none. Asked for where joints are free. Lines marked across a panel (frames, bulkheads, folds), the hardest bend of a developed panel or of a rail `along` a line, and the stations of that line are kept clear besides, unless this says "none".',
                "keep_clear",
            ),
            may(
                "accept",
                What.CHOICE,
                f"`weak joint` lets slopes steeper than {trade.LEAST_SLOPE.value:g}:1 and straps "
                f"narrower than {trade.LEAST_STRAP_THICKNESSES.value:g} thicknesses pass.",
                "sound joint",
                choices=Accept,
            ),
            may("least_piece", What.LENGTH, "No piece is shorter.", "0 mm"),
            may("most_joints", What.COUNT, "No more joints than this."),
            may(
                "stagger",
                What.LENGTH,
                "Distance from joints of its neighbours and its own other hand; in rails whose joints are put where it suits the boards, "
                f"{trade.TWIN_STAGGER_OVERLAPS.value:g} overlaps from the other hand's unless said.",
                "0 mm",
            ),
            may("stagger_frames", What.COUNT, "The same in frame spaces.", "0"),
            may("frame_space", What.LENGTH, "How large these are."),
            may("stagger_with", What.TEXTS, "Names of the neighbours."),
            may("lap", What.CHOICE, "Which way all scarfs face.", "either", choices=LapFacing),
            may(
                "strap_width",
                What.MIXED,
                "Of a butt strap over all: a length, or a number of the part's thicknesses.",
                f"{trade.STRAP_WIDTH_THICKNESSES.value:g}",
            ),
            may("strap_face", What.CHOICE, "The face it is glued to.", "back", choices=Face),
            may(
                "strap_margin",
                What.LENGTH,
                "How far it stays off the part's edges.",
                f"{trade.STRAP_MARGIN_MM.value:g} mm",
            ),
            may(
                "run_out",
                What.SLOPE,
                "Steepest grain across a curved piece from boards.",
                f"{trade.RUN_OUT.value:g}:1",
            ),
            may(
                "bit", What.LENGTH, "Router bit of keyed joints.", f"{trade.KEY_BIT_MM.value:g} mm"
            ),
            may(
                "key_clearance",
                What.LENGTH,
                "Play between keys.",
                f"{trade.KEY_CLEARANCE_MM.value:g} mm",
            ),
        ),
    ),
    TableSchema(
        "keep_clear",
        "keep_clear = [{ ... }] of a joint",
        'A stretch without joints, by its middle or by its ends, which are lengths or stations\' names. Lengths count as the joint\'s `measured_from` says, or this one\'s own. The foremost 3 ft: { from = 0, to = "3ft", measured_from = "bow" }; about station 3: { at = "3", within = "6in" }.',
        (
            may("at", What.PLACE, "Its middle.", example='"1 m"'),
            may(
                "measured_from",
                What.CHOICE,
                "From where its lengths are counted; as the joint says unless said here.",
                choices=CountedFrom,
            ),
            may(
                "within",
                What.LENGTH,
                "How far either way.",
                f"{trade.KEEP_CLEAR_WITHIN_MM.value:g} mm",
            ),
            may("from", What.PLACE, "In place of `at`: where it begins."),
            may("to", What.PLACE, "Where it ends."),
            may("why", What.TEXT, "Printed where it matters.", "keep clear", '"rowlock"'),
        ),
    ),
    TableSchema(
        "rail",
        "[[rail]]",
        "A straight part ripped from a board and cut to length.",
        (
            need("name", What.TEXT, "What the plans call it.", '"gunwale"'),
            need("section", What.LENGTHS, "Finished thickness and width.", '["3/4in", "1-1/2in"]'),
            may(
                "length",
                What.LENGTH,
                "Finished length along the bent rail; or `along`.",
                example='"10ft 2in"',
            ),
            sub(
                "along",
                What.TABLE,
                "Take the true length along a line.",
                "along",
                '{ line = "sheer" }',
            ),
            may("material", What.TEXT, "Needed only where several boards are as thick.", ""),
            may(
                "planed_from",
                What.LENGTH,
                "Thickness of the board that one side is planed down from.",
                example='"20 mm"',
            ),
            may("count", What.COUNT, "How many, or how many pairs.", "1"),
            may(
                "hand",
                What.CHOICE,
                "One port and one starboard (`pair`), or one hand only.",
                "none",
                choices=Hands,
            ),
            may("saw", What.TEXT, "Name of the saw that cuts it.", ""),
            sub("joint", What.TABLE, "How it may be scarfed (see joint).", "joint"),
            may(
                "joints",
                What.CHOICE,
                "`none`: it must come in one length.",
                "allowed",
                choices=RailJoints,
            ),
            may("allowance", What.LENGTH, "Left long at each end.", "0 mm", '"1in"'),
            may(
                "end_angles",
                What.DEGREES,
                "Two angles between edge and end cut.",
                "[90, 90]",
                "[90, 75]",
            ),
            may("note", What.TEXT, "Printed with it.", ""),
        ),
    ),
    TableSchema(
        "along",
        "along = { ... } of a [[rail]]",
        "A stretch of a line; its ends are stations, as in the table of offsets.",
        (
            need("line", What.TEXT, "Name of the line.", '"chine"'),
            may("from", What.PLACE, "Where it begins; the line's end unless said."),
            may("to", What.PLACE, "Where it ends."),
        ),
    ),
)
