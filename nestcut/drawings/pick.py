"""One outline of a drawing by the name the job gives it."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from dataclasses import replace

from nestcut.drawings.halves import make_whole
from nestcut.drawings.labels import plain_name
from nestcut.drawings.records import Drawing, DrawnOutline, OutlineRef, Whole
from nestcut.errors import Finding, Severity

_MOST_LISTED = 8


def pick_outline(drawing: Drawing, ref: OutlineRef) -> DrawnOutline | tuple[Finding, ...]:
    """Return the outline that is meant, or findings that say why there is none.

    The findings list what there is, nearest names first.  An outline with faults (it crosses
    itself) is refused too.  An outline that is only offered (a cut-out, a hatch, a hidden layer) is
    taken when its name was asked for; a note in its ``faults`` says so.
    """
    found = [o for o in drawing.outlines if _fits(o, ref)]
    if not found and str(ref):
        found = [o for o in drawing.offered if _fits(o, ref)]
    exact = [o for o in found if ref.label is not None and _fold(o.name) == _fold(ref.label)]
    if len(found) > 1 and len(exact) == 1:
        found = exact
    if not found:
        return (_none(drawing, ref),)
    if len(found) > 1:
        if not all(_same_size(found[0], o) for o in found[1:]):
            return (_several(drawing, ref, found),)
        note = _finding(
            drawing,
            "DXF-053",
            Severity.NOTE,
            ref,
            f"{len(found)} outlines of the same size fit; the first one is taken.",
            "Say count in the job if more than one is wanted.",
        )
        return _checked(drawing, ref, found[0], (note,))
    return _checked(drawing, ref, found[0], ())


def _checked(
    drawing: Drawing, ref: OutlineRef, outline: DrawnOutline, notes: tuple[Finding, ...]
) -> DrawnOutline | tuple[Finding, ...]:
    if not outline.is_sound:
        return tuple(replace(f, severity=Severity.ERROR) for f in outline.faults)
    if outline.offered_because:
        notes = (
            *notes,
            _finding(
                drawing,
                "DXF-054",
                Severity.NOTE,
                ref,
                f"'{outline.name}' is taken although {outline.offered_because}.",
                "",
            ),
        )
    if ref.whole is Whole.MIRRORED_HALF:
        whole = make_whole(outline, drawing.options)
        if isinstance(whole, str):
            return (
                _finding(
                    drawing,
                    "DXF-055",
                    Severity.ERROR,
                    ref,
                    f"'{outline.name}' can't be mirrored to a whole part: {whole}.",
                    "Draw the centre line along the straight edge it is to be mirrored about.",
                ),
            )
        outline = whole
    elif outline.half_of is not None and outline.half_of.must_be_mirrored:
        return (
            _finding(
                drawing,
                "DXF-056",
                Severity.QUESTION,
                ref,
                f"'{outline.name}' is drawn only up to its centre line ({outline.half_of.reason}).",
                "Say that it is half a part, to be mirrored; or close it in the drawing.",
            ),
        )
    return replace(outline, faults=notes)


def _fold(text: str) -> str:
    return " ".join(text.casefold().split())


def _fits(outline: DrawnOutline, ref: OutlineRef) -> bool:
    layers = (outline.layer, *outline.also_on)
    if ref.layer is not None and _fold(ref.layer) not in [_fold(n) for n in layers]:
        return False
    if ref.label is not None and _fold(ref.label) not in _label_names(outline):
        return False
    if ref.block is not None:
        blocks = {_fold(b) for b in (outline.block, *outline.block.split("/"))}
        if _fold(ref.block) not in blocks:
            return False
    if ref.handle is not None and _fold(ref.handle) not in [_fold(h) for h in outline.handles]:
        return False
    return ref.colour is None or ref.colour == outline.colour


def _label_names(outline: DrawnOutline) -> set[str]:
    names = {_fold(outline.name)} if outline.labels else set()
    for label in outline.labels:
        names |= {_fold(label), _fold(plain_name(label))}
    return names - {""}


def _same_size(a: DrawnOutline, b: DrawnOutline) -> bool:
    """Whether two outlines may be the same part drawn twice, turned by quarter turns at most."""
    size_a = sorted((a.box_mm[2] - a.box_mm[0], a.box_mm[3] - a.box_mm[1]))
    size_b = sorted((b.box_mm[2] - b.box_mm[0], b.box_mm[3] - b.box_mm[1]))
    close = all(abs(p - q) <= 0.1 for p, q in zip(size_a, size_b, strict=True))
    return close and abs(a.area_mm2 - b.area_mm2) <= 1e-4 * a.area_mm2


def _none(drawing: Drawing, ref: OutlineRef) -> Finding:
    everything = [*drawing.outlines, *drawing.offered]
    if not everything:
        message = "the drawing holds no closed outline"
        if drawing.open_lines:
            x, y = _first_point(drawing)
            message += f"; {len(drawing.open_lines)} lines stay open, the first at {x:.2f}, {y:.2f}"
        return _finding(
            drawing,
            "DXF-050",
            Severity.ERROR,
            ref,
            message + ".",
            "Close the lines in the drawing, or raise join_gap under [drawings].",
        )
    wanted, names = _names(everything, ref)
    near = difflib.get_close_matches(wanted, names, n=1, cutoff=0.5)
    offer = f" The nearest name is '{near[0]}'." if near else ""
    listed = ", ".join(f"'{n}'" for n in names[:_MOST_LISTED])
    more = f" and {len(names) - _MOST_LISTED} more" if len(names) > _MOST_LISTED else ""
    if not str(ref):
        return _several(drawing, ref, everything)
    return _finding(
        drawing,
        "DXF-051",
        Severity.ERROR,
        ref,
        f"no outline has {ref}.{offer}",
        f"There are: {listed}{more}." if names else "Name the outline by its layer or handle.",
    )


def _first_point(drawing: Drawing) -> tuple[float, float]:
    from nestcut.geometry.curves import start_point

    return start_point(drawing.open_lines[0].curves[0])


def _names(outlines: list[DrawnOutline], ref: OutlineRef) -> tuple[str, list[str]]:
    """Return what was asked for and the names of that kind that exist."""
    kinds: tuple[tuple[str | None, Callable[[DrawnOutline], tuple[str, ...]]], ...] = (
        (ref.label, lambda o: (o.name, *o.labels) if o.labels else ()),
        (ref.layer, lambda o: (o.layer, *o.also_on)),
        (ref.block, lambda o: tuple(o.block.split("/")) if o.block else ()),
        (ref.handle, lambda o: o.handles[:1]),
    )
    for wanted, names in kinds:
        if wanted is not None:
            return wanted, sorted({n for o in outlines for n in names(o) if n})
    return "", sorted({o.name for o in outlines})


def _several(drawing: Drawing, ref: OutlineRef, found: list[DrawnOutline]) -> Finding:
    listed = "; ".join(
        f"'{o.name}' (layer '{o.layer}', handle {o.handles[0] if o.handles else '-'}, "
        f"{o.box_mm[2] - o.box_mm[0]:.0f} x {o.box_mm[3] - o.box_mm[1]:.0f} mm)"
        for o in found[:_MOST_LISTED]
    )
    more = f"; and {len(found) - _MOST_LISTED} more" if len(found) > _MOST_LISTED else ""
    what = (
        f"{len(found)} outlines have {ref}"
        if str(ref)
        else (f"the drawing holds {len(found)} outlines and the part names none")
    )
    return _finding(
        drawing,
        "DXF-052",
        Severity.ERROR,
        ref,
        f"{what}: {listed}{more}.",
        "Name one of them by label, layer or handle.",
    )


def _finding(
    drawing: Drawing, code: str, severity: Severity, ref: OutlineRef, message: str, remedy: str
) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        where=drawing.file + (f", {ref}" if str(ref) else ""),
        message=message,
        remedy=remedy,
        file=drawing.file,
        layer=ref.layer or "",
        handle=ref.handle or "",
    )
