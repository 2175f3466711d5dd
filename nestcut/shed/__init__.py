"""The stock book: what lies in the shed, kept from one job to the next.

A book is one small TOML file with a table for each sheet, board or offcut, written as job files
write stock, so that it can be read and mended with any editor.  Every change is written whole,
beside the book, and renamed over it; the states before stay in a folder beside it, and each of
them can be brought back.  Two runs at once wait for each other.
"""

from nestcut.shed.book import Book, Entry, NewEntry, Origin, parse_book
from nestcut.shed.edit import Change, changed_text, new_book_text
from nestcut.shed.file import go_back, read_book, states_of, write_change
from nestcut.shed.gather import Kept, gather_rest
from nestcut.shed.hand_out import handed_out, relevant_entries

__all__ = [
    "Book",
    "Change",
    "Entry",
    "Kept",
    "NewEntry",
    "Origin",
    "changed_text",
    "gather_rest",
    "go_back",
    "handed_out",
    "new_book_text",
    "parse_book",
    "read_book",
    "relevant_entries",
    "states_of",
    "write_change",
]
