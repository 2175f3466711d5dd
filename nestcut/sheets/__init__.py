"""Flat pieces onto sheets: from pieces and stock to layouts, with bounds and reasons.

Here belongs everything between the model's pieces and the engine's polygons: grouping by material
and thickness, clearance, edge trim and keep-outs, grain, faces and hands as allowed turns and
lies, money, offcuts, lower bounds, and the choice among verified sheet layouts.  How polygons
are pushed about belongs to :mod:`nestcut.nesting`; who splits long parts is
:mod:`nestcut.joints`; proving a plan is :mod:`nestcut.verify`'s, which shares nothing with this
room.  No files, no clock but :class:`nestcut.search.settings.Deadline`.

The one call for others is :func:`nestcut.sheets.solve.lay_out_sheets`.
"""
