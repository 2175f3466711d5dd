"""``AGN-…``: planning again after a mishap."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "AGN-001": Sentence(
        "the plan has no piece of this name.",
        "Give names as the cut list has them, in quotes: 'side panel, port, piece B of 3'.",
    ),
    "AGN-010": Sentence(
        "the plan has no single piece of this name.",
        "Name one as the cut list does, in quotes: {near}.",
    ),
    "AGN-011": Sentence(
        "this piece is named as cut and as spoilt.",
        "One that has to be made again is spoilt: name it once.",
    ),
    "AGN-009": Sentence(
        "the plan in {folder} goes on from this one, and knows of sawn pieces that would be forgotten "
        "here: {pieces}.",
        "Go on from the newest plan: nestcut again {folder} ... To begin again from this one all the "
        "same, name those pieces too (--cut, --spoilt), or move that folder away.",
    ),
    "AGN-002": Sentence(
        "nothing has to be made again: no piece is spoilt, none was left without a place.",
        "Mark spoilt pieces in shop.html and save the ticks, name them with --spoilt, or give a changed "
        "job with --job.",
    ),
    "AGN-004": Sentence(
        "the stage names a part '{part}' that the plan hasn't.",
        "Name parts as the job file does; 'nestcut check' lists them.",
    ),
    "AGN-005": Sentence("two stages name this part.", "Leave it in the stage that needs it first."),
    "AGN-006": Sentence(
        "this is no order of stages: {fault}.",
        'Write [[stage]] tables, each with a name and parts = ["frame 1", "transom"].',
    ),
    "AGN-007": Sentence(
        "what is cut was laid out {then} apart, and the job asks for {now} now.",
        "Leave [saw] as it was; give other stock a [[saw]] of its own by name.",
    ),
    "AGN-008": Sentence(
        "the plan was written by an older nestcut and doesn't say what its sheets and boards are.",
        "Put the job back as it was, or write the plan anew with 'nestcut report' before changing it.",
    ),
    "AGN-003": Sentence(
        "the papers on the wall are from this folder; they stay as they are.",
        "Choose another with --out, or leave it out.",
    ),
}
