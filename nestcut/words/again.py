"""``AGN-…``: planning again after a mishap."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "AGN-001": Sentence(
        "the plan has no piece of this name.",
        "Give names as the cut list has them, in quotes: 'side panel, port, piece 2 of 3'.",
    ),
    "AGN-002": Sentence(
        "nothing has to be made again: no piece is spoilt, none was left without a place.",
        "Mark spoilt pieces in shop.html and save the ticks, or name them with --spoilt.",
    ),
    "AGN-003": Sentence(
        "the papers on the wall are from this folder; they stay as they are.",
        "Choose another with --out, or leave it out.",
    ),
}
