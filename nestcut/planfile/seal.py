"""The seal of a plan file: a digest of what nobody can work out again from the job.

Places, shapes, joints and sums are proven by the verifier.  What the search alone knows (why it
stopped, how far its bounds reach and why, what it found, notes, reasons, which rectangles it chose
to keep) and what the builder alone knows (what is cut already, spoilt or in the shed) can't be; its
digest tells whether it has been changed since it was written.  It keeps mistakes out, not forgers:
whoever writes the file anew writes the seal anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

SEALED = (
    "seed", "effort", "workers", "seconds", "stopped_by", "bounds", "unplaced", "findings", "notes",
    "checks",
)  # fmt: skip
"""Keys that are sealed whole."""


def seal_of(document: Mapping[str, Any]) -> str:
    """Return the digest of a plan file's sealed keys, order included (SHA-256, hexadecimal)."""
    told: dict[str, object] = {key: document[key] for key in SEALED}
    told["bounds in order"] = list(document["bounds"])
    told["offcuts"] = [s["offcuts"] for s in document["sheets"]]
    told["already cut"] = document.get("already_cut", [])
    told |= {
        key: document[key]
        for key in ("held", "otherwise", "reserves", "continues")
        if key in document
    }
    if "says" in document["job"]:  # the file's own digest proves nothing where a comment may change
        told["job file"] = document["job"]["sha256"]
    told["spent"] = [s.get("spent", []) for k in ("sheets", "boards") for s in document[k]]
    told["joints"] = [j["broken_rules"] for j in document["joints"]]
    words = [j["rule_findings"] for j in document["joints"]]
    told |= {"joints in words": words} if any(words) else {}  # older plans without any stand
    text = json.dumps(told, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
