"""``JNT-…``: joints and the rules about them."""

from nestcut.trade.joints import SLOPE_PLYWOOD, SLOPE_SOLID
from nestcut.words.sentence import Sentence

_RAILS = (
    f'Use kind = "scarf" ({SLOPE_PLYWOOD.value:g}:1, or {SLOPE_SOLID.value:g}:1 where it is loaded). '
    "Where your plans show a butt with a block behind it, between frames, write each length and the "
    "block as rails of their own."
)

_SLOPE = "a glued slope is the stiffest and least sure place of a part"

_STRAP = "glue it to the panel's {face}, its own good face in sight, its line on the joint"

_FOUND = {
    "JNT-001": Sentence(
        "the joint at {at} runs over the end of the part: half its overlap is {half}, so the glue "
        "area is cut short.",
        "Keep it between {least} and {most}.",
    ),
    "JNT-002": Sentence(
        "the joint at {at} reaches {by} into '{zone}' ({begin} to {end}); " + _SLOPE + ", and "
        "should carry neither a fitting's load nor the hardest bend.",
        "Move the joint, or shorten the keep-clear stretch if the plans allow it.",
    ),
    "JNT-003": Sentence(
        "piece {number} is {length} long, the least is {least}; a short piece takes the curve as a "
        "flat, and two joints close together weaken one place.",
        "Move a joint, use other stock, or lower the least piece.",
    ),
    "JNT-004": Sentence(
        "it has {has:joint|joints} where {most} are allowed; each one is work, and a place that "
        "bends less fairly than clear wood.",
        "Use longer stock, or allow another joint.",
    ),
    "JNT-005": Sentence(
        "the joints at {one} and {other} run into each other: each needs {need} of its own.",
        "Move them apart, or leave one out.",
    ),
    "JNT-006": Sentence(
        "the joint at {at} lies {apart} from one of {other}, {least} are asked for; joints abreast "
        "put two stiff, weak places at one station, and the boat bends unfairly there.",
        "Move one of the two, or shorten the stagger.",
    ),
    "JNT-007": Sentence(
        "between the joints at {one} and {other} lie {gap} of clear wood; spars are asked for "
        "three overlaps, {wanted} here, since each glued slope hands its load to the wood beside it."
    ),
    "JNT-101": Sentence(
        "a joint at {at} with {overlap} of overlap doesn't lie on the part, which is {length} long.",
        "Measure from the reference end, the least x of the outline (the least y for a joint along "
        "the part).",
    ),
    "JNT-102": Sentence(
        "the joints at {one} and {other} lie closer than the {need} that one of them takes.",
        "Move them apart, or leave one out.",
    ),
    "JNT-103": Sentence(
        "the joint at {at} runs through a hole, so it is glued over less than the part's width.",
        "Move the joint clear of the hole, or cut the hole after gluing.",
    ),
    "JNT-104": Sentence(
        "at {at} there is no room for a key of {head} head.",
        "Move the joint to where the part is wider, use a smaller bit or a scarf.",
    ),
    "JNT-105": Sentence(
        "between its joints the share {share} falls into {lumps} separate lumps.",
        "Move the joints, or draw the part as two parts.",
    ),
    "JNT-106": Sentence(
        "at {at} nothing is left for a strap that stops {margin} short of the panel's edges.",
        "Move the joint, make the strap's margin smaller, or use a scarf.",
    ),
    "JNT-107": Sentence(
        "it can't be divided as a band along a curve: {why}.",
        "Draw the outline with square ends and constant width, or leave its band width out.",
    ),
    "JNT-108": Sentence(
        "a band along a curve is joined by overlaps, not by a {kind} joint.",
        "Use kind = {able}, or leave its band width out.",
    ),
    "JNT-110": Sentence(
        "no joint positions will do: {reasons:; }.",
        "Allow more joints or shorter pieces, shorten a stretch that is kept clear, or add a longer "
        "sheet.",
    ),
    "JNT-111": Sentence(
        "its grain runs out 1 in {has} at the edges, 1 in {asked} is asked for; a piece cut across "
        "the grain splits where it is bent or stepped on.",
        "Divide it once more where the curve is hard, laminate it, or accept the run-out.",
    ),
    "JNT-117": Sentence(
        "no place for its joints is clear of {zones} by {within} on either side: they may lie there.",
        "Allow more joints or shorter pieces, add a longer board, or show the places to the plans' "
        "designer.",
    ),
    "JNT-113": Sentence(
        "its joints are to be staggered with those of '{name}', but no part or rail is called so.",
        "Write the name as it stands in its own table.",
    ),
}

_RULES = {
    "JNT-201": Sentence("no piece is shorter than {least}"),
    "JNT-202": Sentence("at most {most:joint|joints}"),
    "JNT-203": Sentence("joints {least} from those of the twin"),
    "JNT-204": Sentence("grain run-out no steeper than 1:{run}"),
    "JNT-205": Sentence("no joint in '{reason}', {begin} to {end}"),
    "JNT-206": Sentence("{rules: together with }"),
    "JNT-224": Sentence("{clear} of clear wood between two joints"),
    "JNT-207": Sentence("the longest piece that the stock gives is {length}"),
    "JNT-208": Sentence("{part} is {length} long"),
    "JNT-209": Sentence("the longest end piece that fits a sheet is {length}"),
    "JNT-210": Sentence("{part} is {length} long and {width} wide"),
    "JNT-211": Sentence("the widest board gives {width}, the longest {length}"),
    "JNT-212": Sentence("the widest sheet gives {width}, the longest {length}"),
    "JNT-213": Sentence("its tightest bend has a radius of {radius}"),
    "JNT-214": Sentence("no sheet of its material"),
    "JNT-215": Sentence("its outline has no corners to tell ends from edges"),
    "JNT-216": Sentence("its edge bends harder than half its width of {width}"),
    "JNT-217": Sentence("it is drawn {drawn} wide, but its width is said to be {said}"),
    "JNT-218": Sentence("it can't be divided as a band along a curve: {why}"),
    "JNT-219": Sentence(
        "it goes on for {beyond} beyond a corner, where its grain would run across; draw the corner "
        "as a curve, or either leg as a part of its own"
    ),
    "JNT-221": Sentence("strap over {joint}: " + _STRAP),
    "JNT-222": Sentence("strap over joint {joint} of {part}: " + _STRAP),
    "JNT-223": Sentence("this seam lies in '{zone}', where the plans want no joint"),
}
"""Clauses: rules, what a part measures, what the stock gives, what a strap is for."""

SENTENCES = {
    **_FOUND,
    **_RULES,
    "JNT-112": Sentence(
        "a rail isn't joined by a butt and a strap: end grain glued to end grain holds a quarter of "
        "the wood's strength at best, the strap would carry all the rest, and a bent rail kinks at "
        "the strap's ends.",
        _RAILS,
    ),
    "JNT-114": Sentence(
        "no joint along its {axis} brings '{part}' onto a sheet: across it the pieces would be "
        "{across} wide, and no sheet has that.",
        'Write joint = {{ along = "{other}" }}, allow it to be turned, or add a wider sheet.',
    ),
    "JNT-116": Sentence(
        "'{part}' is {length} long, and the longest that it can be cut from is {longest}: how is it "
        "joined?",
        'Write into its [[part]]: joint = {{ kind = "scarf", keep_clear = "none" }} (or "butt strap", '
        '"keyed"; keep_clear says where no joint may lie), or add a longer sheet.',
    ),
    "JNT-115": Sentence(
        "a rail isn't joined by keys: they are cut with a router into the edges of sheets, and solid "
        "wood splits at their necks.",
        _RAILS,
    ),
}
