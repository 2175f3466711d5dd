"""Ways to plan one boat, side by side: a picture of money, joints and offcuts, and a page of it."""

from nestcut.papers.choices.page import choices_page
from nestcut.papers.choices.picture import choices_drawings
from nestcut.papers.choices.row import ChoiceRow, best_rows, least_money, words_of

__all__ = [
    "ChoiceRow",
    "best_rows",
    "choices_drawings",
    "choices_page",
    "least_money",
    "words_of",
]
