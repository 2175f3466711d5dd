"""A job's values measured before they are read, and its texts cleaned of control signs.

What is far beyond any boat is refused here, once, so that no reader behind has to fear it: numbers
of thousands of digits, texts as long as books, tables in tables without end, entries without count.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.gate.signs import plain, plain_line

MAX_DIGITS = 15
"""A length of a boat in nanometres has eleven. [-]"""
MAX_SIZE = 10**9
"""No bare number is larger: a thousand kilometres in mm. [-]"""
MAX_LENGTH_MM = 1e6
"""No length of a job is larger. [mm]"""
MAX_PIECES = 1_000
"""All pieces of a job together: far more than a boat has. [-]"""
MAX_DEPTH = 12
"""Tables in tables. [-]"""
MAX_ITEMS = 5_000
"""Items of a list: points of an outline. [-]"""
MAX_ENTRIES: Mapping[str, int] = {
    "part": 1_000,
    "rail": 1_000,
    "sheet": 200,
    "board": 200,
    "lengths": 200,
}
"""Entries of a kind: far more than a boat has. [-]"""
MAX_TEXT = 2_000
"""Signs of a text that may run over several lines. [-]"""
MAX_NAME = 200
"""Signs of every other text. [-]"""
_LEAST = Decimal("1e-12")
_LONG = {"note": MAX_TEXT, "table": 50_000}
"""Texts of several lines, and how many signs they may have: a pasted table of offsets. [-]"""
_DIGITS = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class Measured:
    """A document with its texts cleaned, and what was noticed; errors bar reading it."""

    data: dict[str, object]
    findings: tuple[Finding, ...]


_ENDLESS = re.compile(r"\d{100,}|(?<![\w.])[\d._]*\d[eE][+-]?\d{4,}(?!\w)")
"""Numbers of very many digits; not a digest in hexadecimal that happens to hold an exponent."""
_HEADER = re.compile(r"^[ \t]*\[\[[ \t]*([\w-]+)[ \t]*\]\]", re.MULTILINE)
_DOTTED = re.compile(r"^[ \t\[]*(?:[\w\"'-]+[ \t]*\.[ \t]*){20}", re.MULTILINE)


def scan(text: str, file: str) -> tuple[Finding, ...]:
    """Look a job file's text through before it is parsed: parsing itself has no limits."""
    found: list[Finding] = []
    for endless in _ENDLESS.finditer(text):
        where = _line(text, endless.start())
        digits = sum(sign.isdigit() for sign in endless[0])
        if digits >= 100:
            found.append(_too_much("LIM-001", where, digits=digits, limit=MAX_DIGITS))
        else:
            found.append(_too_much("LIM-008", where, word=endless[0]))
    counts = Counter(_HEADER.findall(text))
    for name, count in counts.items():
        limit = MAX_ENTRIES.get(name, MAX_ENTRIES["part"])
        if count > limit:
            found.append(_too_much("LIM-004", name, count=count, limit=limit))
    dotted = _DOTTED.search(text)
    if dotted:
        where = _line(text, dotted.start())
        found.append(_too_much("LIM-005", where, depth=20, limit=MAX_DEPTH))
    return tuple(replace(f, file=file) for f in found)


def tables_of(text: str, file: str) -> dict[str, object]:
    """Parse a TOML text that nothing is known of; decimals stay exact.

    Raises
    ------
    InputError
        If it is beyond the limits: told before it is parsed.
    ValueError
        If it is no TOML, or nested too deep.
    """
    beyond = scan(text, file)
    if beyond:
        raise InputError(beyond)
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except RecursionError:
        raise ValueError("tables in tables without end") from None


def _line(text: str, position: int) -> str:
    return f"line {text.count(chr(10), 0, position) + 1}"


def measure(document: Mapping[str, object], file: str) -> Measured:
    """Measure a parsed document; nothing of it is changed but control signs in texts and keys."""
    found: list[Finding] = []
    data = _cleaned(document, "", 0, found)
    return Measured(
        data=data if isinstance(data, dict) else {},
        findings=tuple(replace(f, file=file) for f in found),
    )


def _cleaned(value: object, where: str, depth: int, found: list[Finding]) -> object:
    if isinstance(value, Mapping | list):
        if depth >= MAX_DEPTH:
            found.append(_too_much("LIM-005", where, depth=depth, limit=MAX_DEPTH))
            return {}
        if isinstance(value, Mapping):
            return _cleaned_table(value, where, depth, found)
        return _cleaned_list(value, where, depth, found)
    if isinstance(value, str):
        return _cleaned_text(value, where, found)
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        found += _number_faults(value, where)
    return value


def _cleaned_table(
    table: Mapping[str, object], where: str, depth: int, found: list[Finding]
) -> dict[str, object]:
    if len(table) > MAX_ITEMS:
        found.append(_too_much("LIM-004", where, count=len(table), limit=MAX_ITEMS))
        return {}
    made: dict[str, object] = {}
    for key, item in table.items():
        name = plain_line(key)[:MAX_NAME]
        if len(key) > MAX_NAME:
            found.append(_too_much("LIM-003", where or name, signs=len(key), limit=MAX_NAME))
        made[name] = _cleaned(item, f"{where}.{name}" if where else name, depth + 1, found)
    return made


def _cleaned_list(
    items: list[object], where: str, depth: int, found: list[Finding]
) -> list[object]:
    limit = MAX_ENTRIES.get(where.rpartition(".")[2], MAX_ITEMS)
    if len(items) > limit:
        found.append(_too_much("LIM-004", where, count=len(items), limit=limit))
        return []
    numbered = enumerate(items, start=1)
    return [_cleaned(item, f"{where}[{i}]", depth + 1, found) for i, item in numbered]


def _cleaned_text(text: str, where: str, found: list[Finding]) -> str:
    key = where.rpartition(".")[2]
    is_long, limit = key in _LONG, _LONG.get(key, MAX_NAME)
    if len(text) > limit:
        found.append(_too_much("LIM-003", where, signs=len(text), limit=limit))
        return ""
    if not is_long:
        digits = max((len(run) for run in _DIGITS.findall(text)), default=0)
        if digits > MAX_DIGITS:
            found.append(_too_much("LIM-001", where, digits=digits, limit=MAX_DIGITS))
    cleaned = plain(text) if is_long else plain_line(text)
    if cleaned != text and cleaned != text.strip():
        found.append(finding("LIM-007", Severity.REPAIRED, where))
        return cleaned
    return text


def _number_faults(value: int | Decimal, where: str) -> Iterator[Finding]:
    if isinstance(value, Decimal) and not value.is_finite():
        yield _too_much("LIM-002", where, word=str(value).lower())
        return
    digits = _count_digits(value)
    if digits > MAX_DIGITS:
        yield _too_much("LIM-001", where, digits=digits, limit=MAX_DIGITS)
    elif not -MAX_SIZE <= value <= MAX_SIZE or (value and -_LEAST < value < _LEAST):
        yield _too_much("LIM-008", where, word=f"{value:.3g}")


def _count_digits(value: int | Decimal) -> int:
    if isinstance(value, Decimal):
        return len(value.as_tuple().digits)
    return value.bit_length() * 30_103 // 100_000 + 1


def _too_much(code: str, where: str, **values: int | str) -> Finding:
    return finding(code, Severity.ERROR, where, **values)
