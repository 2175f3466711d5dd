"""A file to an ezdxf document: the strict door, then the repairing one, always within limits.

Everything hostile is met here: files that are no DXF, far too large ones, structures that make the
library stumble.  What comes out is a document and findings, or a DrawingError.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from io import BytesIO, StringIO
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from nestcut.drawings.entities.amounts import MAX_DRAWN, drawn_count
from nestcut.drawings.entities.salvage import with_class_marks
from nestcut.drawings.records import drawing_name
from nestcut.errors import DrawingError, Finding, InputError, Severity, finding
from nestcut.facts import Value
from nestcut.gate import FileKind, read_file

if TYPE_CHECKING:
    from ezdxf.audit import Auditor
    from ezdxf.document import Drawing as Document

MAX_BYTES = 64_000_000
"""Larger files aren't opened. [bytes]"""

MAX_BINARY_BYTES = 24_000_000
"""Larger binary drawings aren't opened; a line takes about 100 bytes. [bytes]"""

MAX_ENTITIES = 12_000
"""Drawings with more things in them, blocks counted as often as they are inserted, aren't read: the
largest plans seen hold some 3,000. Points of polylines don't count. [-]"""

MAX_TAGS = 1_000_000
"""Lines of text, two to a value, beyond which reading would take minutes. [-]"""

_BINARY_MARK = b" Binary DXF\r\n\x1a\x00"
"""End of the 22 bytes that open a binary DXF."""

_ENTITY = re.compile(rb"(?:^|\n)[ \t]*0[ \t]*\r?\n[ \t]*(?!VERTEX|SEQEND)(?:[A-Z_]|3D[A-Z])")
"""Group code 0 and the type that follows it; a value of 0 is followed by a number."""

_SECTION = re.compile(rb"(?:^|\n)[ \t]*0\s*\n[ \t]*SECTION\s*\n[ \t]*2\s*\n[ \t]*(\w*)")
_SECTION_END = re.compile(rb"\n[ \t]*(?:ENDSEC|EOF)\s*(?:\n|$)")
_DRAWN_SECTIONS = {b"ENTITIES", b"BLOCKS"}
"""What is drawn stands in these."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """An opened drawing, and whether the file itself names a unit."""

    document: Document
    findings: tuple[Finding, ...]
    names_unit: bool


def load_document(path: Path) -> Loaded:
    """Open a DXF drawing.

    Raises
    ------
    DrawingError
        If it can't be opened, is no DXF or exceeds the limits.
    """
    name = drawing_name(path)
    data = read_bytes(path, MAX_BYTES)
    _check_size(data, name)
    with _quiet_library():
        document, findings = _open(data, name)
        if "Model" not in document.layouts:
            refuse("DXF-002", name, reason="it has no model space")
        drawn = drawn_count(document)
        if drawn > MAX_DRAWN:
            met = f"more than {MAX_DRAWN * 10:,}" if drawn > 10 * MAX_DRAWN else f"{drawn:,}"
            _refuse_size(name, f"{met} lines once blocks are drawn out", f"{MAX_DRAWN:,}")
        return Loaded(document, findings, b"$INSUNITS" in data)


def refuse(code: str, name: str, **values: Value) -> NoReturn:
    """Refuse a drawing.

    Parameters
    ----------
    code
        Such as ``"DXF-002"``.
    name
        Of the file.
    values
        What the code's sentence names.

    Raises
    ------
    DrawingError
        Always.
    """
    made = replace(finding(code, Severity.ERROR, name, **values), file=name)
    raise DrawingError([made]) from None


def read_bytes(path: Path, most: int) -> bytes:
    """Return a drawing's bytes, no more than ``most``.

    Raises
    ------
    DrawingError
        If there is no such file, it is no plain file, or it is larger.
    """
    try:
        data = read_file(path, FileKind.DRAWING)
    except InputError as error:
        raise DrawingError(error.findings) from None
    if len(data) > most:
        _refuse_size(drawing_name(path), f"{len(data) / 1e6:.0f} MB", f"{most / 1e6:.0f} MB")
    return data


def _refuse_size(name: str, met: str, limit: str) -> NoReturn:
    refuse("DXF-003", name, met=met, limit=limit)


def _is_binary(data: bytes) -> bool:
    return data[:22].endswith(_BINARY_MARK)


def _check_size(data: bytes, name: str) -> None:
    if _is_binary(data):
        if len(data) > MAX_BINARY_BYTES:
            _refuse_size(name, f"{len(data) / 1e6:.0f} MB", f"{MAX_BINARY_BYTES / 1e6:.0f} MB")
        return
    if len(data) < 4 or b"\x00" * 16 in data[:4096] or not _looks_like_tags(data):
        refuse("DXF-002", name, reason="it isn't a DXF file")
    entities = sum(1 for _ in _ENTITY.finditer(data))
    if entities > MAX_ENTITIES:
        _refuse_size(name, f"{entities} things drawn", f"{MAX_ENTITIES}")
    tags = data.count(b"\n") // 2
    if tags > MAX_TAGS:
        _refuse_size(name, f"{tags} values", f"{MAX_TAGS}")
    if _is_cut_off(data):
        refuse("DXF-002", name, reason="it is cut off: it ends in the middle of what is drawn")


def _is_cut_off(data: bytes) -> bool:
    """Whether a file ends within a section of things drawn: they would all be dropped unsaid."""
    opened = list(_SECTION.finditer(data))
    is_open = opened and not _SECTION_END.search(data, opened[-1].end())
    return bool(is_open) and opened[-1][1] in _DRAWN_SECTIONS


def _looks_like_tags(data: bytes) -> bool:
    """Whether a group code stands near the top: a number alone on a line."""
    head = data[:65536].lstrip(b"\xef\xbb\xbf \t\r\n")
    lines = re.split(rb"\r\n|\r|\n", head)
    return any(re.fullmatch(rb"[ \t]*-?\d{1,4}[ \t]*", line) for line in lines[:40])


def _open(data: bytes, name: str) -> tuple[Document, tuple[Finding, ...]]:
    from ezdxf.lldxf.const import DXFError

    try:
        return _open_strictly(data), ()
    except MemoryError:
        _refuse_size(name, f"{len(data) / 1e6:.0f} MB", "less")
    except Exception as error:
        first = _reason(error)
    try:
        document, auditor = _mend(data)
    except MemoryError:
        _refuse_size(name, f"{len(data) / 1e6:.0f} MB", "less")
    except Exception as error:  # a broken file must give a finding, never a traceback
        is_foreign = isinstance(error, DXFError) and b"SECTION" not in data
        what = "it isn't a DXF file" if is_foreign else f"it is damaged: {_reason(error)}"
        refuse("DXF-002", name, reason=what)
    mended = len(auditor.fixes) + len(auditor.errors)
    made = finding("DXF-004", Severity.REPAIRED, name, reason=first, places=mended)
    return document, (replace(made, file=name),)


def _mend(data: bytes) -> tuple[Document, Auditor]:
    """Open by the repairing door; if that fails too, once more with class marks put in."""
    from ezdxf import recover

    try:
        return recover.read(BytesIO(data))
    except MemoryError:
        raise
    except Exception:
        marked = None if _is_binary(data) else with_class_marks(data)
        if marked is None:
            raise
    return recover.read(BytesIO(marked))


def _reason(error: BaseException) -> str:
    text = " ".join(str(error).split()) or type(error).__name__
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text[:117] + "..." if len(text) > 120 else text.rstrip(".")


def _open_strictly(data: bytes) -> Document:
    from ezdxf.document import Drawing as Document
    from ezdxf.filemanagement import dxf_stream_info, read
    from ezdxf.lldxf.tagger import binary_tags_loader

    if _is_binary(data):
        return Document.load(binary_tags_loader(data))
    head = StringIO(data[:200_000].decode("cp1252", errors="ignore"))
    info = dxf_stream_info(head)
    text = data.decode(info.encoding, errors="surrogateescape")
    return read(StringIO(text, newline=None))


@contextmanager
def _quiet_library() -> Iterator[None]:
    """Keep the library's own remarks off the terminal; ours say what matters."""
    logger = logging.getLogger("ezdxf")
    before = logger.disabled, logger.propagate
    handler = logging.NullHandler()
    logger.addHandler(handler)
    logger.propagate = False
    try:
        yield
    finally:
        logger.removeHandler(handler)
        logger.disabled, logger.propagate = before
