"""The register of codes: what each says and what to do, values left as ``<name>``."""

from __future__ import annotations

from string import Formatter

from nestcut.words.sentences import SENTENCES

_PREFIXES = {
    "JOB": "the job file",
    "DXF": "drawings",
    "SHP": "parts from numbers",
    "SHT": "sheets",
    "BRD": "boards",
    "JNT": "joints",
    "PLAN": "plan files",
    "PLN": "how a search went",
    "VER": "why a plan is refused",
    "CHK": "what was looked at",
    "RDB": "files that say otherwise than their plan",
    "AGN": "planning again",
    "CHO": "ways side by side",
    "BEN": "the page in the browser",
    "SHD": "the stock book",
    "OUT": "folders and files of results",
    "FIL": "files that are refused at the door",
    "LIM": "what is beyond any boat",
    "TCK": "files of ticks",
    "PAT": "full-size patterns",
    "LBL": "labels",
}


def _plainly(template: str) -> str:
    parts: list[str] = []
    for text, name, spec, _ in Formatter().parse(template):
        parts.append(text)
        if name:
            _, _, many = (spec or "").partition("|")
            parts.append(f"<{name}> {many}" if many else f"<{name}>")
    return "".join(parts)


def _prefix(code: str) -> str:
    return code.split("-", maxsplit=1)[0]


def explain_code(word: str) -> str | None:
    """Return what a code says and its remedy as text, or None where ``word`` is no code."""
    code = word.strip().upper()
    sentence = SENTENCES.get(code)
    if sentence is None:
        return None
    lines = [f"{code} ({_PREFIXES[_prefix(code)]})", f"    {_plainly(sentence.what)}"]
    if sentence.remedy:
        lines.append(f"    To do: {_plainly(sentence.remedy)}")
    return "\n".join(lines) + "\n"


def register_page() -> str:
    """Return the register of all codes as text, by prefix."""
    pages: list[str] = []
    for prefix, room in _PREFIXES.items():
        codes = sorted(code for code in SENTENCES if _prefix(code) == prefix)
        if codes:
            pages.append(f"{prefix}: {room}\n")
            pages.extend(text for code in codes if (text := explain_code(code)) is not None)
    return "\n".join(pages)
