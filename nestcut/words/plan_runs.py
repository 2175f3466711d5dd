"""``PLN-…``: how a run of the search went."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "PLN-001": Sentence(
        "a later plan of this search did not stand up ({reason}), which is our fault; the plan "
        "kept is the last one that was proven.",
        "It is safe to cut by, but may take more stock than need be; please report the job.",
    ),
}
