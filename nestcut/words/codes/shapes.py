"""``SHP-…``: parts from numbers."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "SHP-011": Sentence("{length} along the line, sharpest bend {radius} radius."),
    "SHP-012": Sentence(
        "lies flat: greatest twist {twist}\u00b0, stretch {stretch}, tightest bend {bend} radius, "
        "{near}."
    ),
    "SHP-013": Sentence(
        "no flat sheet takes this shape exactly: greatest twist {twist}\u00b0, stretch {stretch}, "
        "tightest bend {bend} radius, {near}.",
        "Leave an allowance and fit it dry; check the offsets of both lines.",
    ),
    "SHP-014": Sentence(
        "its tightest bend, {bend} radius {near}, is tighter than the {limit} that plywood {thickness} "
        "thick is usually bent to cold (FAA AC 43.13-1B, Table 1-2, face grain across the bend).",
        "Bend a test strip of the same plywood to it, grain as in the part, before you cut; thinner "
        "sheets in layers bend further. Ask your plans' designer.",
    ),
    "SHP-015": Sentence(
        "its tightest bend, {bend} radius {near}, is not far from the {limit} that plywood {thickness} "
        "thick is usually bent to cold (FAA AC 43.13-1B, Table 1-2, face grain across the bend).",
        "Bend a test strip of the same plywood to it, grain as in the part, before you cut.",
    ),
    "SHP-020": Sentence(
        "the bevel of {tilt} is beyond what saws tilt.", "Leave the allowance on and plane it."
    ),
    "SHP-021": Sentence(
        "{litres} litres between the walls of one box, what is fitted in it taken off."
    ),
    "SHP-022": Sentence("{count:slat|slats}, {length} in all before kerf."),
    "SHP-023": Sentence(
        "{litres} litres between the walls of one box, what is fitted in it taken off; full of foam of {density} kg/m3 it would "
        "bear {bears} kg in fresh water. {caution}"
    ),
    "SHP-030": Sentence("there is no flat part of this name.", "Choose from: {names}."),
    "SHP-034": Sentence(
        "there is no flat part of this name.",
        "No flat part of this job was understood: settle what is above first.",
    ),
    "SHP-031": Sentence(
        "the part '{name}' stands further down in the file.",
        "Move it above this one: parts that are referred to come first.",
    ),
    "SHP-032": Sentence("there is no part '{name}'.", "Choose from: {names}."),
    "SHP-033": Sentence("there is no line '{name}'.", "Choose from: {names}."),
    "SHP-041": Sentence(
        "the line '{line}' has {number:point|points} only.",
        "Give its height (and half-breadth) at two stations at least.",
    ),
    "SHP-042": Sentence(
        "no row names the stations, or no line stands below it.",
        "Begin with a row such as: station | 0 | 1 | 2; then at | 0-0-0 | 2-0-0 | 4-0-0; then a row "
        "heights, and the lines.",
    ),
    "SHP-043": Sentence(
        "nothing says whether the row '{row}' holds heights, half-breadths or distances along the boat.",
        "Put a row heights, half-breadths or distances above it, or write one of them into the row's name.",
    ),
    "SHP-044": Sentence(
        "there are two rows for the {view} of '{row}'.", "Keep one, or name the lines apart."
    ),
    "SHP-045": Sentence(
        "the row '{row}' has {number:figure|figures} for {stations:station|stations}.",
        "Put - where a line has no reading, and two blanks or | between figures.",
    ),
    "SHP-046": Sentence(
        "the stations' distances are missing.",
        'Add a row: at | 0-0-0 | 2-0-0 | ...; or spacing = "2ft" where they are evenly apart.',
    ),
    "SHP-047": Sentence(
        "the stations don't rise: station {other} at {after} comes after station {one} at {at}.",
        "Read both distances again, and set the columns in order.",
    ),
    "SHP-048": Sentence(
        "the line '{line}' has no heights.", "Add its row under heights, or take it out."
    ),
    "SHP-049": Sentence(
        "'{wish}' is no line and station.",
        'Write for example knuckles = ["chine 3"]. Lines: {lines}; stations: {stations}.',
    ),
    "SHP-050": Sentence(
        "too few lines for a section.", 'Write lines = ["chine", "sheer"], from the keel up.'
    ),
    "SHP-051": Sentence(
        "{number:thickness|thicknesses} of planking for {strakes:strake|strakes}.",
        "Give one for all, or one for each strake from the centre line out.",
    ),
    "SHP-052": Sentence(
        "the planking leaves nothing of this section.",
        "Check the unit of its thickness, and the order of the lines: from the keel up.",
    ),
    "SHP-053": Sentence(
        "a line doesn't reach the station at {at} from aft.", "Choose a station within the line."
    ),
    "SHP-054": Sentence("{half} half-breadth at the top, {high} high, planking taken off."),
    "SHP-055": Sentence(
        "{half} half-breadth at the top, {high} high in its own plane, which leans {rake}\u00b0; "
        "planking taken off."
    ),
    "SHP-056": Sentence("two lines meet in this section.", "Leave one of them out of lines = ..."),
    "SHP-057": Sentence("the open frame is as wide as the hull.", "Make width smaller."),
    "SHP-058": Sentence(
        "limber holes and an open frame need straight sides.",
        'Use curve = "straight", or notches and holes.',
    ),
    "SHP-059": Sentence(
        "there is no corner at the height {height} for a limber hole.",
        "Write one of the heights; the nearest is {nearest}.",
    ),
    "SHP-060": Sentence(
        "half of a part lies on the base line, above it; this one doesn't.",
        "Give it with its centre line along the bottom, y = 0.",
    ),
    "SHP-061": Sentence(
        "{stations:station|stations}, {breadths:half-breadth|half-breadths}, "
        "{heights:height|heights}.",
        "Give one of each for every station, at least two; a line in the centre plane may leave "
        "half_breadths out.",
    ),
    "SHP-062": Sentence(
        "the after ends of its lines lie up to {off} off one plane.",
        "Read the distances of the transom again, or say its rake = ... in degrees.",
    ),
    "SHP-063": Sentence("'{name}' is none of its lines.", "Choose from: {lines}."),
    "SHP-064": Sentence(
        "nothing says whether offsets are to the outside or the inside of the planking.",
        'Write to = "outside" (or "inside") under [offsets]: the plans say it beside the table.',
    ),
    "SHP-065": Sentence(
        "offsets are to the outside of the planking, and its thickness isn't said.",
        'Write planking = "1/4in" under [offsets], or ["3/8in", "1/4in"] from the centre line out.',
    ),
    "SHP-070": Sentence(
        "{line}, station {station}: the {view} {reading} stands {off} above a fair line; {fair} "
        "would lie on it.{beside}",
        "Read it again. If it is meant, the line turns sharply there: list it under knuckles.",
    ),
    "SHP-071": Sentence(
        "{line}, station {station}: the {view} {reading} falls {off} below a fair line; {fair} "
        "would lie on it.{beside}",
        "Read it again. If it is meant, the line turns sharply there: list it under knuckles.",
    ),
    "SHP-072": Sentence(
        "{line} at {at}: the {view} {reading} stands {off} above a fair line; {fair} would lie on it.",
        "Read it again. If it is meant, list that station under knuckles.",
    ),
    "SHP-073": Sentence(
        "{line} at {at}: the {view} {reading} falls {off} below a fair line; {fair} would lie on it.",
        "Read it again. If it is meant, list that station under knuckles.",
    ),
    "SHP-074": Sentence(
        "the {edge} edge at {at}: {reading} lies {off} above a fair line; {fair} would lie on it.",
        "Read it again from the plans. If it is meant, list that station under {edge}_knuckles.",
    ),
    "SHP-075": Sentence(
        "the {edge} edge at {at}: {reading} lies {off} below a fair line; {fair} would lie on it.",
        "Read it again from the plans. If it is meant, list that station under {edge}_knuckles.",
    ),
    "SHP-076": Sentence(
        "{one} and {other} cross: their heights change places at station {stations}.",
        "Read the heights of both there again.",
    ),
    "SHP-077": Sentence(
        "{low} lies above {high} at every station.", "Are the two rows exchanged? Read them again."
    ),
    "SHP-078": Sentence("'{one}' and '{other}' are the same wall.", "Keep one of them."),
    "SHP-079": Sentence(
        "only a box to one side has an {word} wall.",
        'Write hand = "pair" (or "port", "starboard"); or port and starboard for a box amidships.',
    ),
    "SHP-080": Sentence("there are two lines '{name}'.", "Name them apart."),
    "SHP-081": Sentence("the table is given twice, as text and in a file.", "Keep one of the two."),
    "SHP-082": Sentence(
        "the table is missing.",
        "Paste it: table = '''...''', or name a file: file = \"offsets.csv\".",
    ),
    "SHP-083": Sentence(
        "the row '{row}' stands where the stations' distances are expected.",
        "Begin that row with at: at | 0-0-0 | 2-0-0 | ...; or say spacing = ...",
    ),
    "SHP-087": Sentence(
        "{line}, station {station}: the {view} reads {reading} to {side}, {other} on the other side: "
        "{off} apart. {other} lies nearer to a fair line and is used.",
        "Read both again: a boat's sides are alike. Where this boat's aren't, give it as it is on "
        "one side.",
    ),
    "SHP-084": Sentence(
        "there is no station '{name}'.", "Choose from: {stations}; or give a length."
    ),
    "SHP-085": Sentence(
        "{one} and {other} cross: their heights change places at {at}.",
        "Read the heights of both there again.",
    ),
    "SHP-101": Sentence(
        "the outline crosses or touches itself at {at}, measured on the part.",
        "Check the order of the points and the sizes of notches and corners.",
    ),
    "SHP-102": Sentence("two holes touch or overlap.", "Move one of them."),
    "SHP-103": Sentence("the part would be {metres} m long.", "Check the unit."),
    "SHP-104": Sentence("the numbers give a part without area.", "Check the sizes."),
    "SHP-105": Sentence(
        "this hole reaches the edge or lies outside the part.",
        "Move it, make it smaller, or make it a notch.",
    ),
    "SHP-106": Sentence("a band can't follow a line round a knuckle.", "Make it two parts."),
    "SHP-107": Sentence(
        "the line bends to a radius of {radius}, less than the band's width of {width}.",
        "Make the band narrower, or end it before the bend.",
    ),
    "SHP-108": Sentence(
        "the {wall} wall leans {lean} degrees.",
        "Slopes are measured from upright, up to 80 degrees.",
    ),
    "SHP-109": Sentence(
        "the walls meet before {height} above the bottom.", "Check length, width and slopes."
    ),
    "SHP-110": Sentence(
        "{number} half-breadths for {heights} heights.",
        "Give one half-breadth for each height, at least two.",
    ),
    "SHP-111": Sentence("the heights don't rise.", "List them from the bottom up."),
    "SHP-112": Sentence("the keel lies above the lowest reading.", "Check the two heights."),
    "SHP-113": Sentence(
        "limber holes at corners need straight edges.",
        'Use curve = "straight", or cut the limber holes as holes and notches.',
    ),
    "SHP-114": Sentence("the camber is more than half the breadth.", "Check its unit."),
    "SHP-115": Sentence(
        "the notch reaches past the {side} edge, which is {length} long.",
        "Move it along the edge, or make it narrower. One that is to be open at the corner ends just "
        'there; in a frame line = "sheer" puts it there by itself.',
    ),
    "SHP-116": Sentence(
        "no edge faces the {side}.", "Choose another edge, or give the outline as points."
    ),
    "SHP-149": Sentence(
        "two edges as long as each other face the {side} ({lengths}), so nobody knows which is meant.",
        "Choose another edge for the notch, or give the outline as points.",
    ),
    "SHP-150": Sentence(
        "the row of the stations' distances has no figure for {missing}.",
        "Write it there; or give a line's distance at that station in a row below `distances`.",
    ),
    "SHP-151": Sentence(
        "only a section with straight sides can end at a height.",
        "Take curve out, or add a line of that height to the table.",
    ),
    "SHP-152": Sentence(
        "at the height {top} there is no side: here the lines run from {low} to {high}.",
        "Heights are counted as in the table of offsets; compare it with the plans.",
    ),
    "SHP-153": Sentence(
        "this notch and another one of the {side} edge run into each other.",
        "All notches of an edge are measured along the whole edge, as it is before any is cut: move "
        "one, or write both as one notch.",
    ),
    "SHP-154": Sentence(
        "a notch takes away the limber hole at {at}, or the edge beside it.",
        "Leave that limber hole out, or move the notch: both can't be cut there. Ask your plans "
        "which is meant.",
    ),
    "SHP-155": Sentence(
        "at the corner ({corner}) there is no room for this notch: another notch takes it, or it is "
        "longer than the edge it lies along, or it reaches past the edge it opens to.",
        "Make it narrower or less deep, or move the other one.",
    ),
    "SHP-156": Sentence(
        "a notch at a line sits at that line's corner, on both sides: it takes no {word}.",
        "Take {word} out; or take line out and place the notch in an edge.",
    ),
    "SHP-157": Sentence(
        "only frames and transoms made from lines have corners at lines.",
        'Name the edge, and its end: edge = "right", from_far_end = half the width cuts the notch '
        "open at that corner.",
    ),
    "SHP-158": Sentence(
        "'{name}' is none of the lines that this section passes.", "Choose from: {lines}."
    ),
    "SHP-159": Sentence(
        "{number:width|widths} for {strakes:strake|strakes}.",
        "Give one for all, or one for each strake from the centre line out: "
        'width = ["4in", "3in"] is a floor of 4 in and sides of 3 in.',
    ),
    "SHP-160": Sentence("a ring frame's widths are above 0.", "Leave width out for a bulkhead."),
    "SHP-161": Sentence(
        "a beam across the top belongs to a ring frame, and this one has no width.",
        "Write width = ... as well; a bulkhead reaches up to its top without a beam.",
    ),
    "SHP-162": Sentence(
        "slats lie over a part, or over an outline of their own: here both are given.",
        "Take over = ... out if the outline isn't cut; else take shape out.",
    ),
    "SHP-253": Sentence("near {station}"),
    "SHP-254": Sentence("{at} forward of the after end"),
    "SHP-252": Sentence(
        " Or it is station {station} that is misread: {reading} stands there, and {fair} would be fair."
    ),
    "SHP-163": Sentence(
        "no {view} stands off a fair line. The least slip that would be seen in every line here is "
        "about {least}: a smaller one may pass, also at the places where lines bend most.",
        "Read the {view} column once more against the paper.",
    ),
    "SHP-164": Sentence(
        "no {view} is doubted, but even a slip of {most} wouldn't be seen in every line here: there "
        "are too few stations, or the lines bend too sharply.",
        "Read the {view} column twice against the paper.",
    ),
    "SHP-167": Sentence(
        "bent as it lies flat, the panel stands off the straight line between its edges: {places}. A "
        "frame drawn straight from the same lines leaves that gap.",
        "Fit the frame to the panel there, or ask your plans' designer which of them is meant.",
    ),
    "SHP-168": Sentence(
        "{count:slat ends|slats end} short beside a side that leans: laid only as far as the full "
        "width lies inside.",
        'Write edges = "trimmed" to lay them whole and cut them to the outline in place, or edges = '
        '"left out" if they are to stay short.',
    ),
    "SHP-255": Sentence("{gap} at {place}"),
    "SHP-117": Sentence("a slot is longer than wide.", "Swap the two."),
    "SHP-118": Sentence("no edge faces the {side}.", "Choose another edge."),
    "SHP-119": Sentence("nothing is left of the strap.", "Check width and inset."),
    "SHP-120": Sentence("the part has no hole {number}; it has {holes}.", "Count from 1."),
    "SHP-121": Sentence("nothing is left of the cleat.", "Shorten it less."),
    "SHP-123": Sentence("this hole has a hollow corner.", "Draw its doubler as a polygon."),
    "SHP-124": Sentence(
        "a doubler follows holes of straight lines and arcs only.",
        "Give it as an ellipse or a polygon of its own.",
    ),
    "SHP-125": Sentence("the margin is more than a hollow radius.", "Make it smaller."),
    "SHP-126": Sentence("the stations don't rise.", "List them once each, from one end on."),
    "SHP-127": Sentence(
        "there is no reading at the knuckle {place}.",
        "Knuckles are stations; the nearest is {nearest}.",
    ),
    "SHP-128": Sentence("{number} corners make no outline.", "Give at least three."),
    "SHP-129": Sentence("two corners coincide at {at}.", "Leave one of them out."),
    "SHP-130": Sentence(
        "the corners at {one} and {other} take more than the edge between them.",
        "Make the radius or the chamfer smaller.",
    ),
    "SHP-131": Sentence("both parallel edges are nothing.", "Give one of them."),
    "SHP-132": Sentence("both ends have no width.", "Give one of them."),
    "SHP-133": Sentence(
        "there is no corner {number}; the outline has {corners}.",
        "Number corners from 1 in the order the outline runs.",
    ),
    "SHP-135": Sentence(
        "the cleats need a section.", 'Write cleats = {{ section = ["20 mm", "30 mm"] }}.'
    ),
    "SHP-137": Sentence("the frame fills the lid.", "Make it narrower."),
    "SHP-138": Sentence("the cleats fill the box.", "Make them thinner."),
    "SHP-139": Sentence("the stretch ends before it begins.", "Check from and to."),
    "SHP-140": Sentence("the panel doesn't reach to {at}.", "Check the station."),
    "SHP-141": Sentence(
        "{number} offsets for {stations} stations.", "Give one offset for each station."
    ),
    "SHP-142": Sentence(
        "a section is thickness and width.", 'Write for example section = ["20 mm", "45 mm"].'
    ),
    "SHP-143": Sentence(
        "not one slat fits inside the outline.", "Check width, clearance and outline."
    ),
    "SHP-144": Sentence("more than 1000 rows of slats.", "Check the slat's width and its unit."),
    "SHP-145": Sentence("the line is longer than 100 m.", "Check the unit."),
    "SHP-146": Sentence("two points in a row coincide, or there is but one.", "Check the table."),
    "SHP-147": Sentence("the line doesn't reach {at}.", "Check the station."),
    "SHP-148": Sentence("the panel doesn't reach to {at}.", "Check the mark's distance."),
}
