"""Lengths as people write and read them; inside, everything is in millimetres."""

from nestcut.units import (
    LengthError,
    LengthStyle,
    format_length,
    format_mm,
    format_slope,
    parse_length_mm,
)

__all__ = [
    "LengthError",
    "LengthStyle",
    "format_length",
    "format_mm",
    "format_slope",
    "parse_length_mm",
]
