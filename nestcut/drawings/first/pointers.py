"""The key of a part's table that finds an outline and no other, the most readable first."""

from __future__ import annotations

from collections import defaultdict

from nestcut.drawings.pick import fold, label_names, same_size
from nestcut.drawings.records import Drawing, DrawnOutline


class Pointers:
    """Names of one drawing's outlines, looked up once."""

    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        self._by_label: dict[str, list[DrawnOutline]] = defaultdict(list)
        self._by_layer: dict[str, list[DrawnOutline]] = defaultdict(list)
        self._by_block: dict[str, list[DrawnOutline]] = defaultdict(list)
        self._own = {id(o) for o in drawing.outlines}
        for outline in drawing.outlines:
            for label in label_names(outline):
                self._by_label[label].append(outline)
            for block in dict.fromkeys(map(fold, (outline.block, *outline.block.split("/")))):
                self._by_block[block].append(outline)
            for layer in dict.fromkeys(map(fold, (outline.layer, *outline.also_on))):
                self._by_layer[layer].append(outline)

    def key_of(self, outline: DrawnOutline) -> tuple[str, str]:
        """Return key and value."""
        if id(outline) in self._own:
            if outline.labels and self._is_labelled(outline):
                return "label", outline.name
            if outline.block and _is_first(self._by_block[fold(outline.block)], outline):
                return "block", outline.block
            if _is_first(self._by_layer[fold(outline.layer)], outline):
                return "layer", outline.layer
        if outline.number:
            known = self._drawing.unclosed  # numbers up to this one hold with gaps open or closed
            of = known if outline.number <= known else self._drawing.numbered
            return "outline", f"{outline.number} of {of}"
        return "handle", outline.handles[0] if outline.handles else ""

    def _is_labelled(self, outline: DrawnOutline) -> bool:
        """Whether its name finds it: a label that is just this comes before others that hold it."""
        found = self._by_label[fold(outline.name)]
        exact = [o for o in found if fold(o.name) == fold(outline.name)]
        return _is_first(exact if len(exact) == 1 else found, outline)


def _is_first(found: list[DrawnOutline], outline: DrawnOutline) -> bool:
    """Whether it is taken of those found: the only one, or the first of equals."""
    return found[0] is outline and all(same_size(outline, o) for o in found[1:])
