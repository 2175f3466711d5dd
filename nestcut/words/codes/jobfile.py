"""``JOB-…``: the job file and its tables."""

from nestcut.words.sentence import Sentence

_QUOTES = "Write {mended}"
_START = "Give a job file (TOML); 'nestcut start DRAWING.dxf' writes a first one."

SENTENCES = {
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
    "JOB-052": Sentence("this is no text file.", _START),
    "JOB-053": Sentence("this is no UTF-8 text (byte {byte}).", "Save the job file as UTF-8."),
    "JOB-054": Sentence("this is a drawing, not a job file.", _START),
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
        'Write for example keep_clear = [{{ at = "4ft", within = "4in", why = "rowlock" }}], or '
        'keep_clear = "none".',
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
