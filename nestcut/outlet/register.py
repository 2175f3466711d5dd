"""The register of a folder of results: which files are ours, and what they held when written.

The register is a JSON file of ours (``plan.json``) whose last key, ``files``, lists every other
file of ours with its SHA-256.  What is said before that key is the register's *matter*: the plan.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

_KEY = "files"
_SHA256 = re.compile(r"[0-9a-f]{64}")
MAX_REGISTER_BYTES = 50_000_000
"""A longer register isn't ours. [bytes]"""


@dataclass(frozen=True, slots=True)
class Register:
    """What a register says: its matter, and the digest of each file by its name in the folder."""

    matter: Mapping[str, object]
    files: Mapping[str, str]

    def is_as_written(self, folder: Path, name: str) -> bool:
        """Whether a file of the folder is ours and holds what it held when it was written."""
        return name in self.files and digest_of(folder / name) == self.files[name]


def digest_of(path: Path) -> str:
    """Return the SHA-256 of a plain file; "" for anything else: links aren't followed."""
    if path.is_symlink() or not path.is_file():
        return ""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def read_register(path: Path, form: str) -> Register | None:
    """Read a register of a format; None where there is none, or none of ours.

    A register may come from anybody: names that lead out of the folder aren't believed.
    """
    if path.is_symlink() or not path.is_file():
        return None
    try:
        if path.stat().st_size > MAX_REGISTER_BYTES:
            return None
        document = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(document, dict) or document.get("format") != form:
        return None
    listed = document.pop(_KEY, [])
    entries = listed if isinstance(listed, list) else []
    files = {
        str(entry["name"]): str(entry["sha256"])
        for entry in entries
        if isinstance(entry, dict) and entry.keys() == {"name", "sha256"} and _is_believable(entry)
    }
    return Register(document, files)


def _is_believable(entry: Mapping[str, object]) -> bool:
    steps = str(entry["name"]).split("/")
    leads_inside = len(steps) <= 2 and all(s and not s.startswith(".") for s in steps)
    return (
        leads_inside
        and "\\" not in str(entry["name"])
        and bool(_SHA256.fullmatch(str(entry["sha256"])))
    )


def matter_of(text: str) -> Mapping[str, object]:
    """Return the matter of a register's text."""
    document: dict[str, object] = json.loads(text)
    document.pop(_KEY, None)
    return document


def register_text(text: str, files: Mapping[str, str]) -> str:
    """Return a JSON object's text with the files added as its last key.

    >>> print(register_text('{"format": "nestcut plan"}', {"shop.pdf": "ab"}))
    {"format": "nestcut plan",
     "files": [
      {"name":"shop.pdf","sha256":"ab"}
     ]
    }
    <BLANKLINE>
    """
    rows = ",\n  ".join(
        json.dumps({"name": name, "sha256": files[name]}, ensure_ascii=False, separators=(",", ":"))
        for name in sorted(files)
    )
    body = text.rstrip().removesuffix("}").rstrip()
    return f'{body},\n "{_KEY}": [\n  {rows}\n ]\n}}\n'


def without_files(path: Path) -> str:
    """Return the text of a register of ours without its list of files.

    Raises
    ------
    OSError
        If it can't be read.
    """
    text = path.read_text(encoding="utf-8")
    head, _, _ = text.rpartition(f',\n "{_KEY}": [')
    document = json.loads(text)
    return f"{head}\n}}\n" if head and _KEY in document else text
