"""``JNT-…``: joints and the rules about them."""

from nestcut.trade.joints import SLOPE_PLYWOOD, SLOPE_SOLID
from nestcut.words.sentence import Sentence

_RAILS = (
    f'Use kind = "scarf" ({SLOPE_PLYWOOD.value:g}:1, or {SLOPE_SOLID.value:g}:1 where it is loaded). '
    "Where your plans show a butt with a block behind it, between frames, write each length and the "
    "block as rails of their own."
)

SENTENCES = {
    "JNT-112": Sentence(
        "a rail isn't joined by a butt and a strap: end grain glued to end grain holds a quarter of "
        "the wood's strength at best, the strap would carry all the rest, and a bent rail kinks at "
        "the strap's ends.",
        _RAILS,
    ),
    "JNT-114": Sentence(
        "a rail isn't joined by keys: they are cut with a router into the edges of sheets, and solid "
        "wood splits at their necks.",
        _RAILS,
    ),
}
