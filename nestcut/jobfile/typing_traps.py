"""TOML as it comes from people who don't write TOML: what stops the reading, and what was meant.

A line that stops it is told with the shop's answer; where what was meant is plain, reading goes on
with that, so that one run tells everything and nothing follows from a quote.  The job is refused
all the same: a file is mended by its owner.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from decimal import Decimal

from nestcut.jobfile.schema import schema_at

_PLACE = re.compile(r"\(at line (\d+), column (\d+)\)")
"""What the standard library says at the end of its sentence; it has no other way before 3.14."""
_PAIR = re.compile(r"^(\s*[\w-]+\s*=\s*)(.*?)(\s*(?:#.*)?)$")
_LENGTH = r"\d[\d\s./,'\u2032\u2033\u2019\u201d\"-]*(?:mm|cm|m|in|inch|inches|ft|feet)?\.?"
_CURLY = "\u201c\u201d\u201e\u201f\u2018\u2019"
_MOST_MENDS = 20


@dataclass(frozen=True, slots=True)
class Trap:
    """A line that is no TOML: its code, where it is, and how it would be right.

    ``mended`` is the line as it was likely meant; None where that isn't plain.
    """

    code: str
    line: int
    column: int
    written: str
    mended: str | None = None


@dataclass(frozen=True, slots=True)
class Parsed:
    """Tables as far as they can be understood, and the traps met on the way."""

    data: dict[str, object]
    traps: tuple[Trap, ...]

    @property
    def is_whole(self) -> bool:
        """Whether every line is there as it is or as it was meant: what follows can be judged."""
        return all(trap.mended is not None for trap in self.traps)


def parse_toml(text: str) -> Parsed:
    """Parse TOML, passing over lines that stop it."""
    lines = text.split("\n")
    traps: list[Trap] = []
    for _ in range(_MOST_MENDS):
        try:
            return Parsed(tomllib.loads("\n".join(lines), parse_float=Decimal), tuple(traps))
        except RecursionError:
            traps.append(Trap("JOB-047", 1, 1, ""))
            break
        except tomllib.TOMLDecodeError as error:
            place = _PLACE.search(str(error))
            number, column = (int(place[1]), int(place[2])) if place else (len(lines), 1)
            number = min(max(number, 1), len(lines))
            trap = _trap(lines, number, column, str(error))
            traps.append(trap)
            if any(t.line == trap.line for t in traps[:-1]):
                break
            lines[trap.line - 1] = trap.mended or ""
    return Parsed({}, tuple(traps))


def _trap(lines: list[str], number: int, column: int, told: str) -> Trap:
    """What is wrong with the line where reading stopped."""
    line = lines[number - 1].rstrip("\r")
    if "overwrite a value" in told or "already" in told or "twice" in told:
        return _doubled(lines, number, column, line)
    inside = _in_brackets(number, line)
    if inside is not None:
        return inside
    open_at = _open_quote(lines, number)
    if open_at is not None:
        broken = lines[open_at - 1]
        start = broken.index(_opener(broken))
        mended = f"{broken[:start]}{_quoted(broken[start + 1 :].strip())}"
        return Trap("JOB-044", open_at, start + 1, broken, mended)
    list_at = _open_list(lines, number)
    if list_at is not None:
        return Trap("JOB-051", list_at, _first(lines[list_at - 1], "[{"), lines[list_at - 1])
    if any(c in line for c in _CURLY) and not re.match(r"\s*[\w-]+\s*=\s*['\"]", line):
        return Trap("JOB-041", number, _first(line, _CURLY), line, _straightened(line))
    return _of_line(number, column, line)


def _of_line(number: int, column: int, line: str) -> Trap:
    """What is wrong with a line that stops the reading by itself."""
    pair = _PAIR.match(line)
    if pair is None:
        if re.match(r"\s*\[", line):
            return Trap("JOB-045", number, _first(line, "["), line, _heading(line))
        return Trap("JOB-046", number, min(column, len(line) + 1), line)
    head, value, tail = pair[1], pair[2].strip(), pair[3]
    start = len(head) + 1
    if re.match(r"\{.*\}$|\[.*\]$", value):
        return Trap("JOB-115", number, start, line)
    return _of_value(number, start, line, (head, value, tail))


def _of_value(number: int, start: int, line: str, parts: tuple[str, str, str]) -> Trap:
    head, value, tail = parts
    inner = re.fullmatch(r'"([^"]*?)"{2}', value) or re.fullmatch(
        r'"(\d[^"]*"?[^"]*?)"\s*"?', value
    )
    if value.count('"') > 2 or (inner is not None and value.endswith('""')):
        plain = re.sub(r'"\s*$', "", value.strip('"')).strip()
        return Trap("JOB-042", number, start, line, f"{head}{_quoted(plain + chr(34))}{tail}")
    if re.fullmatch(r"\d{1,9},\d+", value):
        return Trap("JOB-043", number, start, line, f"{head}{value.replace(',', '.')}{tail}")
    if re.fullmatch(_LENGTH, value, re.IGNORECASE):
        return Trap("JOB-040", number, start, line, f"{head}{_quoted(value)}{tail}")
    if re.fullmatch(r"[A-Za-z_][\w .,+/-]*", value):
        return Trap("JOB-048", number, start, line, f"{head}{_quoted(value)}{tail}")
    if not value:
        return Trap("JOB-049", number, start, line)
    return Trap("JOB-046", number, start, line)


_SPOILT = re.compile(r'"(\d[^"]*)"\s*"(?=\s*[,}\]])')
"""A length in quotes whose inch mark ended it, with what comes behind it in braces or a list."""
_BARE = re.compile(rf'([=\[,]\s*)({_LENGTH}"?)(?=\s*[,}}\]])', re.IGNORECASE)
_OPENED = re.compile(r"([=\[,]\s*)(\d[\d\s./'-]*\")(?=\s*[,}\]])")
"""A length without quotes whose inch mark opens one that is closed far behind it."""
_STRING = re.compile(r"('''.*?'''|'[^']*'|\"[^\"]*\")")


def _in_brackets(number: int, line: str) -> Trap | None:
    """What is wrong with a word in braces or in a list; None where no such word is to blame."""
    start = re.search(r"[\[{]", line)
    if start is None:
        return None
    text = line.replace("\u201c", '"').replace("\u201d", '"').replace("\u201e", '"')
    marked = _SPOILT.sub(lambda m: _quoted(m[1] + '"'), text)
    opened = _OPENED.sub(_in_quotes, marked)
    pieces = _STRING.split(opened)
    pieces[::2] = [_BARE.sub(_in_quotes, piece) for piece in pieces[::2]]
    mended = "".join(pieces)
    if mended == line or not (_is_toml(mended) or _is_toml(f"x = [\n{mended}\n]")):
        return None
    code = "JOB-041" if text != line else "JOB-042" if marked != text else "JOB-040"
    return Trap(code, number, start.start() + 1, line, mended)


def _in_quotes(found: re.Match[str]) -> str:
    """A length in quotes; what is a plain number, or spelt as one, is left as it is."""
    is_number = _is_toml(f"x = {found[2]}")
    return found[0] if is_number else found[1] + _quoted(found[2])


def _is_toml(text: str) -> bool:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _quoted(value: str) -> str:
    """Value in quotes that TOML understands."""
    text = value.strip().strip("\"'") if value.count('"') > 1 else value.strip()
    if '"' not in text:
        return f'"{text}"'
    return f"'{text}'" if "'" not in text else f"'''{text}'''"


def _straightened(line: str) -> str:
    """Line with straight quotes round what curly ones held."""
    found = re.match(rf"^(\s*[\w-]+\s*=\s*)[{_CURLY}](.*)[{_CURLY}]\s*$", line)
    if found:
        return f"{found[1]}{_quoted(found[2])}"
    return re.sub(rf"[{_CURLY}]", '"', line)


def _first(line: str, signs: str) -> int:
    return min(line.index(c) for c in signs if c in line) + 1


def _open_quote(lines: list[str], number: int) -> int | None:
    """Line of a quote that isn't closed: the one where reading stopped, or the one before it."""
    for at in (number, number - 1):
        if not 1 <= at <= len(lines):
            continue
        pair = _PAIR.match(lines[at - 1].rstrip("\r"))
        if pair is None:
            continue
        value = re.sub(r"\s+#.*$", "", pair[2].strip())
        if value[:3] in {'"""', "'''"}:
            continue
        if (value.startswith('"') and value.count('"') == 1) or (
            value.startswith("'") and value.count("'") == 1
        ):
            return at
    return None


def _open_list(lines: list[str], number: int) -> int | None:
    """Line of a list or an inline table that isn't closed before the one where reading stopped."""
    for at in range(number - 1, 0, -1):
        pair = _PAIR.match(lines[at - 1].rstrip("\r"))
        if pair is None:
            continue
        value = re.sub(r"\s+#.*$", "", re.sub(r'"[^"]*"|\'[^\']*\'', "", pair[2]))
        is_open = value.count("[") > value.count("]") or value.count("{") > value.count("}")
        closes = any(re.match(r"\s*[\]}]", x) for x in lines[at : number - 1])
        return at if is_open and not closes else None
    return None


def _heading(line: str) -> str | None:
    """Heading with the brackets that its table has; None where no table is called so."""
    found = re.search(r"[\w.]+", line)
    schema = None if found is None else schema_at(found[0])
    if found is None or schema is None:
        return None
    is_single = schema.heading.startswith("[") and not schema.heading.startswith("[[")
    return f"[{found[0]}]" if is_single or "." in found[0] else f"[[{found[0]}]]"


def _opener(line: str) -> str:
    return min((c for c in "\"'" if c in line), key=line.index)


def _doubled(lines: list[str], number: int, column: int, line: str) -> Trap:
    """A key written twice; reading stops at its end, which may be on the next line."""
    at = number if _PAIR.match(line) or line.lstrip().startswith("[") else max(number - 1, 1)
    written = lines[at - 1]
    return Trap("JOB-050", at, min(column, len(written) + 1) if at == number else 1, written, "")
