"""Placing irregular shapes: polygons in, positions out. No parts, no prices in money, no kerf.

Here belong the search for layouts of polygons in containers (a strip, sheets, offcuts) and the
geometry only that search needs.  Outlines come in already grown by half the clearance; who an item
is, which way its grain runs and what a container costs in money is :mod:`nestcut.sheets`' business.
Nothing here proves a layout: that is the verifier's.

Start with :mod:`nestcut.nesting.problem` (the records) and :mod:`nestcut.nesting.engine` (what is
asked of an engine, and which one is asked); rooms: ``separating`` (the usual engine), ``strips``,
``exact`` (sets that fill containers to the last bit), ``kernels`` (compiled).
"""
