"""Flotation: densities of water, and what is taken off a box's volume to be on the safe side."""

from __future__ import annotations

from nestcut.trade.figure import Figure

FRESH_WATER_KG_M3 = Figure(1000.0, "kg/m3", "USCG Boatbuilder's Handbook, Flotation: 62.4 lb/ft3")
"""The handbook's figure is 999.6; the lighter water of the two bears less by nothing that shows."""
