"""The gate: limits that everything from outside meets before any work is done on it.

Files come in here and nowhere else, whole or refused; numbers and texts of a job are measured
before they are read; names lose their control signs.  A refusal is a finding, never a crash.
"""

from nestcut.gate.document import MAX_LENGTH_MM, MAX_PIECES, Measured, measure, scan, tables_of
from nestcut.gate.files import MAX_BYTES, FileKind, is_plain_file, is_wide, read_file, read_text
from nestcut.gate.signs import plain, plain_line

__all__ = [
    "MAX_BYTES",
    "MAX_LENGTH_MM",
    "MAX_PIECES",
    "FileKind",
    "Measured",
    "is_plain_file",
    "is_wide",
    "measure",
    "plain",
    "plain_line",
    "read_file",
    "read_text",
    "scan",
    "tables_of",
]
