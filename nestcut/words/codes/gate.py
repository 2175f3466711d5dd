"""``FIL-…``: files that are refused at the door; ``LIM-…``: what is beyond any boat."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "FIL-001": Sentence(
        "the {kind} can't be read ({reason}).",
        "Check the folder and the spelling of the name.",
    ),
    "FIL-002": Sentence(
        "this is no plain file but a pipe or a device; a {kind} is wanted.",
        "Save it as a file first.",
    ),
    "FIL-003": Sentence(
        "this is larger than any {kind} needs to be: {megabytes} MB are read at most, and a file "
        "is never read in part.",
        "Check that it is the right file; take out what isn't needed.",
    ),
    "FIL-004": Sentence(
        "that is a folder; a {kind} is wanted.",
        "Name the file in it.",
    ),
    "FIL-005": Sentence(
        "this is no UTF-8 text (byte {place}); a {kind} is wanted.",
        "Save it as UTF-8.",
    ),
    "LIM-001": Sentence(
        "a number of {digits} digits stands here; {limit} are read at most.",
        "Write the real size.",
    ),
    "LIM-002": Sentence(
        "'{word}' is no finite number.",
        "Write the real size.",
    ),
    "LIM-003": Sentence(
        "this text has {signs} signs; {limit} are read at most.",
        "Shorten it.",
    ),
    "LIM-004": Sentence(
        "there are {count} of these; {limit} are read at most.",
        "Check the file; split a larger job into several.",
    ),
    "LIM-005": Sentence(
        "tables lie in tables {depth} deep here; {limit} are read at most.",
        "Check the file.",
    ),
    "LIM-007": Sentence(
        "control signs in this text were left out.",
        "Write it without them.",
    ),
    "LIM-008": Sentence(
        "this number is far beyond any boat: {word}.",
        "Write the real size.",
    ),
    "LIM-009": Sentence(
        "this is finer than any saw: a curve would have more points than can be searched.",
        "Write at least {least}.",
    ),
    "LIM-010": Sentence(
        "{count} pieces are asked for in all; {limit} are planned at most.",
        "Check the counts; split a larger job into several.",
    ),
}
