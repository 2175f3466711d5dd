"""One outline of a drawing by the name the job gives it."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable
from dataclasses import replace

from nestcut.drawings.records import Drawing, DrawnOutline, OutlineRef, Whole
from nestcut.drawings.sorting.halves import make_whole
from nestcut.drawings.sorting.holes import settled
from nestcut.drawings.sorting.labels import plain_name
from nestcut.drawings.sorting.soundness import unsound
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Facts, Length, Names, Size, Value, fact
from nestcut.tolerances.likeness import SAME_AREA_SHARE
from nestcut.words import Speech, tell_fact

_MOST_LISTED = 8


def pick_outline(drawing: Drawing, ref: OutlineRef) -> DrawnOutline | tuple[Finding, ...]:
    """Return the outline that is meant, or findings that say why there is none.

    The findings list what there is, nearest names first.  An outline that no plan could be made of
    is refused here.  An outline that is only offered (a cut-out, a hatch, one that may be no part)
    is taken when its name was asked for; a note in its ``faults`` says so.
    """
    is_moved = ref.of not in {drawing.numbered, drawing.unclosed} or (
        ref.of == drawing.unclosed != drawing.numbered and (ref.number or 0) > drawing.unclosed
    )
    if ref.number is not None and is_moved:
        of = "" if ref.of is None else f" of {ref.of}"
        return (_finding(drawing, "DXF-059", Severity.ERROR, ref, wanted=f"{ref.number}{of}",
                         now=drawing.numbered, example=_example(drawing)),)  # fmt: skip
    found = [o for o in drawing.outlines if _fits(o, ref)]
    if not found and str(ref):
        found = [o for o in drawing.offered if _fits(o, ref)]
    exact = [o for o in found if ref.label is not None and _is_called(o, ref.label)]
    if len(found) > 1 and len(exact) == 1:
        found = exact
    if not found:
        return (_none(drawing, ref),)
    if len(found) > 1:
        if not all(same_size(found[0], o) for o in found[1:]):
            return (_several(drawing, ref, found),)
        note = _finding(drawing, "DXF-053", Severity.NOTE, ref, n=len(found), wanted=_said(ref))
        return checked_outline(drawing, ref, found[0], (note,))
    return checked_outline(drawing, ref, found[0], ())


def checked_outline(
    drawing: Drawing, ref: OutlineRef, outline: DrawnOutline, notes: tuple[Finding, ...]
) -> DrawnOutline | tuple[Finding, ...]:
    """Return an outline with the builder's answers put in, or why it can't be taken."""
    if not outline.is_sound:
        return tuple(
            replace(f, severity=Severity.ERROR, where=_ringed(drawing, f)) for f in outline.faults
        )
    name = outline.name
    answered = _with_answered_holes(drawing, ref, outline)
    if isinstance(answered, Finding):
        return (answered,)
    outline = answered
    is_half = ref.whole is Whole.MIRRORED_IF_HALF and outline.looks_half
    is_mirrored = ref.whole is Whole.MIRRORED_HALF or is_half
    half = outline.half_of
    if half is not None and not half.must_be_mirrored and not is_mirrored:
        told = _finding(drawing, "DXF-034", Severity.NOTE, ref, name=name,
                        number=outline.number, why=half.reason)  # fmt: skip
        notes = (*notes, told)
    is_closed = ref.whole is Whole.CLOSED
    is_answered = half is not None and (is_mirrored or is_closed)
    if outline.offered_because is not None and not is_answered:
        because = tell_fact(outline.offered_because, Speech())
        taken = _finding(drawing, "DXF-054", Severity.NOTE, ref, name=name, because=because)
        notes = (*notes, taken)
    if is_mirrored:
        whole = make_whole(outline, drawing.options)
        if isinstance(whole, str):
            return (_finding(drawing, "DXF-055", Severity.ERROR, ref, name=name, why=whole),)
        outline = whole
    elif half is not None and half.must_be_mirrored and is_closed:
        length = Length(math.dist(half.start, half.end))
        told = _finding(drawing, "DXF-069", Severity.REPAIRED, ref, name=name, length=length)
        notes = (*notes, told)
    elif half is not None and half.must_be_mirrored:
        return (_finding(drawing, "DXF-056", Severity.QUESTION, ref, name=name, why=half.reason),)
    fault = unsound(outline.shape)
    if fault is not None:
        values = {"name": name, **dict(fault.values)}
        return (_finding(drawing, fault.code, Severity.ERROR, ref, **values),)
    return replace(outline, faults=notes)


def _ringed(drawing: Drawing, fault: Finding) -> str:
    """Place of a fault with its ring in the picture, if it has one there."""
    rings = (f for f in drawing.findings if (f.code, f.at_mm) == (fault.code, fault.at_mm))
    return next(rings, fault).where


def _with_answered_holes(
    drawing: Drawing, ref: OutlineRef, outline: DrawnOutline
) -> DrawnOutline | Finding:
    if not ref.doubtful_holes:
        if not outline.doubts:
            return outline
        return _finding(drawing, "DXF-058", Severity.QUESTION, ref, **holes_in_doubt(outline))
    answered = settled(outline, ref.doubtful_holes)
    if isinstance(answered, DrawnOutline):
        return answered
    listed = Names(tuple(f'"{d.name}"' for d in outline.doubts) or ("none of it",))
    return _finding(drawing, "DXF-060", Severity.ERROR, ref, name=outline.name, doubted=listed,
                    wrong=Names(answered))  # fmt: skip


def holes_in_doubt(outline: DrawnOutline) -> dict[str, Value]:
    """Return what there is to say of an outline's doubtful holes: which they are, and why."""
    reasons = dict.fromkeys(
        " and ".join(tell_fact(r, Speech()) for r in d.reasons) for d in outline.doubts
    )
    return {
        "n": len(outline.doubts),
        "holes": Names(tuple(d.name for d in outline.doubts)),
        "name": outline.name,
        "number": outline.number,
        "why": "; ".join(list(reasons)[:3]),
    }


def _example(drawing: Drawing) -> str:
    return f"1 of {drawing.numbered}"


def _said(ref: OutlineRef) -> str:
    return str(ref) or "no name to tell them apart"


def fold(text: str) -> str:
    """Return a name as names are compared."""
    return " ".join(text.casefold().split())


def _fits(outline: DrawnOutline, ref: OutlineRef) -> bool:
    layers = (outline.layer, *outline.also_on)
    if ref.layer is not None and fold(ref.layer) not in [fold(n) for n in layers]:
        return False
    if ref.label is not None and fold(ref.label) not in label_names(outline):
        return False
    if ref.block is not None:
        blocks = {fold(b) for b in (outline.block, *outline.block.split("/"))}
        if fold(ref.block) not in blocks:
            return False
    if ref.handle is not None and fold(ref.handle) not in [fold(h) for h in outline.handles]:
        return False
    if ref.number is not None and ref.number != outline.number:
        return False
    return ref.colour is None or ref.colour == outline.colour


def label_names(outline: DrawnOutline) -> set[str]:
    """Return the names that an outline's labels give it, folded."""
    names = {fold(outline.name)} if outline.labels else set()
    for label in outline.labels:
        names |= {fold(label), fold(plain_name(label))}
    return names - {""}


def _is_called(outline: DrawnOutline, label: str) -> bool:
    """Whether a label is an outline's own name; a number put behind it tells it apart only."""
    own = outline.name
    if outline.labels and fold(plain_name(outline.labels[0])) == fold(label):
        return True
    return fold(own) == fold(label)


def same_size(a: DrawnOutline, b: DrawnOutline) -> bool:
    """Whether two outlines may be the same part drawn twice, turned by quarter turns at most."""
    size_a = sorted((a.box_mm[2] - a.box_mm[0], a.box_mm[3] - a.box_mm[1]))
    size_b = sorted((b.box_mm[2] - b.box_mm[0], b.box_mm[3] - b.box_mm[1]))
    close = all(abs(p - q) <= 0.1 for p, q in zip(size_a, size_b, strict=True))
    return close and abs(a.area_mm2 - b.area_mm2) <= SAME_AREA_SHARE * a.area_mm2


def _none(drawing: Drawing, ref: OutlineRef) -> Finding:
    everything = [*drawing.outlines, *drawing.offered]
    if not everything:
        n = len(drawing.open_lines)
        said = f"{n} lines stay" if n != 1 else "1 line stays"
        return _finding(drawing, "DXF-050", Severity.ERROR, ref, open=said)
    if not str(ref):
        return _several(drawing, ref, everything)
    wanted, names = _names(everything, ref)
    near = difflib.get_close_matches(wanted, names, n=1, cutoff=0.5)
    nearest = f" The nearest name is '{near[0]}'." if near and ref.handle is None else ""
    listed = ", ".join(f"'{n}'" for n in names[:_MOST_LISTED])
    more = f" and {len(names) - _MOST_LISTED} more" if len(names) > _MOST_LISTED else ""
    return _finding(drawing, "DXF-051", Severity.ERROR, ref, wanted=str(ref), nearest=nearest,
                    listed=listed + more or "none of that kind")  # fmt: skip


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
    listed = Facts(
        tuple(
            fact("DXF-253", number=str(o.number or ""), name=o.name, size=_size_of(o))
            for o in found[:_MOST_LISTED]
        )
    )
    rest = len(found) - _MOST_LISTED
    more = Facts((fact("DXF-254", n=rest),) if rest > 0 else ())
    number = next((o.number for o in found if o.number), 1)
    return _finding(drawing, "DXF-052", Severity.ERROR, ref, n=len(found), wanted=_said(ref),
                    listed=listed, more=more,
                    example=f"{number} of {drawing.numbered}")  # fmt: skip


def _size_of(outline: DrawnOutline) -> Size:
    x0, y0, x1, y1 = outline.box_mm
    return Size((x1 - x0, y1 - y0))


def _finding(
    drawing: Drawing, code: str, severity: Severity, ref: OutlineRef, **values: Value
) -> Finding:
    where = drawing.file + (f", {ref}" if str(ref) else "")
    made = finding(code, severity, where, **values)
    return replace(made, file=drawing.file, layer=ref.layer or "", handle=ref.handle or "")
