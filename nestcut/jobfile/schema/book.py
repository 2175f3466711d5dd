"""Which schema a table of the job file follows."""

from __future__ import annotations

import re
from collections.abc import Mapping

from nestcut.jobfile.schema import entries, job, parts, shapes, stock
from nestcut.jobfile.schema.records import TableSchema

SCHEMAS: Mapping[str, TableSchema] = {
    schema.name: schema
    for schema in (
        *job.TABLES, *stock.TABLES, *parts.TABLES, *shapes.TABLES, *entries.TABLES
    )
}  # fmt: skip
"""Every table by its name, in the order of the reference page."""

_SHAPE = "shape"
_NUMBER = re.compile(r"\[\d+\]")


def schema_at(path: str, kind: object = None) -> TableSchema | None:
    """Schema of the table at a key path such as ``part[3].joint``; None if there is none.

    Parameters
    ----------
    kind
        What the table says under ``kind``: outlines have a schema each; an unknown one has the
        keys of all, so that nothing follows from one wrong word.
    """
    schema: TableSchema | None = SCHEMAS[""]
    steps = [s for s in _NUMBER.sub("", path).split(".") if s]
    for step in steps:
        key = None if schema is None else schema.key(step)
        if key is None or not key.table:
            return None
        schema = _shape(kind) if key.table == _SHAPE else SCHEMAS[key.table]
    return schema


def _shape(kind: object) -> TableSchema:
    found = SCHEMAS.get(f"{_SHAPE}:{str(kind).strip().lower()}")
    if found is not None:
        return found
    all_kinds = [s for name, s in SCHEMAS.items() if name.startswith(f"{_SHAPE}:")]
    keys = {key.name: key for schema in all_kinds for key in schema.keys}
    return TableSchema(_SHAPE, "[part.shape]", "", tuple(keys.values()))
