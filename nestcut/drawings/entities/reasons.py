"""Why entities of some kinds are left out, in the builder's words."""

from __future__ import annotations

REASONS = {
    "POINT": "a point draws no line",
    "DIMENSION": "a dimension, not an edge",
    "ARC_DIMENSION": "a dimension, not an edge",
    "LARGE_RADIAL_DIMENSION": "a dimension, not an edge",
    "LEADER": "a leader, not an edge",
    "MLEADER": "a leader, not an edge",
    "MULTILEADER": "a leader, not an edge",
    "TOLERANCE": "a tolerance frame, not an edge",
    "XLINE": "an endless construction line",
    "RAY": "an endless construction line",
    "VIEWPORT": "a window of the paper layout",
    "IMAGE": "a picture; only drawn lines can be read",
    "PDFUNDERLAY": "a picture; only drawn lines can be read",
    "WIPEOUT": "a mask, not an edge",
    "SOLID": "a filled area without an edge of its own",
    "TRACE": "a filled area without an edge of its own",
    "3DFACE": "a face of a 3D model",
    "MESH": "a 3D model",
    "3DSOLID": "a 3D model",
    "BODY": "a 3D model",
    "REGION": "a region in a sealed format; explode it to lines in the drawing program",
    "SURFACE": "a 3D model",
    "MLINE": "a multiple line; explode it to lines in the drawing program",
    "ACAD_TABLE": "a table",
    "ATTDEF": "a form field of a block",
    "OLE2FRAME": "an embedded document",
    "ACAD_PROXY_ENTITY": "made by an add-on and sealed; explode it in the drawing program",
    "SHAPE": "a symbol from a font file",
}
"""By entity type of the DXF reference."""
