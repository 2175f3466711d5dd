"""``BEN-…``: the bench."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "BEN-001": Sentence("there is no such folder or job file.", "Check the name."),
    "BEN-002": Sentence(
        "the page needs two packages more.", "Install them: pip install 'nestcut[bench]'."
    ),
    "BEN-003": Sentence("can't listen there ({reason}).", "Leave --port out, or choose another."),
}
