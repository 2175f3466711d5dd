"""A first job file from drawings: what was found is written, what only the builder knows asked.

An unanswered question is a key with an empty text, which ``nestcut check`` refuses and points at.
Each is asked once: what is the same for several parts is asked for their drawing or the whole job.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nestcut.drawings.entities.scale import ABSURD_UNIT, choices
from nestcut.drawings.first.entries import Drawings, Entry, Sorted, entries_of, thicknesses
from nestcut.drawings.first.outline_questions import HALVES, HOLES, if_no_half, why_doubt, why_half
from nestcut.drawings.first.usual_stock import (
    AS_THE_JOB,
    ASK,
    SHEETS,
    THICKNESS,
    comment,
    job_lines,
    rail_lines,
    sheet_lines,
    toml_text,
)
from nestcut.drawings.pick import checked_outline
from nestcut.drawings.records import CUT, Drawing, DrawnOutline, OutlineRef
from nestcut.drawings.remarks import said_layers
from nestcut.trade.joints import SLOPE_PLYWOOD
from nestcut.units import LengthStyle, Unit, format_length
from nestcut.words import Speech, tell

MOST_TABLES = 60
"""With more parts than this, each is written in one line: tables would be leafed through. [-]"""


@dataclass(frozen=True, slots=True)
class FirstJob:
    """Text of a job file, and for each drawing its parts' names by the outline's number."""

    text: str
    names: tuple[dict[int, str], ...]
    questions: int


def first_job(
    drawings: Drawings,
    *,
    name: str,
    folder: str = "",
    picture: str = "",
    style: LengthStyle = LengthStyle.MM,
) -> FirstJob:
    """Return a commented job file with the names that it gives to the outlines.

    Parameters
    ----------
    drawings
        Each drawing with its file name as the job is to give it, relative to ``folder``.
    name
        Name of the job.
    folder
        Folder of the drawings, relative to the job file.
    picture
        File that shows the outlines with their numbers, for the job file to point to.
    style
        Measuring world of the usual stock.
    """
    found = entries_of(drawings)
    writer = _Writer(drawings, found.entries, style)
    parts = writer.parts()
    thick = thicknesses(found.entries)
    is_asked = any(not e.said_thickness for e in found.entries)
    question = f'thickness = ""   {ASK}: how thick are the parts that don\'t say? Such as '
    question += toml_text(THICKNESS[style])
    body = [
        "",
        *parts,
        *_not_taken(drawings, found, style),
        "",
        *job_lines(name, style, question if is_asked else ""),
        *_drawing_section(drawings, folder, style),
        *writer.asked_of_drawings(),
        *sheet_lines([AS_THE_JOB, *thick] if is_asked else thick, style),
        "",
        *rail_lines(style),
        "",
    ]
    head = _head(name, picture)
    asked = [k for k, line in enumerate(body, start=len(head) + 2) if '= ""' in line]
    lines = f"line{'s' * (len(asked) != 1)} " + ", ".join(str(k) for k in asked)
    count = f"{len(asked)} questions" if len(asked) != 1 else "1 question"
    head.append(f"# {count}, on {lines}: write the answer between the quotes.")
    names: dict[int, dict[int, str]] = {id(drawing): {} for _, drawing in drawings}
    for entry in found.entries:
        for home, outline in entry.drawn:
            names[id(home)][outline.number] = entry.name
    return FirstJob(
        "\n".join([*head, *body]),
        tuple(names[id(drawing)] for _, drawing in drawings),
        len(asked),
    )


def _head(name: str, picture: str) -> list[str]:
    shown = f" {comment(picture)} shows every outline with its number." if picture else ""
    return [
        f"# First job file for {comment(name)}, written from its drawings.{shown}",
        "# All that is written here was read from the drawings or is usual: look it through.",
    ]


class _Writer:
    """Writes parts; what is asked of several parts of a drawing is asked of the drawing."""

    def __init__(self, drawings: Drawings, entries: list[Entry], style: LengthStyle) -> None:
        self.style = style
        self.drawings = drawings
        self.entries = entries
        self.doubted = _by_drawing(e for e in entries if e.outline.doubts)
        self.halves = _by_drawing(e for e in entries if e.outline.looks_half)
        self.is_joint_explained = False

    def parts(self) -> list[str]:
        """Return the tables of all parts, or a line each where there are many."""
        is_long = len(self.entries) > MOST_TABLES
        lines = ["part = ["] if is_long else []
        for file, drawing in self.drawings:
            own = [e for e in self.entries if e.drawing is drawing]
            if len(self.drawings) > 1 or not own:
                lines.append(f"# ---- {comment(file)}" + ("" if own else ": no part was found"))
            for entry in own:
                lines += [self._line(entry)] if is_long else [*self._table(entry), ""]
        return [*lines, "]"] if is_long else lines[:-1] if lines and not lines[-1] else lines

    def _table(self, entry: Entry) -> list[str]:
        lines = ["[[part]]"]
        for key, value, note in self._keys(entry):
            lines.append(f"{key} = {value}" + (f"   # {note}" if note else ""))
        return lines

    def _line(self, entry: Entry) -> str:
        keys = self._keys(entry)
        notes = [note for key, value, note in keys if key == "name" or '""' in value]
        inner = ", ".join(f"{key} = {value}" for key, value, _ in keys)
        return f"  {{ {inner} }},   # {'; '.join(notes)}"

    def _keys(self, entry: Entry) -> list[tuple[str, str, str]]:
        """Key, value and remark of everything that is written of a part."""
        outline = entry.outline
        key, value = entry.pointer
        where = f"{outline.number} in the picture, " if outline.number else ""
        size = f"{where}{_size(outline, self.style, entry.drawing)}{_inside(outline)}"
        made = [
            ("name", toml_text(entry.name), size),
            ("drawing", toml_text(entry.file), ""),
            (key, toml_text(value), entry.pointer_note),
        ]
        if entry.said_thickness:
            made.append(("thickness", toml_text(entry.said_thickness), entry.thickness_note))
        made += _count(entry, self.style)
        layers = said_layers(outline)
        if layers:
            note = "glued up, as its label says; thickness is that of one"
            made.append(("layers", str(layers), note))
        along = outline.box_mm[2] - outline.box_mm[0] >= outline.box_mm[3] - outline.box_mm[1]
        grain = toml_text("along" if along else "across")
        made.append(("grain", grain, "a guess: face grain along its longer side"))
        if outline.looks_half and len(self.halves.get(id(entry.drawing), ())) <= _MOST_HALVES:
            made.append(
                (
                    "drawn_half",
                    '""',
                    f"{_QUESTION}: {why_half(outline)}. {HALVES}{if_no_half(outline)}",
                )
            )
        if outline.doubts and len(self.doubted.get(id(entry.drawing), ())) == 1:
            made.append(("doubtful_holes", '""', f"{_QUESTION}: {why_doubt(outline)}: {HOLES}"))
        if _longest(outline) > SHEETS[self.style][2]:
            made.append(self._joint())
        return made

    def _joint(self) -> tuple[str, str, str]:
        value = f'{{ kind = "", slope = "{SLOPE_PLYWOOD.value:g}:1", keep_clear = "" }}'
        if self.is_joint_explained:
            return "joint", value, f"{_QUESTION}: longer than a sheet, as above"
        self.is_joint_explained = True
        return "joint", value, f"{_QUESTION}: {_JOINT.format(*_CLEAR[self.style])}"

    def asked_of_drawings(self) -> list[str]:
        """Return tables for what is asked of a whole drawing."""
        lines: list[str] = []
        for file, drawing in self.drawings:
            halves, doubted = self.halves.get(id(drawing), []), self.doubted.get(id(drawing), [])
            absurd = [f for f in drawing.findings if f.code == ABSURD_UNIT]
            gaps = drawing.options.layer_gaps
            if len(halves) <= _MOST_HALVES and len(doubted) < 2 and not absurd and not gaps:
                continue
            lines += ["", "[[drawing]]", f"file = {toml_text(file)}"]
            for item in absurd:
                said = tell(item, Speech(style=self.style)).message
                lines.append(f'unit = ""   # {_QUESTION}: {comment(said)}')
            if gaps:
                lines += _gap_lines(gaps, drawing)
            if len(halves) > _MOST_HALVES:
                lines += [
                    f'drawn_half = ""   # {_QUESTION}: are {_numbers(halves)} half parts, up to '
                    f"their centre line? {HALVES}",
                    '# Otherwise for one? Write drawn_half = "no" (or "mirror") in its [[part]].',
                ]
            if len(doubted) > 1:
                names = ", ".join(d.name for e in doubted for d in e.outline.doubts[:3])
                why = f"{names} in the picture: {why_doubt(doubted[0].outline)}"
                lines += [
                    f'doubtful_holes = ""   # {_QUESTION}: {why}: {HOLES}',
                    f'# Otherwise for one part? Write doubtful_holes = ["{_first_doubt(doubted)}"] '
                    "in it: those to cut.",
                ]
        return lines


_QUESTION = ASK.removeprefix("# ")
_MOST_HALVES = 4
"""So many outlines of a drawing are each asked whether they are half a part; more, all at once."""
_JOINT = (
    'longer than a sheet. kind = "scarf", "butt strap", "keyed" or "half lap"; where must '
    'no joint lie? keep_clear = "none" or [{{ at = "{}", within = "{}", why = "frame" }}]'
)
_CLEAR = {LengthStyle.MM: ("1.2 m", "100 mm"), LengthStyle.INCH: ("4ft", "4in")}


def _by_drawing(entries: Iterable[Entry]) -> dict[int, list[Entry]]:
    found: dict[int, list[Entry]] = {}
    for entry in entries:
        found.setdefault(id(entry.drawing), []).append(entry)
    return found


def _gap_lines(gaps: tuple[tuple[str, float], ...], drawing: Drawing) -> list[str]:
    """Ask for the settings that close the gaps of the drawing's layers."""
    lines = ["layers = ["]
    own = drawing.mm_per_unit
    for layer, gap in gaps:
        lines.append(
            f'  {{ name = {toml_text(layer)}, join_gap = "" }},   # {_QUESTION}: ends that nearly '
            f"meet are ringed in the picture; {_gap_words(gap, own, drawing.unit)} "
            "changes nothing else"
        )
    return [*lines, "]"]


def _gap_words(gap_mm: float, mm_per_unit: float, unit: Unit | None) -> str:
    """Say which gap closes them; of a silent drawing only its own numbers are known."""
    if unit is not None:
        return f'"{gap_mm:g} mm" closes them and'
    own = gap_mm / mm_per_unit
    return f'"{own:.3g} mm" closes them if it is drawn in mm, "{own:.3g} in" if in inches; it '


def _first_doubt(entries: list[Entry]) -> str:
    return entries[0].outline.doubts[0].name


def _numbers(entries: list[Entry]) -> str:
    called = (f"{e.outline.number} ({comment(e.name)})" for e in entries[:20])
    return ", ".join(called) + " in the picture"


def _count(entry: Entry, style: LengthStyle) -> list[tuple[str, str, str]]:
    """Return count and hand: as often as drawn, or as the label says; asked where they differ."""
    same, mirrored, said = 1 + len(entry.repeats), len(entry.mirrored), entry.said_count
    numbers = ", ".join(str(o.number) for _, o in entry.drawn[1:13])
    again = f", again as {numbers}" if numbers else ""
    if entry.is_asked:
        return [
            (
                "count",
                '""',
                f"{_QUESTION}: {_why_asked(entry, style)}; if it is no part, delete this",
            )
        ]
    if mirrored:
        return _mirrored_too(entry, again)
    if entry.is_said_pair:
        pairs = max(1, (said or 2) // 2) if same <= 2 else same // 2
        return [
            ("hand", '"pair"', f"its label says {comment(_hand_words(entry))}"),
            ("drawn", '"port"', f"a guess: which hand is {entry.outline.number} in the picture?"),
            ("count", str(pairs), f"pairs{again}"),
        ]
    if said is not None and same > 1 and said not in (1, same):
        ask = f"{_QUESTION}: drawn {same} times{again}, and a label says {said}. How many?"
        return [("count", '""', ask)]
    if said is not None and same == 1:
        ask = "" if said % 2 else f"; mirrored pairs? {_as_pairs(said)}"
        return [("count", str(said), f"as its label says{ask}")]
    drawn = f"drawn {same} times{again}" if same > 1 else "drawn once"
    ask = 'hand = "pair"' if same % 2 else _as_pairs(same)
    return [("count", str(same), f"{drawn}; one for each side? {ask}")]


def _as_pairs(pieces: int) -> str:
    """What the job file says of so many pieces where they are pairs: it counts pairs then."""
    return f'count = {pieces // 2}, hand = "pair"'


def _mirrored_too(entry: Entry, again: str) -> list[tuple[str, str, str]]:
    """Return count and hand of what is drawn mirrored as well: a pair, or both its halves."""
    same, mirrored, said = 1 + len(entry.repeats), len(entry.mirrored), entry.said_count
    pairs = max(same, mirrored)
    if entry.outline.looks_half:
        other = ", ".join(str(o.number) for _, o in entry.mirrored[:6])
        note = f'{other} is taken for the other half; two parts, one a side? hand = "pair"'
        return [("count", str(pairs), note)]
    known = said in (None, pairs, 2 * pairs, 1)
    return [
        ("hand", '"pair"', "its mirror image is drawn too"),
        ("drawn", '"port"', f"a guess: which hand is {entry.outline.number} in the picture?"),
        ("count", str(pairs), f"pairs{again}" + ("" if known else f"; a label says {said}")),
    ]


def _why_asked(entry: Entry, style: LengthStyle) -> str:
    """Ask whether an outline is a part, or have its line mended first."""
    if entry.fault is not None:
        ring = entry.fault.where.partition(", ring ")[2]
        where = f" (ring {comment(ring)} in the picture)" if ring else ""
        said = comment(tell(entry.fault, Speech(style=style)).message).rstrip(".")
        return f"{said}{where}. Mend that in the drawing, then say how many"
    kind = entry.outline.judgement.kind
    doubt = "" if kind is None else f" ({kind.value})"
    return f"is it a part{doubt}? How many"


def _hand_words(entry: Entry) -> str:
    return next(toml_text(s.text) for s in entry.said if s.hand)


def _drawing_section(drawings: Drawings, folder: str, style: LengthStyle) -> list[str]:
    lines = ["", "[drawings]"]
    if folder:
        lines.append(f"folder = {toml_text(folder)}")
    silent = [(file, d) for file, d in drawings if d.unit is None]
    if silent:
        lines.append(f'unit = ""   {ASK}: in which unit is it drawn? "mm", "cm", "m", "in" or "ft"')
        for file, drawing in silent:
            sizes = sorted((_units(o, drawing) for o in drawing.outlines), reverse=True)
            lines += [f"# {comment(file)}: {said}" for said in choices(tuple(sizes[:2]))]
    else:
        units = ", ".join(sorted({str(d.unit) for _, d in drawings}))
        lines.append(f"# unit: the drawings say {units}")
    gap = toml_text(_JOIN_GAP[style])
    lines.append(f"# join_gap = {gap}   # loose ends nearer than this are joined")
    return lines


_JOIN_GAP = {LengthStyle.MM: "0.1 mm", LengthStyle.INCH: "0.004in"}


def _not_taken(drawings: Drawings, found: Sorted, style: LengthStyle) -> list[str]:
    """Return a line a drawing on what is asked about, and one on each outline that is faulty."""
    lines = []
    speech = Speech(style=style)
    for file, drawing in drawings:
        listed = {id(o) for e in found.entries for _, o in e.drawn}
        asked = tuple(o for o in drawing.asked if id(o) not in listed)
        home = f" of {comment(file)}" if len(drawings) > 1 else ""
        if asked:
            kinds = dict.fromkeys(o.judgement.kind.value for o in asked if o.judgement.kind)
            numbers = ", ".join(str(o.number) for o in asked[:60])
            example = _example(drawing, asked)
            lines += [
                f"# Not taken, maybe no parts ({', '.join(kinds)}): {numbers} in the "
                f"picture{home}.",
                "# If one is a part, copy a [[part]] and point at it by "
                f'outline = "{example} of {drawing.numbered}".',
            ]
        for outline, fault in [(o, f) for d, o, f in found.faulty if d is drawing][:12]:
            said = comment(tell(fault, speech).message)
            lines.append(f"# Not taken: {outline.number} in the picture{home}: {said}")
    return ["", *lines] if lines else []


def _example(drawing: Drawing, asked: tuple[DrawnOutline, ...]) -> int:
    """Number of one that can be cut, if there is one."""
    ref = OutlineRef(doubtful_holes=(CUT,))
    sound = (o for o in asked if isinstance(checked_outline(drawing, ref, o, ()), DrawnOutline))
    return next(sound, asked[0]).number


def _inside(outline: DrawnOutline) -> str:
    holes, marks = len(outline.shape.holes), len(outline.shape.marks)
    text = f", {holes} cut-out{'s' * (holes > 1)}" if holes else ""
    return text + (f", {marks} mark{'s' * (marks > 1)}" if marks else "")


def _longest(outline: DrawnOutline) -> float:
    x0, y0, x1, y1 = outline.box_mm
    return max(x1 - x0, y1 - y0)


def _units(outline: DrawnOutline, drawing: Drawing) -> float:
    """Length in the drawing's own unit, whichever that is. [-]"""
    return _longest(outline) / drawing.mm_per_unit


def _size(outline: DrawnOutline, style: LengthStyle, drawing: Drawing) -> str:
    x0, y0, x1, y1 = outline.box_mm
    if drawing.unit is None:
        wide, high = ((b - a) / drawing.mm_per_unit for a, b in ((x0, x1), (y0, y1)))
        return f"{wide:.4g} x {high:.4g} in the drawing's own unit"
    return f"{format_length(x1 - x0, style)} x {format_length(y1 - y0, style)}"
