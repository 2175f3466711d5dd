"""A first job file from drawings: what was found is written, what only the builder knows asked.

An unanswered question is a key with an empty text, which ``nestcut check`` refuses and points at.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from nestcut.drawings.entities.scale import choices
from nestcut.drawings.first.usual_stock import ASK, SHEETS, rail_lines, sheet_lines, toml_text
from nestcut.drawings.pick import pick_outline
from nestcut.drawings.records import Drawing, DrawnOutline, OutlineRef, Suggestion, Verdict, Whole
from nestcut.drawings.sorting.likeness import Likeness, likeness
from nestcut.trade.joints import SLOPE_PLYWOOD
from nestcut.units import LengthStyle, format_length


@dataclass(slots=True)
class _Entry:
    """Outlines that look like one part: the first is named, the others counted."""

    file: str
    drawing: Drawing
    outline: DrawnOutline
    repeats: list[tuple[Drawing, DrawnOutline]] = field(default_factory=list)
    mirrored: list[tuple[Drawing, DrawnOutline]] = field(default_factory=list)

    @property
    def drawn(self) -> list[tuple[Drawing, DrawnOutline]]:
        """All of its outlines, each with its drawing."""
        return [(self.drawing, self.outline), *self.repeats, *self.mirrored]


@dataclass(frozen=True, slots=True)
class FirstJob:
    """Text of a job file, and for each drawing its parts' names by the outline's number."""

    text: str
    names: tuple[dict[int, str], ...]


def start_job(
    drawings: tuple[tuple[str, Drawing], ...],
    *,
    name: str,
    folder: str = "",
    style: LengthStyle = LengthStyle.MM,
) -> str:
    """Return the text of a commented job file; see :func:`first_job`."""
    return first_job(drawings, name=name, folder=folder, style=style).text


def first_job(
    drawings: tuple[tuple[str, Drawing], ...],
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
    entries = _entries(drawings)
    thick = sorted({s.thickness for e in entries for s in _suggestions(e) if s.thickness})
    silent = [e for e in entries if not _said_thickness(e)]
    usual = silent if len(silent) > 1 else []
    lines = [*_head(name, style)]
    if picture:
        lines.insert(
            1, f"# Open {_comment(picture)} beside this: it shows every outline with its number."
        )
    if usual:
        at = lines.index("[saw]") - 1
        question = f"{ASK}: how thick are the parts that don't say?"
        lines.insert(at, f'thickness = ""   {question} Such as {toml_text(_THICKNESS[style])}')
    lines += [
        *_drawing_section(drawings, folder, style),
        *sheet_lines(thick, style),
    ]
    taken: dict[str, int] = {}
    names: dict[int, dict[int, str]] = {id(drawing): {} for _, drawing in drawings}
    for file, drawing in drawings:
        lines += ["", f"# ---- {_comment(file)} " + "-" * max(3, 70 - len(file))]
        lines += _remarks(drawing)
        for entry in entries:
            if entry.drawing is drawing:
                own = _own_name(entry.outline.name, taken)
                asked = _usual_thickness(style) if entry in usual else _thickness(entry, style)
                lines += ["", *_part(entry, style, own, asked)]
                for home, outline in entry.drawn:
                    names[id(home)][outline.number] = own
        lines += ["", *_not_taken(drawing)]
    text = "\n".join([*lines, "", *rail_lines(style), ""])
    return FirstJob(text, tuple(names[id(drawing)] for _, drawing in drawings))


def start_by_numbers(name: str, style: LengthStyle) -> str:
    """Return the text of a commented job file whose parts are given by numbers.

    Parameters
    ----------
    name
        Name of the job.
    style
        Measuring world of the usual stock and of the examples.
    """
    lines = [
        f"# First job file for {_comment(name)}, for parts given by numbers.",
        "# Look for QUESTION: only you know the answer; 'nestcut check' refuses till it's given.",
        *_head(name, style)[3:],
        *sheet_lines([], style),
        "",
        "# ---- parts: one [[part]] with its [part.shape] for each; copy these for more "
        + "-" * 12,
        *_part_by_numbers(style),
        "",
        *rail_lines(style),
        "",
    ]
    return "\n".join(lines)


def _part_by_numbers(style: LengthStyle) -> list[str]:
    metric = style is LengthStyle.MM
    size, thick = ("900 mm", "6 mm") if metric else ("3ft", "1/4in")
    points = '[["0 mm", "0 mm"], ["900 mm", "0 mm"], ["700 mm", "300 mm"]]'
    if not metric:
        points = '[["0in", "0in"], ["3ft", "0in"], ["2ft 4in", "1ft"]]'
    return [
        "",
        "[[part]]",
        f'name = ""   {ASK}: what is it called?',
        f'thickness = ""   {ASK}: how thick? Such as "{thick}"',
        "count = 1",
        '# hand = "pair"   # if it is wanted once for each side of the boat, mirrored',
        'grain = "along"   # face grain along its length; or "across", "any"',
        "[part.shape]",
        'kind = "rectangle"',
        f'length = ""   {ASK}: how long? Such as "{size}"',
        f'width = ""   {ASK}: how wide?',
        "",
        "# A table of offsets? [offsets] takes it as it is printed, and sides, bottom, frames and",
        "# transom follow from its lines: nestcut explain offsets.",
        "# Other kinds: trapezoid, taper, polygon, circle, ellipse, panel (by stations), bulkhead,",
        "# box, slats and more, with holes, notches and rounded corners: parts/NUMBERS.md in the",
        "# project's folder explains each. For example:",
        "# [part.shape]",
        '# kind = "polygon"',
        f"# points = {points}",
    ]


def _entries(drawings: tuple[tuple[str, Drawing], ...]) -> list[_Entry]:
    """Put the same shapes and mirror images together, drawing by drawing and across them."""
    entries: list[_Entry] = []
    for file, drawing in drawings:
        for outline in drawing.outlines:
            if not outline.is_sound:
                continue
            for entry in entries:
                if _names_differ(entry.outline, outline):
                    continue
                if (entry.drawing.unit is None) != (drawing.unit is None):
                    continue  # sizes can't be compared until the unit is answered
                kind = likeness(entry.outline.shape, outline.shape)
                if kind is Likeness.SAME:
                    entry.repeats.append((drawing, outline))
                    break
                if kind is Likeness.MIRRORED:
                    entry.mirrored.append((drawing, outline))
                    break
            else:
                entries.append(_Entry(file, drawing, outline))
    return entries


_HAND_WORDS = {"port", "starboard", "stbd", "stb", "p", "s", "left", "right", "l", "r"}


def _names_differ(a: DrawnOutline, b: DrawnOutline) -> bool:
    """Whether both are labelled, and differently by more than number and hand: then two parts."""
    if not a.labels or not b.labels:
        return False
    return _stem(a.name) != _stem(b.name)


def _stem(name: str) -> str:
    words = name.casefold().replace("(", " ").replace(")", " ").split()
    kept = [w for w in words if w not in _HAND_WORDS]
    return " ".join(kept[:-1] if kept and kept[-1].isdigit() and name.endswith(")") else kept)


def _head(name: str, style: LengthStyle) -> list[str]:
    return [
        f"# First job file for {_comment(name)}, written from its drawings.",
        "# Look for QUESTION: only you know the answer; 'nestcut check' refuses till it's given.",
        "# Everything else is a guess to be looked through.",
        "",
        "[job]",
        f"name = {toml_text(name)}",
        f"show = {toml_text(style.value)}",
        '# currency = "..."   # printed after prices',
        "",
        "[saw]",
        *_KERF[style],
        f"gap = {toml_text(_GAP[style])}   # extra room between pieces, to cut beside the line",
    ]


_KERF = {
    LengthStyle.MM: (
        f'kerf = ""   {ASK}: how wide is your saw cut? Jigsaws 1 to 1.5 mm, thin circular saw',
        "            # blades 2 to 2.4 mm, full ones 3.2 mm, a router its bit's diameter.",
    ),
    LengthStyle.INCH: (
        f'kerf = ""   {ASK}: how wide is your saw cut? Jigsaws 3/64 to 1/16 in, thin circular saw',
        "            # blades 5/64 to 3/32 in, full ones 1/8 in, a router its bit's diameter.",
    ),
}
"""The question for the kerf, with the usual widths."""
_GAP = {LengthStyle.MM: "3 mm", LengthStyle.INCH: "1/8in"}
_JOIN_GAP = {LengthStyle.MM: "0.1 mm", LengthStyle.INCH: "0.004in"}
_THICKNESS = {LengthStyle.MM: "6 mm", LengthStyle.INCH: "1/4in"}
"""An example of a thickness."""


def _drawing_section(
    drawings: tuple[tuple[str, Drawing], ...], folder: str, style: LengthStyle
) -> list[str]:
    lines = ["", "[drawings]"]
    if folder:
        lines.append(f"folder = {toml_text(folder)}")
    silent = [(file, d) for file, d in drawings if d.unit is None]
    if silent:
        lines.append(f'unit = ""   {ASK}: in which unit is it drawn? "mm", "cm", "m", "in" or "ft"')
        for file, drawing in silent:
            sizes = sorted((_longest(o) for o in drawing.outlines), reverse=True)
            lines += [
                f"            # {_comment(file)}: {said}" for said in choices(tuple(sizes[:2]))
            ]
    else:
        units = ", ".join(sorted({str(d.unit) for _, d in drawings}))
        lines.append(f"# unit: the drawings say {units}")
    gap = toml_text(_JOIN_GAP[style])
    lines.append(f"# join_gap = {gap}   # loose ends nearer than this are joined")
    return lines


def _remarks(drawing: Drawing) -> list[str]:
    return [] if drawing.outlines else ["# no part was found here"]


def _said_thickness(entry: _Entry) -> str:
    return next((s.thickness for s in _suggestions(entry) if s.thickness), "")


def _thickness(entry: _Entry, style: LengthStyle) -> str:
    offer = _said_thickness(entry)
    hint = f" (the label says {offer})" if offer else f" such as {toml_text(_THICKNESS[style])}"
    return f'thickness = ""   {ASK}: how thick?{hint}'


def _usual_thickness(style: LengthStyle) -> str:
    return f"# thickness = {toml_text(_THICKNESS[style])}   # if other than in [job]"


def _part(entry: _Entry, style: LengthStyle, name: str, thickness_line: str) -> list[str]:
    outline = entry.outline
    lines = ["[[part]]", f"name = {toml_text(name)}"]
    lines.append(f"drawing = {toml_text(entry.file)}")
    lines.append(_pointer(entry.drawing, outline))
    lines.append(
        f"# number {outline.number} in the picture, size "
        f"{_size(outline, style, entry.drawing)}{_inside(outline)}"
    )
    said = _suggestions(entry)
    lines += [f"# the label says {toml_text(_comment(s.text))}" for s in said]
    lines.append(thickness_line)
    lines += _count(entry)
    along = outline.box_mm[2] - outline.box_mm[0] >= outline.box_mm[3] - outline.box_mm[1]
    grain = toml_text("along" if along else "across")
    lines.append(f"grain = {grain}   # a guess: face grain along its longer side")
    if entry.drawing.unit is not None and _longest(outline) > SHEETS[style][2]:
        lines.append(
            f'joint = {{ kind = "", slope = "{SLOPE_PLYWOOD.value:g}:1", keep_clear = "" }}   '
            f"{ASK}: longer than a sheet; joined how?"
        )
        lines.append(
            f'{ASK}: where must no joint lie? keep_clear = "none", or '
            '[{ at = "1.2 m", within = "100 mm", why = "frame" }]'
        )
        lines.append('# "scarf", "butt strap" or "keyed"; the slope is your plans\' or your own')
    if outline.half_of is not None:
        lines.append(
            f"# looks like half a part ({_comment(outline.half_of.reason)}); "
            'to double it: drawn_half = "mirror"'
        )
    return lines


def _count(entry: _Entry) -> list[str]:
    lines = []
    same, mirrored = 1 + len(entry.repeats), len(entry.mirrored)
    counts = [s.count for s in _suggestions(entry) if s.count is not None]
    hint = f"; the label says {counts[0]}" if counts else ""
    if mirrored:
        pairs = max(same, mirrored)
        lines.append('hand = "pair"   # a guess: its mirror image is drawn too')
        lines.append('drawn = "port"   # a guess: which hand is the one named above?')
        lines.append(f"count = {pairs}   # pairs{hint}")
    else:
        lines.append(
            f"count = {same}   # "
            + (f"the same shape is drawn {same} times" if same > 1 else "drawn once")
            + hint
        )
        lines.append('# hand = "pair"   # if it is wanted once for each side of the boat')
    others = [*entry.repeats, *entry.mirrored]
    if others:
        names = ", ".join(_comment(o.name) for _, o in others[:6])
        more = f" and {len(others) - 6} more" if len(others) > 6 else ""
        lines.append(f"# drawn again as: {names}{more}")
    return lines


def _not_taken(drawing: Drawing) -> list[str]:
    """Return one line on what is asked about, with its numbers in the picture."""
    asked = [o for o in drawing.offered if o.judgement.verdict is Verdict.ASKED and o.number]
    halves = [o for o in drawing.offered if o.half_of is not None]
    lines = []
    if asked:
        kinds = dict.fromkeys(o.judgement.kind.value for o in asked if o.judgement.kind)
        lines += [
            f"# Not taken, since they may be no parts ({', '.join(kinds)}): in the picture "
            f"{', '.join(str(o.number) for o in asked[:60])}.",
            f'# If one is a part: copy a [[part]] and write outline = "{asked[0].number} of '
            f'{drawing.numbered}" in it.',
        ]
    for outline in halves:
        lines.append(
            f"# {_comment(outline.name)} seems to be half of a part, up to its centre line. If so: "
            f"a [[part]] with {_pointer(drawing, outline)} and "
            'drawn_half = "mirror".'
        )
    return lines


def _pointer(drawing: Drawing, outline: DrawnOutline) -> str:
    """Return the key that finds this outline and no other, the most readable first."""
    whole = Whole.AS_DRAWN
    if outline.half_of is not None and outline.half_of.must_be_mirrored:
        whole = Whole.MIRRORED_HALF
    tries: list[tuple[str, str, OutlineRef]] = []
    if outline.labels:
        tries.append(("label", outline.name, OutlineRef(label=outline.name, whole=whole)))
        tries += [("label", s, OutlineRef(label=s, whole=whole)) for s in outline.labels[:2]]
    tries.append(("layer", outline.layer, OutlineRef(layer=outline.layer, whole=whole)))
    if outline.block:
        tries.append(("block", outline.block, OutlineRef(block=outline.block, whole=whole)))
    if outline.number:
        text = f"{outline.number} of {drawing.numbered}"
        ref = OutlineRef(number=outline.number, of=drawing.numbered, whole=whole)
        tries.append(("outline", text, ref))
    tries += [("handle", h, OutlineRef(handle=h, whole=whole)) for h in outline.handles[:3]]
    for key, value, ref in tries:
        picked = pick_outline(drawing, ref)
        if isinstance(picked, DrawnOutline) and picked.handles == outline.handles:
            return f"{key} = {toml_text(value)}"
    return "# nothing names this outline alone: write a label into it in the drawing"


def _suggestions(entry: _Entry) -> tuple[Suggestion, ...]:
    return entry.outline.suggestions


def _inside(outline: DrawnOutline) -> str:
    holes, marks = len(outline.shape.holes), len(outline.shape.marks)
    text = f", {holes} cut-out{'s' * (holes > 1)}" if holes else ""
    return text + (f", {marks} mark{'s' * (marks > 1)}" if marks else "")


def _longest(outline: DrawnOutline) -> float:
    x0, y0, x1, y1 = outline.box_mm
    return max(x1 - x0, y1 - y0)


def _size(outline: DrawnOutline, style: LengthStyle, drawing: Drawing) -> str:
    x0, y0, x1, y1 = outline.box_mm
    if drawing.unit is None:
        return f"{x1 - x0:.4g} x {y1 - y0:.4g} in the drawing's own unit"
    return f"{format_length(x1 - x0, style)} x {format_length(y1 - y0, style)}"


def _own_name(name: str, taken: dict[str, int]) -> str:
    taken[name] = taken.get(name, 0) + 1
    return name if taken[name] == 1 else f"{name} - {taken[name]}"


def _comment(value: str) -> str:
    """Return a text that stays on its line."""
    return "".join(c if c.isprintable() else "?" for c in value)
