"""The reference page, and what the builder is told of a single key."""

from __future__ import annotations

import difflib

from nestcut.jobfile.schema.book import SCHEMAS
from nestcut.jobfile.schema.records import Key, Need, TableSchema, What

_INTRO = """# Every table and key of a job file

Made from the program's own list (`nestcut explain all`); `nestcut explain KEY` shows the same for one key or table.

Lengths name their unit: `"2440 mm"`, `"62,5 mm"`, `"1.22 m"`, `"7-1/4in"`, `"1 1/8in"`, `"8ft 2in"`, `"11'-8"`, or feet, inches and
eighths `"2-3-4"`, with + or - for a sixteenth. An inch mark goes into single quotes, `'7-1/4"'`; with a foot mark beside it into
three, `\'\'\'8' 2-1/2"\'\'\'`, or plainly `"8ft 2-1/2in"`. With `unit` under `[job]` bare numbers count in it.
"""


def reference_page() -> str:
    """Return all tables and keys as one Markdown page."""
    return _INTRO + "".join(_table(schema) for schema in SCHEMAS.values())


def explain(word: str) -> str:
    """Return what is known of a key, a table or a kind of shape; near words if it's none."""
    wanted = word.strip().strip("[]").replace("part.shape", "shape").removeprefix("part.")
    tables = [
        s
        for s in SCHEMAS.values()
        if s.name and (wanted in {s.name, s.heading} or s.name.removeprefix("shape:") == wanted)
    ]
    if wanted == "shape":
        tables = [s for s in SCHEMAS.values() if s.name.startswith("shape:")]
    *path, last = wanted.split(".")
    keys = [
        (s, k)
        for s in SCHEMAS.values()
        for k in s.keys
        if k.name == last and (not path or s.name.removeprefix("shape:") == path[-1])
    ]
    told = [_table(s).strip() for s in tables]
    told += [f"{k.name} in {s.heading}: {_about(k)}" for s, k in keys if s not in tables]
    told += [f"{last} in {s.heading}: {s.gone[last]}." for s in SCHEMAS.values() if last in s.gone]
    if told:
        return "\n\n".join(dict.fromkeys(told)) + "\n"
    names = {k.name for s in SCHEMAS.values() for k in s.keys} | {s.name for s in SCHEMAS.values()}
    near = difflib.get_close_matches(last, sorted(names), n=3, cutoff=0.5)
    tail = f" Near it: {', '.join(near)}." if near else ""
    return f"There is no key or table '{word}'.{tail}\n"


def _table(schema: TableSchema) -> str:
    rows = "".join(
        f"| `{k.name}` | {_kind(k)} | {_default(k)} | {_says(k)} |\n" for k in schema.keys
    )
    return (
        f"\n## {schema.heading}\n\n{schema.says}\n\n"
        f"| key | what it is | unless said | what it is for |\n|---|---|---|---|\n{rows}"
    )


def _kind(key: Key) -> str:
    if key.what is What.CHOICE:
        return ", ".join(f"`{w}`" for w in key.words)
    return str(key.what)


def _default(key: Key) -> str:
    if key.need is Need.NEEDED:
        return "**needed**"
    return f"`{key.default}`" if key.default else ""


def _says(key: Key) -> str:
    tail = f" Example: `{key.name} = {key.example}`." if key.example else ""
    return (key.says + tail).replace("|", "\\|")


def _about(key: Key) -> str:
    default = f" Unless said: {key.default}." if key.default else ""
    needed = " Needed." if key.need is Need.NEEDED else ""
    example = f" Example: {key.name} = {key.example}" if key.example else ""
    words = f"{', '.join(key.words)}. " if key.words else f"{key.what}. "
    return f"{words}{key.says}{needed}{default}{example}"
