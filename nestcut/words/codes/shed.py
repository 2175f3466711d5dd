"""``SHD-…``: the stock book."""

from nestcut.words.sentence import Sentence

_MEND = (
    "Mend it in an editor, or 'nestcut shed back BOOK' brings the last state back; nothing was "
    "changed."
)

SENTENCES = {
    "SHD-001": Sentence("the stock book can't be read: {fault}.", _MEND),
    "SHD-002": Sentence("this is no stock book.", "Give another name; nothing was changed."),
    "SHD-003": Sentence("two entries have the number {number}.", _MEND),
    "SHD-004": Sentence("an entry is no table.", _MEND),
    "SHD-005": Sentence("an entry has no number.", "Add: id = ..., a number that is free."),
    "SHD-006": Sentence(
        "this can't be a stock book: it is no plain file, or larger than 5 MB.", "Check the name."
    ),
    "SHD-007": Sentence(
        "there is no such state to bring back.", "States that are kept: {known}; choose with --to."
    ),
    "SHD-008": Sentence(
        "another run has held the stock book for ten seconds.", "Try again when it has ended."
    ),
    "SHD-009": Sentence(
        "the stock book can't be written ({reason}).", "Make room, or check whose folder it is."
    ),
    "SHD-010": Sentence(
        "what this plan leaves is in the stock book already.",
        "Take the change back first ('nestcut shed back') if the plan was put in too early.",
    ),
    "SHD-012": Sentence(
        "there is no such stock book.", "Check its name; 'nestcut shed add PLAN BOOK' begins one."
    ),
    "SHD-011": Sentence(
        "the job uses '{name}', which isn't in this stock book any more.",
        "Give the book that it was taken from, or run 'nestcut shed take' again and plan anew.",
    ),
}
