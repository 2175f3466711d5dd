"""How a layer shows: on, switched off, frozen, locked, never printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nestcut.drawings.records import Seen

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

NEVER_PRINTED = frozenset({"defpoints"})
"""Layers that drawing programs never print, whatever their settings say (common practice)."""


@dataclass(frozen=True, slots=True)
class LayerLook:
    """What a layer hands down to what is drawn on it."""

    seen: Seen = Seen.SHOWN
    colour: int = 7
    linetype: str = "CONTINUOUS"


def layer_looks(document: Document) -> dict[str, LayerLook]:
    """Return the looks of all layers by their names in lower case."""
    looks = {}
    for layer in document.layers:
        name = str(layer.dxf.get("name", "")).lower()
        if layer.is_frozen():
            seen = Seen.FROZEN
        elif layer.is_off():
            seen = Seen.OFF
        elif name in NEVER_PRINTED or int(layer.dxf.get("plot", 1)) == 0:
            seen = Seen.UNPRINTED
        elif layer.is_locked():
            seen = Seen.LOCKED
        else:
            seen = Seen.SHOWN
        looks[name] = LayerLook(
            seen, abs(int(layer.dxf.get("color", 7))), str(layer.dxf.get("linetype", "CONTINUOUS"))
        )
    return looks
