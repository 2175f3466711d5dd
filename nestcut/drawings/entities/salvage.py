"""The third door: drawings whose entities lack the class marks that newer versions prescribe.

Some exporters write LWPOLYLINE, SPLINE and others under a modern version number, but without group
code 100.  The marks are put in, everything else stays as it is, and the file is tried once more.
"""

from __future__ import annotations

import re

_COMMON = frozenset({b"5", b"6", b"8", b"48", b"60", b"62", b"67", b"330", b"370", b"420"})
"""Group codes that belong to every entity (DXF reference, common group codes)."""

_MARKS: dict[bytes, tuple[bytes, ...]] = {
    b"LINE": (b"AcDbLine",),
    b"CIRCLE": (b"AcDbCircle",),
    b"ARC": (b"AcDbCircle", b"AcDbArc"),
    b"ELLIPSE": (b"AcDbEllipse",),
    b"SPLINE": (b"AcDbSpline",),
    b"LWPOLYLINE": (b"AcDbPolyline",),
    b"POLYLINE": (b"AcDb2dPolyline",),
    b"VERTEX": (b"AcDbVertex", b"AcDb2dVertex"),
    b"POINT": (b"AcDbPoint",),
    b"INSERT": (b"AcDbBlockReference",),
    b"MTEXT": (b"AcDbMText",),
}
_SECOND = {b"ARC": frozenset({b"50", b"51"}), b"VERTEX": frozenset({b"70", b"42"})}
"""Group codes that belong behind an entity's second mark."""

Tag = tuple[bytes, bytes]


def with_class_marks(data: bytes) -> bytes | None:
    """Return the file with missing class marks put in; None if none is missing."""
    lines = re.split(rb"\r\n|\n|\r", data)
    tags = [(a.strip(), b) for a, b in zip(lines[::2], lines[1::2], strict=False)]
    result: list[Tag] = []
    changed = False
    start = 0
    for i in range(1, len(tags) + 1):
        if i < len(tags) and tags[i][0] != b"0":
            continue
        entity = tags[start:i]
        start = i
        kind = entity[0][1].strip()
        if kind in _MARKS and not any(code == b"100" for code, _ in entity):
            entity = _marked(kind, entity)
            changed = True
        result += entity
    if not changed:
        return None
    result = _as_r2000(result)
    return b"".join(code + b"\n" + value + b"\n" for code, value in result)


def _as_r2000(tags: list[Tag]) -> list[Tag]:
    """Give the file a version in which class marks count; older numbers make readers pass them."""
    for i, (code, value) in enumerate(tags[:-1]):
        if code == b"9" and value.strip() == b"$ACADVER":
            tags[i + 1] = (b"1", max(tags[i + 1][1].strip(), b"AC1015"))
            return tags
    if any(code == b"2" and value.strip() == b"HEADER" for code, value in tags):
        return tags
    return [(b"0", b"SECTION"), (b"2", b"HEADER"), (b"9", b"$ACADVER"), (b"1", b"AC1015"),
            (b"0", b"ENDSEC"), *tags]  # fmt: skip


def _marked(kind: bytes, entity: list[Tag]) -> list[Tag]:
    common = [tag for tag in entity[1:] if tag[0] in _COMMON]
    own = [tag for tag in entity[1:] if tag[0] not in _COMMON]
    late = _SECOND.get(kind, frozenset())
    marks = _MARKS[kind]
    result = [entity[0], *common[:1], (b"100", b"AcDbEntity"), *common[1:], (b"100", marks[0])]
    if len(marks) == 1:
        return [*result, *own]
    first = [tag for tag in own if tag[0] not in late]
    second = [tag for tag in own if tag[0] in late]
    if kind == b"VERTEX":
        return [*result, (b"100", marks[1]), *own]
    return [*result, *first, (b"100", marks[1]), *second]
