"""Parts from numbers: dimensions, tables of offsets and measured lines become true outlines.

Here belongs whatever turns readings into a :class:`~nestcut.model.shape.Shape` or a rail: plain
figures with cut-outs, bulkheads, panels from stations, lines in space, developed panels, tapered
boxes, slats and parts that follow from other parts.  All of it is pure: readings come through the
:class:`~nestcut.shapes.reader.ShapeReader` that the caller hands in, nothing is opened or printed.
Placing, splitting and joining don't belong here.
"""
