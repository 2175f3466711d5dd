"""The usual engine: items lie over each other at first, and are pulled apart under weights.

``bins`` are its questions (:class:`nestcut.nesting.engine.Engine`): one pass of bottom-left, least
cost of containers, does this set fit into these.  The rest is what it needs: outlines as arrays and
slots for the kernels, convex covers, tries of sets of containers, compaction.
"""
