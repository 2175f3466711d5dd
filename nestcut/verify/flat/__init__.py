"""Flat pieces against their parts: true lines, flattened points, marks, shares, bands, straps."""

from nestcut.verify.flat.bands import check_bands
from nestcut.verify.flat.pieces import check_flat
from nestcut.verify.flat.shapes import check_sound
from nestcut.verify.flat.straps import check_straps

__all__ = ["check_bands", "check_flat", "check_sound", "check_straps"]
