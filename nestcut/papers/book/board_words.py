"""The words of a board: every cut in its order, what is kept, what is to be done to which piece."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nestcut.boards import SawCut, SawWay, Wood
from nestcut.papers.book.rips import comes_off, is_left_over, rip_width_mm
from nestcut.papers.view import BoardView, Figures
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.units import to_step

TOLD_MM = 20.0
"""A board of which more is left has enough to spare for one cut a little short. [mm]"""


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
    """What isn't used of a board's ends: cut 1 takes it off the one, nothing off the other.

    Boards that no cuts right through part have no cut 1.
    """
    if board.end_trim_mm <= 0.0:
        return ""
    trim = f"{figures.place(board.end_trim_mm)}{figures.tail}"
    first = f"cut 1: left of {trim}" if board.saw_cuts else f"first {trim} not used"
    return f"{first} · last {trim} not used"


def least_words(board: BoardView, figures: Figures) -> str:
    """How long a board must be where its pieces leave little of it; else nothing."""
    last = max((c.to_mm for c in board.parted), default=0.0)
    if board.layout.length_mm - last >= TOLD_MM:
        return ""
    return f"at least {figures.place(last)}{figures.tail} needed"


def keep_size(board: BoardView, figures: Figures) -> str:
    """Length of a board's KEEP: from behind the blade, as printed, to where the end isn't used.

    As on sheets and boards for sawn curves: what is trimmed is in no KEEP.
    """
    if board.keep_mm is None:
        return ""
    return f"{figures.place(_long_mm(board, board.keep_mm, figures))}{figures.tail}"


def strip_size(board: BoardView, strip: Wood, figures: Figures) -> str:
    """Length and width of a strip that is kept, as its cuts are printed."""
    low, high = strip.across_mm
    long = figures.place(_long_mm(board, strip.along_mm, figures))
    return f"{long} x {figures.place(high - low)}{figures.tail}"


def strip_length(board: BoardView, strip: Wood, figures: Figures) -> str:
    """Tell the length of the one strip that its drawing calls KEEP without a size."""
    return f"KEEP {figures.place(_long_mm(board, strip.along_mm, figures))}{figures.tail}"


def _long_mm(board: BoardView, along_mm: tuple[float, float], figures: Figures) -> float:
    """How long it is from one printed mark to the other, blades taken off. [mm]"""
    begins, ends = (_as_marked(board, at_mm, figures) for at_mm in along_mm)
    return ends - begins


def _as_marked(board: BoardView, at_mm: float, figures: Figures) -> float:
    """Where wood ends whose cut is marked as printed: at the mark, or a blade beside it. [mm]"""
    marks = [c.at_mm for c in board.saw_cuts if c.way is SawWay.CROSSCUT]
    for blade_mm in (0.0, -board.kerf_mm, board.kerf_mm):
        if any(abs(mark - at_mm - blade_mm) < SAME_LENGTH_MM for mark in marks):
            return to_step(at_mm + blade_mm, figures.place_step_mm) - blade_mm
    return to_step(at_mm, figures.place_step_mm)


def strips_words(board: BoardView, strips: Sequence[Wood], figures: Figures) -> tuple[str, ...]:
    """Strips that are kept whose sizes have no room on the drawing: how large, and beside what."""
    by_size: dict[str, list[str]] = {}
    for strip in strips:
        by_size.setdefault(strip_size(board, strip, figures), []).append(_beside(board, strip))
    return tuple(f"KEEP {size}: {', '.join(places)}" for size, places in by_size.items())


def _beside(board: BoardView, strip: Wood) -> str:
    """Where a strip lies, told by the nearest pieces: behind one, else above or below some."""
    (begins, ends), (low, high) = strip.along_mm, strip.across_mm
    parted = [(c.number, c.cut) for c in board.cuts] + [(b.number, b.cut) for b in board.blanks]
    row = [(n, c) for n, c in parted if c.rip_from_mm < high and c.rip_to_mm > low]
    column = [(n, c) for n, c in parted if c.from_mm < ends and c.to_mm > begins]
    sides = (
        ("right of", [(begins - c.to_mm, n) for n, c in row]),
        ("above", [(low - c.rip_to_mm, n) for n, c in column]),
        ("below", [(c.rip_from_mm - high, n) for n, c in column]),
    )
    for word, gaps in sides:
        clear = [(gap, n) for gap, n in gaps if gap > -SAME_LENGTH_MM]
        if clear:
            nearest = min(clear)[0] + SAME_LENGTH_MM
            return f"{word} {pieces_word(sorted(n for gap, n in clear if gap <= nearest))}"
    return ""


def marking_words(boards: Sequence[BoardView]) -> str:
    """How boards are marked and sawn: told once, at the head of their page.

    Places along a board run from its old end through all kerfs, so only marks made before hold.
    Rips are told by width: a blade that isn't just as wide as said would shift mark after mark.
    """
    is_trimmed = any(b.end_trim_mm > 0.0 for b in boards)
    told = (
        "before any cut mark every cross-cut with its number, on its own strips alone, from the "
        f"{'raw ' if is_trimmed else ''}black end"
    )
    if is_trimmed:
        told += " (cut 1 takes it off: don't measure from there again)"
    told += "; saw by number, blade on the side told"
    if any(c.way is SawWay.RIP for b in boards for c in b.saw_cuts):
        told += (
            "; rips (cuts along) need no marks: fence at the width told, on the lower edge, then "
            "on the edge last sawn"
        )
    return told


def saw_words(board: BoardView, figures: Figures) -> str:
    """Every cut of a board in its order, to the last one; the black end's stands by its name."""
    if not board.saw_cuts:
        alone = len(board.parted) <= 1
        return (
            ""
            if alone
            else "no cut right through parts these pieces: mark them from the black end and the "
            "lower edge, saw round them one by one"
        )
    numbers = {c.piece.id: c.number for c in board.cuts}
    numbers |= {b.cut.piece: b.number for b in board.blanks}
    told = []
    for first, cuts in _runs(board):
        if first == 1 and board.end_trim_mm > 0.0:
            continue  # beside the board's name
        which = cuts_word([first + k for k in range(len(cuts))])
        words = _rip_words if cuts[0].way is SawWay.RIP else _crosscut_words
        told.append(f"{which}: {words(board, cuts, numbers, figures)}")
    return " · ".join(told)


def _crosscut_words(
    board: BoardView, cuts: Sequence[SawCut], numbers: Mapping[str, int], figures: Figures
) -> str:
    """Crosscuts that take one piece after another off, or the same length off strips."""
    head = cuts[0]
    whose = sorted({numbers[p] for c in cuts for p in c.pieces})
    places = list(dict.fromkeys(figures.place(c.at_mm) for c in cuts))
    each = " each" if len(places) < len(cuts) else ""
    some = f" {pieces_word(whose)}" if each or len(whose) < len(numbers) else ""
    side = "left of" if head.ends_mm is None else "right of"  # the black end is drawn at the left
    off = f": KEEP {keep_size(board, figures)}" if head.is_keep else ""
    return f"cross-cut{some}{each} {side} {', '.join(places)}{off}"


def _rip_words(
    board: BoardView, cuts: Sequence[SawCut], numbers: Mapping[str, int], figures: Figures
) -> str:
    """Rips of one width by what comes off, and what is left behind the last of all."""
    head, last = cuts[0], cuts[-1]
    wide = f"{figures.place(rip_width_mm(board, head))}{figures.tail}"
    if head.ends_mm is None:
        edge = f"{wide} off the lower edge"
        return f"plane {edge}: too thin to saw" if head.is_planed else f"rip {edge}, blade included"
    off = sorted(numbers[p] for c in cuts for p in comes_off(board, c))
    if head.is_planed:
        return f"plane {pieces_word(off)}, upper edge, to {wide} wide: too thin to saw"
    words = f"rip off {pieces_word(off)}{':' if len(off) > 1 else ','} {wide} wide"
    rest = last.pieces - comes_off(board, last)
    if rest and is_left_over(board, last):
        left = figures.place(board.layout.width_mm - (last.begins_mm or 0.0))
        whole = figures.thickness(board.layout.width_mm)
        words += (
            f"; rest ({pieces_word(sorted(numbers[p] for p in rest))}) {left}{figures.tail} wide "
            f"if the board is {whole}"
        )
    return words


def told_words(keyed: Mapping[str, Sequence[str]]) -> str:
    """What is to be done to which pieces, and those whose names have no room on the drawing."""
    return " · ".join(
        f"{_whose(whose)}: {todo}" if todo else " · ".join(whose) for todo, whose in keyed.items()
    )


def _whose(whose: Sequence[str]) -> str:
    """Numbers of pieces, or names where the drawing has no room for them."""
    are_numbers = all(w.isdecimal() for w in whose)
    return pieces_word([int(w) for w in whose]) if are_numbers else ", ".join(whose)


def _runs(board: BoardView) -> list[tuple[int, list[SawCut]]]:
    """Cuts that are told together, with the first one's number."""
    runs: list[tuple[int, list[SawCut]]] = []
    for number, cut in enumerate(board.saw_cuts, start=1):
        is_first = number == 2 and board.end_trim_mm > 0.0
        if runs and not is_first and _goes_on(board, runs[-1][1], cut):
            runs[-1][1].append(cut)
        else:
            runs.append((number, [cut]))
    return runs


def _goes_on(board: BoardView, run: Sequence[SawCut], cut: SawCut) -> bool:
    """Whether a cut takes the next piece off what is left, or the same length off another strip."""
    before = run[-1]
    if before.way is not cut.way or before.is_keep:
        return False
    if (before.ends_mm is None) is not (cut.ends_mm is None):
        return False
    if cut.way is SawWay.RIP:
        return (
            cut.pieces < before.pieces
            and cut.ends_mm is not None
            and not before.is_planed
            and not cut.is_planed
            and abs(rip_width_mm(board, before) - rip_width_mm(board, cut)) < SAME_LENGTH_MM
        )
    is_same_mark = all(abs(c.at_mm - cut.at_mm) < SAME_LENGTH_MM for c in run)
    others = frozenset(p for c in run for p in c.pieces)
    if is_same_mark and not others & cut.pieces:
        return True
    return cut.pieces < before.pieces and (len(run) == 1 or run[0].pieces > run[1].pieces)
