"""Rails with free joints at proven least cost: purchases tried in rising cost, each to the end.

The first purchase whose strips give every rail is the cheapest there is, since all below it are
proven impossible (:class:`PurchaseSearch`).
"""

from nestcut.boards.proof.cheapest import PurchaseSearch

__all__ = ["PurchaseSearch"]
