"""How the printed papers are used: what each book is for, in which order, what their words mean."""

from __future__ import annotations

from enum import Enum, auto


class Has(Enum):
    """What a plan has that words of these papers are needed for."""

    SHEETS = auto()
    BOARDS = auto()
    JOINTS = auto()
    KEEPS = auto()
    TO_HAND = auto()
    """Stock that needn't be bought."""
    TRIM = auto()
    AFTER_DRY_FIT = auto()
    BEVELS = auto()
    BEVELS_TO_TRIM = auto()
    """Bevels on edges that have trim left on."""
    DOWN = auto()
    AFT = auto()


_BOOKS = (
    "This book says what is sawn from which sheet or board, and when; marking-out.pdf draws each "
    "outline."
)
_WAYS: tuple[tuple[Has, str], ...] = (
    (
        Has.SHEETS,
        "Sheets: set off each figure at both ends of its edge, mark all from the black corner, saw by number, "
        "coming in through waste; bore a start hole where none leads in, and for inside cuts.",
    ),
    (
        Has.BOARDS,
        "Boards: mark all cross-cuts from the black end, saw by the cuts' numbers.",
    ),
)
_PENCIL = (
    "Before you saw, pencil on every piece its number, name, FWD and UP, and GOOD or BACK on the "
    "face that its page names."
)
_THEN: tuple[tuple[frozenset[Has], str], ...] = (
    (frozenset({Has.JOINTS}), "joints (J1, J2: see Joints)"),
    (frozenset({Has.BEVELS}), "bevels of edges without trim"),
    (
        frozenset({Has.TRIM, Has.AFTER_DRY_FIT}),
        "dry fit, the hull without glue (edges where others meet or sit: {done} before)",
    ),
    (frozenset({Has.AFTER_DRY_FIT}), "what is CUT AFTER DRY FIT"),
    (frozenset({Has.TRIM}), "trim, cutting off what was left on (what overhangs: once glued)"),
    (frozenset({Has.BEVELS_TO_TRIM}), "other bevels, then dry fit again"),
)
_MEANINGS: tuple[tuple[Has | None, str], ...] = (
    (None, "GOOD: the better face, BACK: the other"),
    (None, "FWD: towards the bow"),
    (Has.AFT, "AFT: towards the stern"),
    (None, "UP: up in the boat"),
    (Has.DOWN, "DOWN end: the lower one"),
    (Has.SHEETS, "CL: centre line"),
    (Has.SHEETS, "base line: drawn first, the outline is measured from it"),
    (None, "kerf: what the blade takes"),
    (Has.KEEPS, "KEEP: an offcut to keep"),
    (None, "hatched: waste"),
    (Has.TO_HAND, "to hand: you have it"),
)


def how_to_use(has: frozenset[Has]) -> tuple[str, ...]:
    """Say how the papers of a plan are used, in a few sentences.

    Parameters
    ----------
    has
        What the plan has: of nothing else is anything said.
    """
    told = [_BOOKS] if Has.SHEETS in has else []
    told += [" ".join(words for need, words in _WAYS if need in has), _PENCIL]
    done = "trimmed and bevelled" if Has.BEVELS_TO_TRIM in has else "trimmed"
    then = [words.format(done=done) for needs, words in _THEN if needs & has]
    if then:
        told.append(f"Then, in this order: {'; '.join(then)}.")
    meanings = [words for need, words in _MEANINGS if need is None or need in has]
    told.append(f"{'; '.join(meanings)}.")
    return tuple(words for words in told if words)
