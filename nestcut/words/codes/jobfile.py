"""``JOB-…``: the job file and its tables."""

from nestcut.words.sentence import Sentence

_QUOTES = "Write {mended}"
_START = "Give a job file (TOML); 'nestcut start DRAWING.dxf' writes a first one."

_CHOICES = "Choose from: {choices}."
_EDGE = (
    "Write edge = with bottom, right, top or left (or a list of them), or near = [x, y], a point by "
    "the edge in the part's drawing."
)
_WHY = Sentence("{why}", "{why:remedy}")
"""Of codes that have several forms, each a clause of its own."""

SENTENCES = {
    "JOB-003": Sentence("unknown key '{key}'.", "{todo}"),
    "JOB-004": _WHY,
    "JOB-005": _WHY,
    "JOB-006": _WHY,
    "JOB-007": _WHY,
    "JOB-008": _WHY,
    "JOB-011": _WHY,
    "JOB-012": _WHY,
    "JOB-013": _WHY,
    "JOB-014": _WHY,
    "JOB-015": _WHY,
    "JOB-022": Sentence("not answered yet: {asked}", "{todo}"),
    "JOB-201": Sentence("Write the answer after {key} = ."),
    "JOB-202": Sentence(_CHOICES),
    "JOB-203": Sentence("{gone}."),
    "JOB-204": Sentence("Did you mean '{near}'?"),
    "JOB-205": Sentence(
        "It belongs to [[{table}]]: move this line above [{table}.{here}], since all that stands "
        "below a heading belongs to it."
    ),
    "JOB-206": Sentence("It belongs to the part's outline: move it below [part.shape]."),
    "JOB-207": Sentence("Known keys here: {known}."),
    "JOB-208": Sentence("how thick is what names no thickness of its own ({names})?"),
    "JOB-211": Sentence("the {what} is missing.", "Add: {key} = ..."),
    "JOB-212": Sentence(
        "no length can be had.", 'Add: lengths = [{{ length = "2.4 m", price = 9.10 }}]'
    ),
    "JOB-221": Sentence("{shown} is not {expected}.", "Write {expected}."),
    "JOB-222": Sentence(
        "{shown} is not {expected}.",
        "Write the figure alone, without quotes or unit. {key}: {says}",
    ),
    "JOB-223": Sentence(
        "{shown} stands where words in quotes are expected.",
        'Write for example {key} = "{example}".',
    ),
    "JOB-224": Sentence(
        "a section is thickness and width.", 'Write for example section = ["20 mm", "45 mm"].'
    ),
    "JOB-225": Sentence("not two angles.", "Write end_angles = [90, 75]."),
    "JOB-226": Sentence(
        "{shown} is neither words in quotes nor a bevel's table.",
        'Write for example bevels = [{{ edge = "bottom", larger = "good face", tilt = 12 }}].',
    ),
    "JOB-227": Sentence(
        "{shown} is neither a whole number nor 'buy'.",
        'Write how many are to hand, or count = "buy".',
    ),
    "JOB-231": Sentence("{fault}.", "Write for example '8:1'."),
    "JOB-232": Sentence("{fault}.", "{remedy}"),
    "JOB-233": Sentence("{fault}.", "Write for example '7-1/4in' or '8ft 2in'."),
    "JOB-234": Sentence("{fault}.", "Write for example '2440 mm' or '8ft 2in'."),
    "JOB-241": Sentence("a slope of {slope} is out of range.", "Use 1:1 to 50:1."),
    "JOB-242": Sentence("{shown} must be more than nothing.", "Write the real size."),
    "JOB-243": Sentence("angles out of range.", "Use 10 to 170 degrees."),
    "JOB-244": Sentence(
        "{shown} is no angle off square.",
        "Write degrees from 0 to {most}, or two of them where the bevel changes along the edge: "
        "tilt = [8, 15].",
    ),
    "JOB-245": Sentence("{n} is no inch fraction.", "Use 16 or 32."),
    "JOB-251": Sentence("{shown} is not one of the choices.", _CHOICES),
    "JOB-252": Sentence("{shown} is not one of the choices.", _CHOICES + " Did you mean '{near}'?"),
    "JOB-261": Sentence(
        "up = '{up}' and forward = '{forward}' lie in one line.",
        "Forward and up are square to each other: look at the part as its outline shows it.",
    ),
    "JOB-262": Sentence(
        "the outline is given twice, by numbers and by a drawing.", "Keep one of the two."
    ),
    "JOB-263": Sentence(
        "nothing says what this part looks like.",
        'Add drawing = "....dxf" with layer, label or block; or a [part.shape] table.',
    ),
    "JOB-264": Sentence("several pointers ({names}).", "Keep one."),
    "JOB-265": Sentence("the length is given twice.", "Keep length or along."),
    "JOB-266": Sentence("no edge is named.", _EDGE),
    "JOB-267": Sentence("the edge is named twice.", _EDGE),
    "JOB-271": Sentence(
        "turn = '{turn}' would break grain = '{grain}'.",
        'Use turn = "none", "half" or "small"; or grain = "any".',
    ),
    "JOB-281": Sentence(
        "sheets with an outline or a barred area of their own can't be joined.",
        "Leave joined out, or list the whole sheets apart.",
    ),
    "JOB-282": Sentence("the trim leaves nothing of the sheet.", "Trim less."),
    "JOB-283": Sentence("the trim leaves nothing of a board.", "Trim less."),
    "JOB-285": Sentence("fewer than three points.", "Give the real corners."),
    "JOB-286": Sentence(
        "the outline crosses itself or leaves the sheet's length and width.",
        "Measure its corners from the marking-out corner, in order around the sheet.",
    ),
    "JOB-287": Sentence(
        "one length is listed twice.",
        "Put boards of one length together; give count = how many are to hand.",
    ),
    "JOB-288": Sentence(
        "a board still to be bought has no known defects.", "Give count = 1 for a board to hand."
    ),
    "JOB-291": Sentence(
        "joint positions {shown} don't rise.",
        "List them from the reference end, each further than the one before.",
    ),
    "JOB-292": Sentence(
        "the stagger is given twice, as a length and in frame spaces.",
        "Keep one of stagger and stagger_frames.",
    ),
    "JOB-020": Sentence(
        "the first row doesn't name the columns, or there is nothing below it.",
        "Begin with a row such as: stations, lower, upper [in].",
    ),
    "JOB-025": Sentence(
        "that is a folder, not a drawing.", "Give the drawings in it by name, such as boat.dxf."
    ),
    "JOB-032": Sentence("byte {byte} is no UTF-8 text.", "Save as UTF-8."),
    "JOB-033": Sentence("'{name}' is no spreadsheet.", "Save it as .xlsx or as CSV."),
    "JOB-034": Sentence(
        "row {row}: the spreadsheet has taken a reading for a date ({cell}), and the reading is lost.",
        "Format its cells as text before typing 2-3-4, and type that cell again.",
    ),
    "JOB-035": Sentence("'{name}' is given twice.", "Keep one of the two."),
    "JOB-040": Sentence("a length stands without quotes.", _QUOTES),
    "JOB-041": Sentence("these are curly quotes, as text programs set them.", _QUOTES),
    "JOB-042": Sentence(
        "the inch mark ends the text too early.",
        "Put single quotes round it, three where there is a foot mark too: {mended}",
    ),
    "JOB-043": Sentence("a comma parts the items of a list; decimals take a point.", _QUOTES),
    "JOB-044": Sentence("this quote is never closed.", _QUOTES),
    "JOB-045": Sentence("the brackets of this heading don't match.", _QUOTES),
    "JOB-046": Sentence(
        "this line is neither a heading nor key = value.",
        'Write for example name = "side"; begin a remark with #.',
    ),
    "JOB-047": Sentence("lists stand too deep in lists.", "Mend them."),
    "JOB-048": Sentence("words stand without quotes.", _QUOTES),
    "JOB-049": Sentence("nothing stands behind the =.", "Write a value, or take the line out."),
    "JOB-050": Sentence("this is written twice in the same table.", "Keep one of the two."),
    "JOB-051": Sentence(
        "the list that begins here is never closed.", "Put ] (or }}) behind its last item."
    ),
    "JOB-115": Sentence(
        "these brackets can't be read.",
        "Write key = value in braces, parted by commas, with words and lengths in quotes: "
        '{{ at = "1 m", within = "100 mm" }}; in a list, ["20 mm", "45 mm"].',
    ),
    "JOB-052": Sentence("this is no text file.", _START),
    "JOB-053": Sentence(
        "this is no UTF-8 text: line {line} has letters of another code ({near}).",
        "Save the job file as UTF-8: text programs offer that as the encoding where they save.",
    ),
    "JOB-116": Sentence(
        "this text is written in UTF-16.",
        "Save the job file as UTF-8: text programs offer that as the encoding where they save.",
    ),
    "JOB-054": Sentence("this is a drawing, not a job file.", _START),
    "JOB-118": Sentence(
        "'{name}' is the same sheet as '{other}': they differ by their names alone.",
        "Keep one of the two.",
    ),
    "JOB-117": Sentence(
        "this is a job file, not a drawing.",
        "'nestcut check {file}' reads it; to begin another one, name its drawings (DXF or SVG).",
    ),
    "JOB-037": Sentence(
        "length and width of '{name}', {size}: is its face grain along the shorter side?",
        "length is measured along the face grain, as the yard says it: write the longer side as "
        'length, or add grain = "along" where the grain really runs along the shorter one.',
    ),
    "JOB-038": Sentence(
        "this is no area.", "Give opposite corners (from, to) or corner points in order."
    ),
    "JOB-039": Sentence(
        "this area reaches beyond the sheet, which is {size}.",
        "Measure it from the marking-out corner: along the length first, then across.",
    ),
    "JOB-016": Sentence(
        "no stock for '{name}' ({material}, {thickness}).",
        "Add a {entry} of it, or use what is there: {there}.",
    ),
    "JOB-017": Sentence(
        "'{name}' names no material, and several are {thickness} thick.",
        "Add material = ... ({materials}).",
    ),
    "JOB-023": Sentence(
        "there is nothing to cut '{name}' from: {stocks} has count = 0.",
        'Write how many are to hand, or count = "buy".',
    ),
    "JOB-055": Sentence("{length} is out of range.", "Write a length from {least} to {most}."),
    "JOB-056": Sentence("{width} is far too much.", "Check the unit."),
    "JOB-057": Sentence("no stock for '{name}' ({material}, {thickness}).", "Add a {entry} of it."),
    "JOB-024": Sentence(
        "a kerf of 0: pieces that share a cut come out too small by the saw's width.",
        "Measure the width of a test cut; a knife alone takes nothing away.",
    ),
    "JOB-009": Sentence("there is a '{name}' already.", "Name them apart."),
    "JOB-100": Sentence(
        "'{file}' has a [[drawing]] already, so what stands in this one would count for nothing.",
        "Write its keys into the first one, and delete this.",
    ),
    "JOB-102": Sentence(
        "'{name}' is no station of the table of offsets.", "Choose from: {stations}."
    ),
    "JOB-103": Sentence(
        "there is no table of offsets to count by.",
        'Write measured_from = "bow" or "stern", or take it out: then it is counted along the part '
        "from where its drawing starts.",
    ),
    "JOB-104": Sentence(
        "'{place}' can't be found on this part: only parts and rails made from the lines of a table "
        "of offsets, or with lines of that name drawn across them, know their stations.",
        "Give the place as a length along the part.",
    ),
    "JOB-105": Sentence(
        "'{place}' lies beyond the ends of this part.", "Check the station, or leave it out."
    ),
    "JOB-106": Sentence(
        "nobody has said which end of this part is its bow end, so nothing can be counted from the "
        "{end}.",
        'Write forward = "right" (or "left", as it is drawn) in the part; or count along it from '
        "where its drawing starts, and take measured_from out.",
    ),
    "JOB-107": Sentence(
        "{place} reaches beyond the part, which is {length} long.",
        'Check the figure; a place along the boat is counted with measured_from = "table".',
    ),
    "JOB-108": Sentence(
        "the joints of port and starboard come side by side, at the same places.",
        'Practice keeps them apart. Write two of them, hand = "port" and hand = "starboard", each '
        "with an `at` of its own; or leave `at` out and let them be placed; or, where the plans say "
        "so, stagger = 0 beside `at`.",
    ),
    "JOB-094": Sentence("a layer of '{part}' gets this name.", "Name this part otherwise."),
    "JOB-095": Sentence(
        "a strap over a joint of '{part}' gets this name, or one that begins so.",
        "Name this part otherwise.",
    ),
    "JOB-010": Sentence("nothing to cut.", "Add a [[part]] or a [[rail]]."),
    "JOB-058": Sentence("the saw's kerf is missing.", 'Add: [saw] with kerf = "{example}".'),
    "JOB-059": Sentence("not a length and a width.", 'Write ["600 mm", "400 mm"].'),
    "JOB-060": Sentence(
        "every saw after the first needs a name of its own.", 'Write for example name = "jigsaw".'
    ),
    "JOB-061": Sentence("there is no saw '{name}'.", "Choose from: {saws}."),
    "JOB-062": Sentence(
        "no part of this job is taken from a drawing called '{file}'.{nearest}",
        "Write the name as the parts write it: {known}.",
    ),
    "JOB-063": Sentence(
        "nothing in the drawing is on a layer called '{layer}'.{nearest}",
        "Layers with lines: {known}.",
    ),
    "JOB-026": Sentence(
        "no closed outline was found in {files}, so there is no part to write down.",
        "Open {picture}: it shows the lines that stay open, with a ring at each gap and what to do.",
    ),
    "JOB-019": Sentence(
        "'{piece}' ({size}, allowance included) is larger than any sheet it may be cut from; the "
        "largest is {largest}.",
        "Give the part a joint, allow more turning, or add a larger sheet.",
    ),
    "JOB-018": Sentence(
        "the drawing '{path}' isn't there.", "Check the file name, and [drawings] folder."
    ),
    "JOB-027": Sentence(
        "no edge of this part faces {towards}.",
        "Name a side that the part has, or give a point by the edge: near = [x, y].",
    ),
    "JOB-028": Sentence(
        "a bevel of {tilt} is beyond what saws tilt.",
        "Cut square to the larger face and plane it.",
    ),
    "JOB-109": Sentence(
        "its bevels leave the other face the larger than its neighbours speak for: '{panel}' is "
        "{end} wide at this end and {inner} further in, so the {larger} face should be the larger.",
        "Look at the plans, or ask their designer, before you plane; larger = says which face "
        "keeps its size.",
    ),
    "JOB-110": Sentence(
        "no side of {section} is planed down from {board}: a board is thicker than the side, by "
        "{most} at most.",
        "Write the board's thickness, or leave planed_from out. A thicker board is resawn, or give "
        "the rail's section as it is sawn.",
    ),
    "JOB-111": Sentence(
        "no {material} is {thickness} thick for '{name}', and {board} is the nearest: is it planed "
        "down by {off}?",
        'Write planed_from = "{board}" into its [[rail]], or add a [[board]] of {thickness}.',
    ),
    "JOB-112": Sentence(
        "no line named '{name}' is marked on this part.",
        "Choose from: {lines}.",
    ),
    "JOB-114": Sentence(
        "no line is marked on this part, so none is named '{name}'.",
        "Mark the line on the part, or leave the name out.",
    ),
    "JOB-113": Sentence(
        "'{name}' stands on both sides of its line.",
        "Leave it in stands_forward or in stands_aft.",
    ),
    "JOB-071": Sentence(
        "no edge is near this point: the nearest is {away} away.",
        "Give a point by the edge, in the part's drawing: it reaches from {left} to {right} in x "
        "and from {low} to {high} in y.",
    ),
    "JOB-036": Sentence(
        "'{part}' has another size at each face along its bevels, and an edge there is curved.",
        "Give each layer as a part of its own, or the bevel without a tilt: it is planed then.",
    ),
    "JOB-091": Sentence(
        "the places of its joints are left to nestcut: where must none lie? Rowlocks, the mast, "
        "frames, the hardest bend, whatever your plans or their designer say.",
        'Write for example keep_clear = [{{ at = "{at}", within = "{within}", why = "rowlock" }}], or '
        'keep_clear = "none".',
    ),
    "JOB-096": Sentence(
        "a strap {width} wide on a part {thickness} thick is no strap: they are {least} to {most} "
        "thicknesses wide.",
        "Compare it with the plans; a bare number counts thicknesses.",
    ),
    "JOB-097": Sentence(
        "packs, limits and spares count single sheets, and these are joined beforehand.",
        "Leave pack, most and spare out here.",
    ),
    "JOB-098": Sentence(
        "{written} is neither a whole number nor a share.",
        'Write spare = 1 for one more than is cut, or spare = "10 %".',
    ),
    "JOB-099": Sentence(
        "what is to hand isn't sold, so '{word}' says nothing here.",
        'Leave it out, or write count = "buy".',
    ),
    "JOB-092": Sentence(
        "a slope of {slope} is steeper than {least}, which glue in wood is not trusted with.",
        'Write at least {least}; where your plans\' designer asks for it, accept = "weak joint".',
    ),
    "JOB-093": Sentence(
        "a strap of {wide} thicknesses is narrower than the {least} that share a joint's load.",
        'Write at least {least}; where your plans\' designer asks for it, accept = "weak joint".',
    ),
}
