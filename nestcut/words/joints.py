"""``JNT-…``: rules and divisions of joints."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "JNT-114": Sentence(
        "no joint along its {axis} brings '{part}' onto a sheet: across it the pieces would be "
        "{across} wide, and no sheet has that.",
        'Write joint = {{ along = "{other}" }}, allow it to be turned, or add a wider sheet.',
    ),
}
