"""What a code's words are made of."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sentence:
    """Templates of a code: ``what`` is so, and the ``remedy``.

    ``{name}`` stands for the value of that name in the reader's units; ``{n:sheet|sheets}`` for a
    count with its noun.  Where a sentence has two forms, it is two codes.
    """

    what: str
    remedy: str = ""
