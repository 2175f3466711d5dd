"""Lists of texts: what is cut, bought and joined, where material goes; as rows and as CSV.

No page is laid out here.
"""

from nestcut.papers.lists.amount_words import amount_words
from nestcut.papers.lists.amounts import amounts_of
from nestcut.papers.lists.board_feet import board_feet_to_buy
from nestcut.papers.lists.csv_lists import (
    buying_list_csv,
    cut_list_csv,
    joints_csv,
    safe_text,
    to_csv,
    usage_csv,
)
from nestcut.papers.lists.joint_words import (
    OTHER_END,
    end_words,
    rule_words,
    seam_words,
    word_words,
)
from nestcut.papers.lists.lists import (
    COST_NOTE,
    UNKNOWN_COST,
    BuyRow,
    CutRow,
    JointRow,
    buy_rows,
    buy_total_minor,
    buy_total_words,
    cost_words,
    cut_rows,
    joint_rows,
    planed_words,
    price_words,
    rows_by_supplier,
    size_words,
    stock_words,
)
from nestcut.papers.lists.summary import summary_text
from nestcut.papers.lists.usage import SHARES, Usage, UsageLine, usage_notes, usage_of
from nestcut.papers.lists.use_words import use_words

__all__ = [
    "COST_NOTE",
    "OTHER_END",
    "SHARES",
    "UNKNOWN_COST",
    "BuyRow",
    "CutRow",
    "JointRow",
    "Usage",
    "UsageLine",
    "amount_words",
    "amounts_of",
    "board_feet_to_buy",
    "buy_rows",
    "buy_total_minor",
    "buy_total_words",
    "buying_list_csv",
    "cost_words",
    "cut_list_csv",
    "cut_rows",
    "end_words",
    "joint_rows",
    "joints_csv",
    "planed_words",
    "price_words",
    "rows_by_supplier",
    "rule_words",
    "safe_text",
    "seam_words",
    "size_words",
    "stock_words",
    "summary_text",
    "to_csv",
    "usage_csv",
    "usage_notes",
    "usage_of",
    "use_words",
    "word_words",
]
