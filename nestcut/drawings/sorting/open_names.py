"""Names that stand in outlines which stay open for gaps: parts that would be missed silently."""

from __future__ import annotations

from nestcut.drawings.lines.gaps import GapFault
from nestcut.drawings.lines.loops import Loop
from nestcut.drawings.records import Label
from nestcut.drawings.sorting.labels import by_loop, in_order, is_part_name, may_name, plain_name


def open_names(
    faults: list[GapFault], loops: list[Loop], labels: list[Label]
) -> list[tuple[str, GapFault]]:
    """Return each name that stands in an open outline, with one of the gaps that keep it open.

    ``loops`` are what closes already: a text in one of these is that one's.
    """
    nearly = {id(loop): (loop, fault) for fault in faults for loop in fault.outlines}
    opens = [loop for loop, _ in nearly.values()]
    found = by_loop([*loops, *opens], labels)
    made = []
    for i, loop in enumerate(opens, start=len(loops)):
        names = [s for s in in_order(found[i]) if is_part_name(s.text) and may_name(s.text)]
        if names:
            made.append((plain_name(names[0].text), nearly[id(loop)][1]))
    return made
