"""``BRD-…``: rails and the boards they are cut from."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "BRD-001": Sentence("{reason}", "Add a longer or another board, or allow a joint."),
    "BRD-002": Sentence("{reason}", "Change one of these rules, or add longer boards."),
    "BRD-003": Sentence(
        "the search for joints ran out of work or time; positions that obey the rules were taken, "
        "and boards chosen for them.",
        "Allow more effort for a better plan.",
    ),
    "BRD-005": Sentence(
        "its joints can't be kept {least} from those of {other} as well as within its other rules; "
        "that stagger is given up, and joints abreast put two stiff, weak places at one station.",
        "Shorten the stagger or a keep-clear stretch, or use boards that need fewer joints.",
    ),
    "BRD-006": Sentence(
        "its joints are given at {given}, but their overlaps must lie between the ends of a rail "
        "of {length}, one after the other.",
        "Give rising positions between {least} and {most}.",
    ),
    "BRD-101": Sentence(
        "no {material} board is {one} or {other} thick and wide enough for the other."
    ),
    "BRD-102": Sentence("it is {length} long; the longest clear stretch of a board is {longest}."),
    "BRD-103": Sentence("the boards to hand are used up, and none of this section is on sale."),
    "BRD-104": Sentence(
        "the boards that it would fit have no clear stretch: defects and end trims take their "
        "whole length."
    ),
    "BRD-105": Sentence("these rules can't all be kept: {rules:; }."),
    "BRD-111": Sentence(
        "cutting patterns: column generation, then an exact choice among all that matter"
    ),
    "BRD-112": Sentence("clusters of rails and strips with the joints they must have"),
    "BRD-113": Sentence("no boards and no joint positions within the rules cost less"),
    "BRD-114": Sentence("counted from the rails' lengths and the longest board"),
    "BRD-115": Sentence("not proven"),
    "BRD-116": Sentence("more joints than were tried might cost less, though no less than this"),
    "BRD-117": Sentence("there was no time to draw up a bound"),
    "BRD-118": Sentence(
        "the lengths of all strips added up, however boards are ripped and crosscut"
    ),
    "BRD-119": Sentence(
        "every lot of pieces that comes out of a board by rips and crosscuts in any order"
    ),
    "BRD-120": Sentence(
        "the boards that it fits were used up, or it is too near to what they give: it is {length} "
        "long, and the longest clear stretch of a board is {longest}."
    ),
    "BRD-121": Sentence("rails alone, or parts sawn from these boards alone, need no less"),
}
