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

Tables of which there are several may also stand in braces, one a line, above the first heading in brackets. These are the same:

    [[rail]]                            rail = [
    name = "gunwale"                      { name = "gunwale", section = ["3/4in", "1-1/4in"] },
    section = ["3/4in", "1-1/4in"]        { name = "keelson", section = ["3/4in", "3-1/2in"] },
                                        ]
"""


def reference_page() -> str:
    """Return all tables and keys as one Markdown page."""
    return _INTRO + "".join(_table(schema) for schema in SCHEMAS.values())


def explain(word: str) -> str:
    """Return what is known of a key, a table or a kind of shape; near words if it's none.

    A boat's word for something (thwart, knee) is told with what makes it; plurals are as good.
    """
    wanted = word.strip().strip("[]").replace("part.shape", "shape").removeprefix("part.")
    for tried in (
        wanted,
        _BOAT_WORDS.get(wanted.casefold(), ""),
        wanted.casefold().removesuffix("s"),
    ):
        told = _told(tried) if tried else []
        if told:
            return "\n\n".join(dict.fromkeys(told)) + "\n"
    names = {k.name for s in SCHEMAS.values() for k in s.keys}
    names |= {s.name.removeprefix("shape:") for s in SCHEMAS.values()} | set(_BOAT_WORDS)
    near = difflib.get_close_matches(wanted.rpartition(".")[2], sorted(names), n=3, cutoff=0.5)
    tail = f" Near it: {', '.join(near)}." if near else ""
    return f"There is no key or table '{word}'.{tail}\n"


_BOAT_WORDS = {
    "thwart": "seat", "thwarts": "seat", "bench": "seat", "rowing seat": "seat",
    "knee": "polygon", "knees": "polygon", "skeg": "polygon", "breasthook": "polygon",
    "side": "developed", "sides": "developed", "side panel": "developed", "plank": "developed",
    "v bottom": "developed", "bulkheads": "frames", "gunwale": "rail", "chine log": "rail",
    "keelson": "rail", "inwale": "rail", "outwale": "rail", "keel": "rail", "stem": "rail",
    "riser": "rail", "ring frame": "frame", "box": "tapered_box", "seat box": "tapered_box",
    "covering board": "cap", "planks": "board", "plywood": "sheet", "ply": "sheet",
}  # fmt: skip
"""What boats are made of, by the table or kind that makes it."""


def _told(wanted: str) -> list[str]:
    """All that is known of a word: tables of that name, and keys with the tables they hold."""
    tables = [
        s
        for s in SCHEMAS.values()
        if s.name and (wanted in {s.name, s.heading} or s.name.removeprefix("shape:") == wanted)
    ]
    if wanted == "shape":
        tables = [s for s in SCHEMAS.values() if s.name.startswith("shape:")]
    *path, last = wanted.split(".")
    told = [_table(s).strip() for s in tables]
    inner: list[TableSchema] = []
    places: dict[str, list[str]] = {}
    for schema in SCHEMAS.values():
        for key in schema.keys:
            is_here = not path or schema.name.removeprefix("shape:") == path[-1]
            if key.name != last or not is_here or schema in tables:
                continue
            places.setdefault(_about(key), []).append(schema.heading)
            inner += [s for s in SCHEMAS.values() if s.name and s.name == key.table]
    told += [f"{last} in {_listed(headings)}: {about}" for about, headings in places.items()]
    told += [_table(s).strip() for s in inner if s not in tables]
    told += [f"{last} in {s.heading}: {s.gone[last]}." for s in SCHEMAS.values() if last in s.gone]
    return told


def _listed(headings: list[str]) -> str:
    """Where a key stands, the many kinds of a shape in one."""
    kinds = [h.partition('kind = "')[2].rstrip('"') for h in headings if 'kind = "' in h]
    others = [h for h in headings if 'kind = "' not in h]
    if len(kinds) < 2:
        return ", ".join(headings)
    return ", ".join([*others, f"[part.shape] of kind {', '.join(kinds)}"])


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
