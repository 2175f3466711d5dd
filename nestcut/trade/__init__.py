"""Numbers of the trade, each once: what it is, its unit, and where it is from.

A default slope, a strap's width, how far a litre of resin goes: whoever needs such a number takes
it from here, and nobody else holds one.  A number is a :class:`Figure`, a pair of bounds a
:class:`Span`; both carry their source, a standard or handbook, or the words of
:data:`COMMON_PRACTICE`.  Tolerances of the arithmetic are in :mod:`nestcut.tolerances`, not here.

One module a trade: ``joints``, ``woods``, ``boards``, ``coatings``, ``flotation``, ``shop``.
"""

from nestcut.trade import boards, coatings, flotation, joints, shop, woods
from nestcut.trade.figure import COMMON_PRACTICE, Figure, Span

__all__ = [
    "COMMON_PRACTICE",
    "Figure",
    "Span",
    "boards",
    "coatings",
    "flotation",
    "joints",
    "shop",
    "woods",
]
