"""Stock: how pieces lie on sheets and boards, what is left over, and what has to be bought."""

from nestcut.verify.stock.boards import check_boards
from nestcut.verify.stock.bounds import check_bounds, check_figures
from nestcut.verify.stock.buying import check_buying
from nestcut.verify.stock.missing import check_missing
from nestcut.verify.stock.offcuts import check_offcuts
from nestcut.verify.stock.reasons import check_apart, check_reasons
from nestcut.verify.stock.reserves import check_reserves
from nestcut.verify.stock.shared import check_shared
from nestcut.verify.stock.sheets import check_layout, check_numbers, stocks_by_name

__all__ = [
    "check_apart",
    "check_boards",
    "check_bounds",
    "check_buying",
    "check_figures",
    "check_layout",
    "check_missing",
    "check_numbers",
    "check_offcuts",
    "check_reasons",
    "check_reserves",
    "check_shared",
    "stocks_by_name",
]
