"""Placing irregular shapes: polygons in, positions out. No parts, no prices in money, no kerf.

Here belong the search for layouts of polygons in containers (a strip, sheets, offcuts) and the
geometry only that search needs: convex covers, overlap depth, bottom-left placing, compaction.
Outlines come in already grown by half the clearance; who an item is, which way its grain runs and
what a container costs in money is :mod:`nestcut.sheets`' business.  Nothing here proves a layout:
that is the verifier's.

Start with :mod:`nestcut.nesting.problem` (the records), then

- :func:`nestcut.nesting.bins.first_layout`: one pass of bottom-left, at once;
- :func:`nestcut.nesting.bins.pack_bins`: least cost of containers;
- :func:`nestcut.nesting.bins.fits`, ``settle``: does this set fit into this container, these;
- :func:`nestcut.nesting.strip.pack_strip`: fixed height, shortest length.
"""
