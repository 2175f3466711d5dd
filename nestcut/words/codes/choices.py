"""``CHO-…``: ways to plan one boat, side by side."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "CHO-001": Sentence("as the job says, least money"),
    "CHO-002": Sentence("as the job says, fewest joints"),
    "CHO-003": Sentence("only {stock}"),
    "CHO-004": Sentence("no {stock} of {length}"),
    "CHO-005": Sentence("a saw that takes {kerf}"),
    "CHO-006": Sentence("{part}: one joint fewer, {n} at most"),
    "CHO-007": Sentence("{part}: one joint more than the job allows, {n} at most"),
    "CHO-101": Sentence(
        "this plan is for a saw that takes {kerf}; the job file says {usual}.",
        "Saw by it with such a blade only, or write its kerf into the job and plan again.",
    ),
    "CHO-102": Sentence(
        "this plan allows {most:joint|joints} in it, which is more than the job file does.",
        "Ask your plans' designer first; then write most_joints = {most} into the job.",
    ),
}
