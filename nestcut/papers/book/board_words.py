"""The words of a board: every cut in its order, what is kept, what is to be done to which piece."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nestcut.boards import SawCut, SawWay
from nestcut.papers.view import BoardView, Figures
from nestcut.units import to_step


def cuts_word(numbers: Sequence[int]) -> str:
    """Name cuts by their numbers: ``cut 3``, ``cuts 4 to 7``."""
    return f"cut{'s' if len(numbers) > 1 else ''} {run_words(numbers)}"


def pieces_word(numbers: Sequence[int]) -> str:
    """Name pieces by their numbers on a board: ``piece 3``, ``pieces 4 to 7``."""
    return f"piece{'s' if len(numbers) > 1 else ''} {run_words(numbers)}"


def run_words(numbers: Sequence[int]) -> str:
    """Numbers, those that follow each other in short: ``4 to 7``."""
    is_run = len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1
    return f"{numbers[0]} to {numbers[-1]}" if is_run else ", ".join(map(str, numbers))


def end_words(board: BoardView, figures: Figures) -> str:
    """What isn't used of a board's ends: cut 1 takes it off the one, nothing off the other."""
    if board.end_trim_mm <= 0.0:
        return ""
    trim = f"{figures.place(board.end_trim_mm)}{figures.tail}"
    kept = ", nor in KEEP's length" if board.keep_mm is not None else ""
    return f"{trim} off its black end, the last {trim} not used{kept}"


def keep_size(board: BoardView, figures: Figures) -> str:
    """Length of a board's KEEP: what the printed figures leave between blade and unused end.

    As on boards for sawn curves, and as the plan counts it: an end may be checked.
    """
    if board.keep_mm is None:
        return ""
    step_mm = figures.place_step_mm
    cut = board.keep_mm[0] - board.kerf_mm
    at, end = (to_step(v, step_mm) for v in (cut, board.keep_mm[1]))
    return f"{figures.place(end - at - board.kerf_mm)}{figures.tail}"


def saw_words(board: BoardView, figures: Figures) -> str:
    """Every cut of a board in its order, to the last one."""
    if not board.saw_cuts:
        alone = len(board.parted) <= 1
        return (
            "" if alone else ("no cut right through parts these pieces: saw round them one by one")
        )
    numbers = {c.piece.id: c.number for c in board.cuts}
    numbers |= {b.cut.piece: b.number for b in board.blanks}
    told = []
    for first, cuts in _runs(board.saw_cuts):
        head = cuts[0]
        whose = sorted(numbers[p] for p in head.pieces)
        some = f" {pieces_word(whose)}" if len(whose) < len(numbers) else ""
        at = ", ".join(figures.place(c.at_mm) for c in cuts)
        off = f": KEEP {keep_size(board, figures)}" if head.is_keep else ""
        which = cuts_word([first + k for k in range(len(cuts))])
        if head.is_planed:
            way = "down" if head.begins_mm is None else "up"
            told.append(f"{which}: plane{some} {way} to {at} (too thin to saw)")
            continue
        told.append(f"{which}: {_WAYS[head.way]}{some} {side_of(head)} {at}{off}")
    return " · ".join(told)


def side_of(cut: SawCut) -> str:
    """On which side of its mark the blade runs, on the drawing: the black end is at the left."""
    before, behind = _SIDES[cut.way]
    return before if cut.ends_mm is None else behind


_WAYS = {SawWay.CROSSCUT: "cross-cut", SawWay.RIP: "rip"}
_SIDES = {SawWay.CROSSCUT: ("left of", "right of"), SawWay.RIP: ("below", "above")}


def told_words(keyed: Mapping[str, Sequence[str]]) -> str:
    """What is to be done to which pieces, and those whose names have no room on the drawing."""
    return " · ".join(
        f"{_whose(whose)}: {todo}" if todo else " · ".join(whose) for todo, whose in keyed.items()
    )


def _whose(whose: Sequence[str]) -> str:
    """Numbers of pieces, or names where the drawing has no room for them."""
    are_numbers = all(w.isdecimal() for w in whose)
    return pieces_word([int(w) for w in whose]) if are_numbers else ", ".join(whose)


def _runs(cuts: Sequence[SawCut]) -> list[tuple[int, list[SawCut]]]:
    """Cuts that take one piece after another off what is left, with the first one's number."""
    runs: list[tuple[int, list[SawCut]]] = []
    for number, cut in enumerate(cuts, start=1):
        before = runs[-1][1][-1] if runs else None
        goes_on = (
            before is not None
            and before.way is cut.way
            and (before.ends_mm is None) is (cut.ends_mm is None)
            and cut.pieces < before.pieces
            and not before.is_keep
            and not cut.is_planed
        )
        if goes_on:
            runs[-1][1].append(cut)
        else:
            runs.append((number, [cut]))
    return runs
