"""``RDB-…``: files that don't say what their plan says; nothing is then written."""

from nestcut.words.sentence import Sentence

_REMEDY = "Nothing was written; this is our fault, please report the job."

SENTENCES = {
    "RDB-001": Sentence("its drawing isn't there, or is there twice.", _REMEDY),
    "RDB-002": Sentence("the {what} drawn aren't those that lie on sheet {sheet}.", _REMEDY),
    "RDB-003": Sentence("'{name}' doesn't stand in it just once, as the plan has it.", _REMEDY),
    "RDB-004": Sentence("what it says of '{name}' isn't what the plan says.", _REMEDY),
}
