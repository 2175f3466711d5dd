"""``DXF-…``: drawings, their outlines and what is odd about them."""

from nestcut.words.sentence import Sentence

_EXPORT = "In the drawing program, open it and save or export it as DXF, then name that file."

SENTENCES = {
    # ---- opening a file -------------------------------------------------------------------
    "DXF-002": Sentence(
        "this is no drawing that can be read ({reason}).",
        _EXPORT,
    ),
    "DXF-003": Sentence(
        "the drawing holds far more than the parts of a boat: {met}, and {limit} are read at most.",
        "Copy only the outlines of the parts into a new drawing, without hatches, pictures and 3D "
        "models, and save that as DXF.",
    ),
    "DXF-004": Sentence(
        "the file was damaged ({reason}) and was mended while reading; {places:place|places} in it.",
        "Compare the sizes of the parts with your plans before you trust it.",
    ),
    "DXF-005": Sentence(
        "something here can't be read: {reason}.", "Draw it anew if it belongs to a part."
    ),
    "DXF-006": Sentence(
        "this is a {kind} file; drawings are read as DXF or SVG.",
        "Open it in a drawing program (for a PDF: one that imports PDF pages as lines) and export "
        "it as DXF or SVG. A scanned page holds no lines: draw over it first.",
    ),
    # ---- units ------------------------------------------------------------------------------
    "DXF-010": Sentence(
        "the drawing {why}, so its sizes could mean several things: {choices}. Until you say, sizes "
        "are given as if it were {assumed}.",
        "Measure one part on your plans, then write under [drawings] the unit of these that fits, in "
        'quotes: unit = "{assumed}", if it is that one.',
    ),
    "DXF-011": Sentence(
        "the file says its unit is {said}, the job says {asked}, which is taken: the longest "
        "outline is {longest}.",
        "Take the unit out of the job if the file is right.",
    ),
    "DXF-012": Sentence(
        "the file says its unit is {unit}; then its longest outline is {longest}, which no part of "
        "a small boat is. It could be: {choices}.",
        'Measure one part on your plans, then write in the job: [[drawing]] file = "{file}" and below '
        "it unit = and the one of these that fits, as it stands here with its quotes.",
    ),
    "DXF-013": Sentence(
        "with unit {unit} its longest outline is {longest}: very unusual for a boat.",
        "Compare it with your plans; correct the unit if it is wrong.",
    ),
    # ---- lines ------------------------------------------------------------------------------
    "DXF-020": Sentence(
        "no part was found in this drawing.",
        "A part is a line that runs all the way round and closes. Look at the picture: it shows "
        "what was seen and where lines stay open.",
    ),
    "DXF-021": Sentence(
        "a line made of {n:stretch|stretches} runs almost round but doesn't close: its two ends "
        "are {away} apart.",
        "Draw the missing stretch in your drawing program.",
    ),
    "DXF-022": Sentence(
        "{n:gap was|gaps were} closed where lines almost met; the widest is {widest}, at the ring.",
        "Nothing to do if that is a slip of the pen; else write a smaller join_gap for this drawing "
        "(under [[drawing]] in the job).",
    ),
    "DXF-023": Sentence(
        "three or more lines meet at {forks:place|places}, one of them ringed, so that there are "
        "several ways round. The outermost way was taken as the edge of {outlines:part|parts}; "
        "{inner:line|lines} within it will be drawn there, not cut, and {tails:loose end was|loose "
        "ends were} left out.",
        "Compare the filled shape in the picture with your plans. If two parts share an edge there, "
        "draw each of them as a closed line of its own.",
    ),
    "DXF-024": Sentence(
        "the line of {name} crosses or touches itself at {places:place|places}; no saw can follow that, "
        "so it is not taken.",
        "If it is a part, move its line at the ring so that it runs round once; if not, nothing to do.",
    ),
    "DXF-025": Sentence(
        "{n:line was|lines were} drawn on top of another and taken once.",
        "Nothing to do if the sizes of the parts are right.",
    ),
    "DXF-026": Sentence(
        "on layer '{layer}' {n:loose line goes|loose lines go} round nothing, outside all parts: left out.",
    ),
    "DXF-027": Sentence("{n:dot|dots} without length ignored."),
    "DXF-028": Sentence(
        "an outline is drawn twice, one on top of the other (at the ring, at most {off} apart; "
        "{n:line|lines}): it is taken as one part.",
        "Nothing to do for one part. If you want two, write in its [[part]]: count = 2.",
    ),
    "DXF-029": Sentence(
        "{inner} and {outer} cross each other at the ring; neither is taken as a cut-out of the "
        "other.",
        "Two parts drawn over each other need nothing. A cut-out that runs over an edge: draw it as "
        "part of that edge.",
    ),
    "DXF-030": Sentence(
        "a rectangle of {size} around parts is taken for a page border or a sheet, not for a part.",
    ),
    "DXF-031": Sentence(
        "an outline is made of lines of several layers: {layers}.",
        "Nothing to do if it looks right in the picture.",
    ),
    "DXF-032": Sentence(
        "layer '{layer}' is {seen}: {n:outline on it was|outlines on it were} not taken.",
        'If you need one, show the layer in the drawing program, or write layer = "{layer}" in a '
        "[[part]].",
    ),
    "DXF-033": Sentence(
        "only dashed lines close here: {n:was taken as an outline|were taken as outlines}.",
        "Draw the parts' outlines as full lines if that is wrong.",
    ),
    "DXF-034": Sentence(
        "{name} (number {number} in the picture) looks like half a part: {why}.",
        'drawn_half = "mirror" in its [[part]] makes it whole, mirrored about that edge.',
    ),
    "DXF-035": Sentence(
        "{n:filled area has|filled areas have} no line around.",
        "If one is a part, draw a closed line around it.",
    ),
    "DXF-037": Sentence(
        "{block} is kept in another drawing file, which is not read.",
        "Bind it into this drawing, or name that file in the job.",
    ),
    "DXF-038": Sentence(
        "{n} closed lines lie in and over each other, more than can be sorted out.",
        "Copy only the parts to a new drawing.",
    ),
    "DXF-039": Sentence(
        "{n:thing on the paper pages (frames, title blocks) was|things on the paper pages (frames, "
        "title blocks) were} not read."
    ),
    "DXF-040": Sentence(
        "{n:line runs|lines run} across the edge of a part; the stretch inside is drawn on the part "
        "as a mark.",
    ),
    "DXF-041": Sentence(
        "{block} contains itself or is nested too deep; it was not followed further.",
        "Mend it in the drawing program.",
    ),
    "DXF-042": Sentence(
        "{n} x {kind} not read: {reason}.",
        "Nothing to do, unless a part is drawn with it: then draw that part as a plain closed line.",
    ),
    "DXF-043": Sentence(
        "{inner} lies within {outer} and touches its edge: taken as drawn over it, not as cut out "
        "of it.",
        "If it is a notch, open the outline there in the drawing and lead it round the notch, so that "
        "both are one closed line.",
    ),
    "DXF-044": Sentence(
        "{n} outlines share edges, and {named} of them have names; each is taken as a part of its own.",
        "One saw cut can't serve two parts exactly: they will be laid out apart.",
    ),
    "DXF-045": Sentence(
        "{n:closed line lies|closed lines lie} inside a part but on layer {layer}: drawn on the "
        "part, not cut out.",
        "If it is a hole, put it on the layer of the part.",
    ),
    "DXF-046": Sentence(
        "at the ring two ends that belong together are {away} apart, so that an outline stays open "
        "({gaps:such gap|such gaps} in it). It closes with a join_gap of {least}; {changed}.",
        'Close the gap in the drawing program; or write in the [[drawing]] of "{file}" that is there '
        '(where there is none, write [[drawing]] and below it file = "{file}"): '
        'layers = [{{ name = "{layer}", join_gap = "{setting}" }}].',
    ),
    "DXF-047": Sentence(
        "at the ring a line stops {away} short of another, so that an outline stays open. It closes "
        "with a join_gap of {least}; {changed}.",
        'Draw it up to the other line; or write in the [[drawing]] of "{file}" that is there (where '
        'there is none, write [[drawing]] and below it file = "{file}"): '
        'layers = [{{ name = "{layer}", join_gap = "{setting}" }}].',
    ),
    "DXF-067": Sentence(
        "'{name}': its line stays open at {gaps:gap|gaps}, so there is no such outline to cut.",
        'Close it in the drawing program, or add to the [[drawing]] of "{file}" (write one if there is '
        'none): layers = [{{ name = "{layer}", join_gap = "{setting}" }}]. Once it is closed, '
        "a [[part]] may take it or leave it.",
    ),
    "DXF-068": Sentence(
        "'{name}' ({number} in the picture) is an outline now that its gaps are closed, and no part "
        "of the job takes it: is it a part?",
        "If it is, add a [[part]], and below it, a line each: {example}. If it isn't, write into the "
        '[[drawing]] of "{file}": no_parts = ["{pointer}"].',
    ),
    "DXF-069": Sentence(
        "{name} is no half, as the job says, but open between two ends {length} apart: a straight "
        "line closes it there.",
        "Nothing to do if that edge is straight; else close it in the drawing.",
    ),
    "DXF-048": Sentence(
        "{n:outline may be a part or not and was|outlines may be parts or not and were} not taken: "
        "{numbers} in the picture ({kinds}).",
        "For each that is a part add a [[part]], and below it, a line each: {example}. The others need "
        "nothing.",
    ),
    "DXF-049": Sentence(
        "{n:more finding of this kind is|more findings of this kind are} not listed."
    ),
    # ---- picking an outline -----------------------------------------------------------------
    "DXF-050": Sentence(
        "the drawing holds no closed outline; {open} open.",
        "Close the lines of the parts in your drawing program; 'nestcut check JOB --draw FOLDER' "
        "shows where they are open.",
    ),
    "DXF-051": Sentence(
        "no outline in the drawing has the {wanted}.{nearest}", "There are: {listed}."
    ),
    "DXF-052": Sentence(
        "{n} outlines have the {wanted}, and they differ: {listed:; }{more}.",
        'Say which is meant by its number in the picture: outline = "{example}".',
    ),
    "DXF-053": Sentence(
        "{n} outlines of the same size have {wanted}; the first one is taken.",
        "Say count in the job if more than one is wanted.",
    ),
    "DXF-054": Sentence("{name} is taken because the job names it, although {because}."),
    "DXF-055": Sentence(
        "{name} can't be mirrored to a whole part: {why}.",
        "Draw the centre line along the straight edge about which it is to be mirrored.",
    ),
    "DXF-056": Sentence(
        "{name} is drawn only up to its centre line ({why}).",
        'Say drawn_half = "mirror" in its [[part]] to make it whole; drawn_half = "no" if it is no half: '
        "then a straight line between its ends closes it. Or close it in the drawing.",
    ),
    "DXF-057": Sentence("its label says {said}, the job says {asked}; the job is followed."),
    "DXF-070": Sentence(
        "the name of its layer says {said}, the job says {asked}; the job is followed."
    ),
    "DXF-058": Sentence(
        "inside {name} (number {number} in the picture) {n:closed line may be a hole to cut out or "
        "only drawn|closed lines may be holes to cut out or only drawn} there ({holes} in the picture): "
        "{why}.",
        'Write in its [[part]] doubtful_holes = "cut" if they are holes, "leave" if they are only '
        "drawn; or list those to cut by their names in the picture. One that is a part of its own gets "
        "a [[part]] of its own.",
    ),
    "DXF-059": Sentence(
        "the job points at outline {wanted}, but the drawing, as it is read now, has {now} numbered "
        "outlines: the numbers may have moved since that was written.",
        "Draw the picture anew ('nestcut check JOB --draw FOLDER'), find the part's number there, and "
        'write it with how many there are, such as outline = "{example}".',
    ),
    "DXF-060": Sentence(
        "{name} has no doubtful hole that is called {wrong}.",
        'Write "cut", "leave", or a list of those to cut; in doubt are: {doubted}.',
    ),
    "DXF-061": Sentence("the outline of {name} encloses nothing.", "Draw it anew."),
    "DXF-062": Sentence(
        "in {name} an edge runs into another one at {at} in the drawing: two holes overlap, or a hole "
        "and the outline.",
        "Drawn once too often: take the wrong one out. Meant so: draw both as one closed line.",
    ),
    "DXF-063": Sentence("{name} has next to no area ({area}).", "Draw it anew."),
    "DXF-064": Sentence(
        "{n:remark|remarks} on other things in this drawing, which the job doesn't take.",
        "Nothing to do; 'nestcut check JOB --draw FOLDER' lists them under the picture.",
    ),
    "DXF-065": Sentence(
        "{n:line runs|lines run} past a corner, as at the ring, by {longest} at most; what sticks "
        "out was cut off there.",
        "Nothing to do if the filled shape in the picture is right.",
    ),
    "DXF-066": Sentence(
        "{n:outline that looks like a part is|outlines that look like parts are} in no [[part]] of the "
        "job: {numbers} in the picture.",
        "Nothing to do if that is meant; else add a [[part]], and below it, a line each: {example}.",
    ),
    "DXF-099": Sentence(
        "the reader stumbled over this drawing ({error}).",
        "Explode blocks and splines to plain lines, save it as DXF R12 and try again; please "
        "report the drawing.",
    ),
    # ---- why an outline is offered only when asked for --------------------------------------
    "DXF-201": Sentence("it is cut out of another outline"),
    "DXF-202": Sentence("it looks like a page border or a sheet around the parts"),
    "DXF-203": Sentence("only a filled area shows it, no line"),
    "DXF-204": Sentence("it is drawn only up to a centre line"),
    "DXF-205": Sentence("its layer is {seen}"),
    "DXF-206": Sentence("it may be no part: {kind}"),
    "DXF-207": Sentence("it seems to be no part: {kind}"),
    # ---- what else a setting changes ---------------------------------------------------------
    "DXF-211": Sentence("nothing else on its layer changes with that"),
    "DXF-212": Sentence(
        "{n:other outline on its layer changes|other outlines on its layer change} with that, so "
        "closing the gap in the drawing is safer"
    ),
    # ---- features that speak against a part -------------------------------------------------
    "DXF-221": Sentence("its layer is called {layer}"),
    "DXF-222": Sentence("its block is called {block}"),
    "DXF-223": Sentence("it is a cell of a block with title words"),
    "DXF-224": Sentence(
        "it is drawn tilted in space and was laid flat; it may be a view of a part"
    ),
    "DXF-225": Sentence("its line crosses itself"),
    "DXF-226": Sentence("another outline runs inside it all the way round, {away} away"),
    "DXF-227": Sentence("another outline runs outside it all the way round, {away} away"),
    "DXF-228": Sentence("it lies over another outline and touches its edge"),
    "DXF-229": Sentence("its text is {text}"),
    "DXF-230": Sentence("it is only {size} long"),
    "DXF-231": Sentence("it is a circle drawn {times:time|times}"),
    "DXF-232": Sentence("it is {wide} wide and {long} long, like a sheet seen from its edge"),
    "DXF-233": Sentence("it lies flush beside an outline of the same length, {along}"),
    "DXF-236": Sentence("it has the size of a sheet of plywood or of paper"),
    "DXF-237": Sentence("other outlines run over its edge"),
    "DXF-235": Sentence("it has no name and most others have"),
    "DXF-238": Sentence(
        "it is drawn over others, and the names beside them may be any one's: {labels}"
    ),
    # ---- outlines in a list -------------------------------------------------------------------
    "DXF-253": Sentence("{number} '{name}' {size}"),
    "DXF-254": Sentence("; and {n} more"),
    # ---- features that speak against a hole -------------------------------------------------
    "DXF-241": Sentence("it has a text of its own: {texts}"),
    "DXF-242": Sentence("it is on layer {layer}, the part on {outer}"),
    "DXF-243": Sentence("only {left} of the part would be left"),
    "DXF-244": Sentence("only {rim} would be left beside it"),
    "DXF-245": Sentence("it is larger than most parts"),
}
