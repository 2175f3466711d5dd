"""``TCK-…``, ``PAT-…``, ``LBL-…``: files of ticks, full-size patterns, labels."""

from nestcut.words.sentence import Sentence

_SAVE_AGAIN = "Save the ticks again from the plan's page (shop.html)."
_GRID = 'Write for example "3, 8, 70 mm, 37 mm, 0 mm, 0.5 mm".'
_MEASURE = "Measure a sheet of the labels and give those measures."

SENTENCES = {
    "TCK-001": Sentence("this is no JSON ({fault}).", _SAVE_AGAIN),
    "TCK-007": Sentence("this isn't a file of ticks: 'format' should be '{form}'.", _SAVE_AGAIN),
    "TCK-002": Sentence("version {version} isn't known; this program reads {known}.", _SAVE_AGAIN),
    "TCK-003": Sentence("{why}", _SAVE_AGAIN),
    "TCK-008": Sentence("'job' or 'cut' is missing."),
    "TCK-009": Sentence("a piece needs 'piece', 'from', 'stock' and 'number'."),
    "TCK-004": Sentence(
        "The ticks were made on another plan than this one.",
        "Give the plan file that lay beside the page on which they were made.",
    ),
    "TCK-005": Sentence(
        "Ticked, but not cut from there in this plan: {pieces}.",
        "Untick them, or give the plan on which they were ticked.",
    ),
    "TCK-010": Sentence(
        "Ticked, but not cut from there in this plan: {pieces} and {more} more.",
        "Untick them, or give the plan on which they were ticked.",
    ),
    "PAT-001": Sentence("The plan has no flat piece or part of this name.", "{todo}"),
    "PAT-003": Sentence("Did you mean {near}?"),
    "PAT-004": Sentence("See cut-list.csv."),
    "PAT-002": Sentence(
        "This is a rail: straight stock needs no pattern.",
        "Its length, section and joints are in cut-list.csv and on the pages of boards.",
    ),
    "LBL-001": Sentence("{why}", "{why:remedy}"),
    "LBL-011": Sentence("'{word}' is no number of columns.", _GRID),
    "LBL-012": Sentence("'{word}' is no number of rows.", _GRID),
    "LBL-013": Sentence("{fault}.", _GRID),
    "LBL-014": Sentence("{n} measures were given; six are needed, eight with gaps.", _GRID),
    "LBL-021": Sentence("a measure is negative.", _MEASURE),
    "LBL-022": Sentence("a grid needs a column and a row.", _MEASURE),
    "LBL-023": Sentence("the labels end at {end}, the page at {page}.", _MEASURE),
    "LBL-024": Sentence("a label needs at least 30 x 12 mm to be read.", _MEASURE),
}
