"""A file to an ezdxf document: the strict door, then the repairing one, always within limits.

Everything hostile is met here: files that are no DXF, far too large ones, structures that make the
library stumble.  What comes out is a document and findings, or a DrawingError.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO, StringIO
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from nestcut.drawings.counting import drawn_count
from nestcut.drawings.records import drawing_name
from nestcut.drawings.salvage import with_class_marks
from nestcut.errors import DrawingError, Finding, InputError, Severity
from nestcut.gate import Kind, read_file

if TYPE_CHECKING:
    from ezdxf.audit import Auditor
    from ezdxf.document import Drawing as Document

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


def load_document(path: Path) -> tuple[Document, tuple[Finding, ...]]:
    """Open a drawing.

    Raises
    ------
    DrawingError
        If it can't be opened, is no DXF or exceeds the limits.
    """
    name = drawing_name(path)
    data = _read(path)
    _check_size(data, name)
    with _quiet_library():
        document, findings = _open(data, name)
        if "Model" not in document.layouts:
            _refuse(
                "DXF-002",
                name,
                "the drawing is damaged: it has no model space.",
                "Open it in the drawing program it comes from and save it anew as DXF.",
            )
        count = drawn_count(document)
        if count > MAX_ENTITIES:
            _refuse_size(name, f"{count} things drawn once blocks are resolved", f"{MAX_ENTITIES}")
        return document, findings


def _refuse(code: str, name: str, message: str, remedy: str) -> NoReturn:
    finding = Finding(
        code=code, severity=Severity.ERROR, where=name, message=message, remedy=remedy, file=name
    )
    raise DrawingError([finding]) from None


def _read(path: Path) -> bytes:
    try:
        return read_file(path, Kind.DRAWING)
    except InputError as error:
        raise DrawingError(error.findings) from None


def _refuse_size(name: str, met: str, limit: str) -> NoReturn:
    _refuse(
        "DXF-003",
        name,
        f"the drawing is far larger than a boat's parts need: {met}, and {limit} are read at most.",
        "Save only the parts to a new DXF, without hatches, pictures and 3D models.",
    )


def _is_binary(data: bytes) -> bool:
    return data[:22].endswith(_BINARY_MARK)


def _check_size(data: bytes, name: str) -> None:
    if _is_binary(data):
        if len(data) > MAX_BINARY_BYTES:
            _refuse_size(name, f"{len(data) / 1e6:.0f} MB", f"{MAX_BINARY_BYTES / 1e6:.0f} MB")
        return
    if len(data) < 4 or b"\x00" * 16 in data[:4096] or not _looks_like_tags(data):
        _refuse(
            "DXF-002",
            name,
            "this is no DXF drawing.",
            "Save the drawing as DXF (ASCII, any version) in the drawing program.",
        )
    entities = sum(1 for _ in _ENTITY.finditer(data))
    if entities > MAX_ENTITIES:
        _refuse_size(name, f"{entities} things drawn", f"{MAX_ENTITIES}")
    tags = data.count(b"\n") // 2
    if tags > MAX_TAGS:
        _refuse_size(name, f"{tags} values", f"{MAX_TAGS}")


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
        what = "this is no DXF drawing" if is_foreign else "the drawing is damaged, unreadably so"
        _refuse(
            "DXF-002",
            name,
            f"{what} ({_reason(error)}).",
            "Open it in the drawing program it comes from and save it anew as DXF.",
        )
    mended = len(auditor.fixes) + len(auditor.errors)
    finding = Finding(
        code="DXF-004",
        severity=Severity.REPAIRED,
        where=name,
        message=f"the file breaks the DXF rules ({first}) and was mended on the way in"
        + (f", {mended} places." if mended else "."),
        remedy="Compare the sizes below with the drawing before trusting it.",
        file=name,
    )
    return document, (finding,)


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
