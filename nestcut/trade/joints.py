"""Joints: slopes, straps, keys, laps, and how far they keep from each other."""

from __future__ import annotations

from nestcut.trade.figure import Figure

_WOOD_HANDBOOK = "USDA Wood Handbook, FPL-GTR-190 (2010), ch. 10, End-Grain Joints"
_SPLICES = "FAA AC 43.13-1B, para 1-40 (spars; a model, not a rule for boats)"
_PLANKING = "US Army TB 55-1900-201-45/1, para 2-13"

SLOPE_PLYWOOD = Figure(8.0, "-", _WOOD_HANDBOOK)
"""Scarf in plywood unless said, run per thickness: 1 in 8 is typical of structural products."""
SLOPE_SOLID = Figure(12.0, "-", _WOOD_HANDBOOK)
"""Scarf in solid wood unless said: 1 in 12 or flatter gives the highest strength."""
LEAST_SLOPE = Figure(6.0, "-")
"""Scarf that is refused when steeper, unless the job accepts a weak joint."""

STRAP_WIDTH_THICKNESSES = Figure(16.0, "-")
"""Width of a butt strap over all, in panel thicknesses, unless said; 16 to 20 are seen."""
LEAST_STRAP_THICKNESSES = Figure(8.0, "-")
"""Strap that is refused when narrower over all, unless the job accepts a weak joint."""
MOST_STRAP_THICKNESSES = Figure(60.0, "-")
"""A wider strap was meant in another unit."""
STRAP_MARGIN_MM = Figure(10.0, "mm")
"""How far a strap stops short of the panel's edges, for what is glued there, unless said."""
LONGEST_STRAP_MM = Figure(1150.0, "mm")
"""Longest strap in one length, along the joint: its grain runs across the joint, so it lies across
a sheet 4 ft wide, less some room."""

KEY_BIT_MM = Figure(6.0, "mm")
"""Router bit of keyed joints unless said."""
KEY_CLEARANCE_MM = Figure(0.1, "mm")
"""Play between keys unless said."""

RUN_OUT = Figure(10.0, "-")
"""Solid wood cut along a curve: the grain runs out at an edge at most 1 in this, unless said."""

CLEAR_WOOD_OVERLAPS = Figure(3.0, "-", _SPLICES)
"""Least clear wood between two joints, in overlaps of the longer one."""
TWIN_STAGGER_OVERLAPS = Figure(2.0, "-")
"""Least distance of a rail's joints from those of the other hand's, middle to middle, in overlaps,
where nestcut chooses the places and the job says nothing: a whole overlap between them."""
STAGGER_ODD_FRAMES_MM = Figure(5.0 * 304.8, "mm", _PLANKING)
"""Least distance of butts in adjacent planks where frames are spaced oddly: 5 ft."""
LEAST_PIECE_SHARE = Figure(0.125, "-")
"""Least piece as a share of its part, where the job names none."""
KEEP_CLEAR_WITHIN_MM = Figure(50.0, "mm")
"""Half a keep-clear stretch given by its middle, unless said."""
HARD_BEND_SHARE = Figure(0.9, "-")
"""A rail is bent hardest where its curve is at least this share of the hardest."""
EVEN_BEND_SHARE = Figure(0.33, "-")
"""Where so much of a rail is bent alike no place of it is the hardest."""
GENTLE_BEND_THICKNESSES = Figure(1000.0, "-")
"""A rail bent to a radius of more of its thicknesses than this is as good as straight: its
outermost fibre is stretched by a two-thousandth."""
GENTLE_PANEL_RADII = Figure(2.0, "-")
"""A panel bent to so many of the least radii of its thickness isn't bent hard anywhere."""
MOST_BAND_PIECES = Figure(24, "pieces")
"""No band along a curve is made of more."""
MORE_JOINTS_TRIED = Figure(2, "joints")
"""Joints beyond the fewest possible that are thought of, where no rule says how many are allowed:
nobody glues up a rail from scraps."""
JOINT_WORTH_SHARE = Figure(0.1, "-")
"""What a joint avoided in a sheet is worth, in prices of the cheapest sheet: an hour of planing,
gluing and waiting."""
RAIL_JOINT_WORTH_SHARE = Figure(0.25, "-")
"""What a joint avoided in a rail is worth, in prices of the mean board: an evening's planing and
glue against a quarter of a board."""
