"""All keys of a job file: one place for reading, for unknown keys and for the reference page.

A key that isn't here doesn't exist: getters take its default from here, tables report keys that
aren't here, and :func:`reference_page` prints all that is here.
"""

from nestcut.jobfile.schema.book import SCHEMAS, schema_at
from nestcut.jobfile.schema.page import explain, reference_page
from nestcut.jobfile.schema.records import Key, Need, TableSchema, What

__all__ = [
    "SCHEMAS",
    "Key",
    "Need",
    "TableSchema",
    "What",
    "explain",
    "reference_page",
    "schema_at",
]
