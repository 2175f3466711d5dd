"""Letters that tell rings and doubtful holes apart in a picture."""

from __future__ import annotations


def letters(index: int) -> str:
    """A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
