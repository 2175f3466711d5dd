"""``SHT-…``: pieces and sheet stock."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "SHT-001": Sentence(
        "there is no sheet of {material} {thickness} to cut from.",
        "Add such a sheet to the stock (a count above 0, a trim that leaves something), or change "
        "the parts' material or thickness.",
    ),
    "SHT-002": Sentence(
        "its {size} fit no sheet of {material} {thickness} in any allowed turn; the largest, "
        "{largest}, offers {offers}.",
        "Allow a joint or more turning, or add a larger sheet.",
    ),
    "SHT-003": Sentence(
        "the rectangle to keep in reserve found no place beside the pieces, and no sheet is bought "
        "for it alone.",
        "Buy a spare sheet, or ask for a smaller reserve.",
    ),
    "SHT-004": Sentence(
        "its {size} fit no sheet of {material} {thickness} in any turn that its grain allows; the "
        "largest, {largest}, offers {offers}, and its face grain runs across its length.",
        "Check the sheet's grain in the job; allow a joint, add a sheet whose grain runs along, or "
        'say grain = "any" for the part if the plans leave it open.',
    ),
    "SHT-101": Sentence(
        "{name}: {n:sheet|sheets}, {offcut}; one pass, biggest pieces first, takes "
        "{plain:sheet|sheets}, {plain_offcut}"
    ),
    "SHT-102": Sentence("largest offcut {area}"),
    "SHT-103": Sentence("no offcut worth keeping"),
    "SHT-104": Sentence(
        "no sheet of {material} {thickness} is left for it: all {hand} to hand are in use"
    ),
    "SHT-105": Sentence("{material} {thickness}"),
    "SHT-106": Sentence("{board}, {length}"),
    "SHT-111": Sentence("the area of pieces and kerf"),
    "SHT-117": Sentence("pieces and kerf alone fill {filled} of these sheets"),
    "SHT-118": Sentence(
        "pieces and kerf alone fill {filled} of these sheets, less what those to hand can take"
    ),
    "SHT-112": Sentence("lengths and widths of the large pieces"),
    "SHT-113": Sentence("large pieces of which no two share a sheet"),
    "SHT-114": Sentence("no two of these share a sheet: {names}"),
    "SHT-115": Sentence("no two of these share a sheet: {names}, ..."),
    "SHT-116": Sentence("every way of laying the large pieces on one sheet fewer was ruled out"),
    "SHT-120": Sentence(
        "no sheet of {material} {thickness} has room left for {size}, and none is bought for it "
        "alone"
    ),
    "SHT-119": Sentence("every way of laying the pieces on sheets that cost less was ruled out"),
}
