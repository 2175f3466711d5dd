"""Forms for whatever a job file may say, made from its one register of tables and keys."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from nestcut import door
from nestcut.bench.shown.paths import Plain

KINDS = "shape:"


@lru_cache(maxsize=1)
def forms_view() -> Plain:
    """Return every table's keys as the page asks for them, by the table's name."""
    made = {name: _table(schema) for name, schema in door.JOB_SCHEMA.items()}
    made["joint"]["kinds"] = {what: list(kinds) for what, kinds in door.JOINT_KINDS.items()}
    return made


def _table(schema: Any) -> Plain:
    return {
        "says": schema.says,
        "keys": [
            {
                "name": k.name,
                "what": k.what.value,
                "says": k.says,
                "needed": k.need.value == "needed",
                "usual": k.default,
                "example": k.example,
                "choices": list(k.words),
                "table": k.table,
            }
            for k in schema.keys
        ],
    }
