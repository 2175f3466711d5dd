"""A document to strokes and texts: blocks resolved, layers respected, nothing dropped silently."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from nestcut.drawings.entities.amounts import MAX_DEPTH
from nestcut.drawings.entities.frames import WORLD, Frame
from nestcut.drawings.entities.hatches import hatch_strokes
from nestcut.drawings.entities.inserts import insert_frames
from nestcut.drawings.entities.layers import LayerLook, layer_looks
from nestcut.drawings.entities.primitives import (
    MAX_COORDINATE,
    READERS,
    UnusableError,
    entity_curves,
)
from nestcut.drawings.entities.reasons import REASONS
from nestcut.drawings.entities.tilts import Lie, lie_of
from nestcut.drawings.records import Label, LeftOut, Pen, Seen, Stroke
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Value
from nestcut.geometry.curves import start_point
from nestcut.model.curves import Point
from nestcut.trade import shop as trade

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

MOST_DAMAGED = 20
"""Damaged things that are told one by one. [-]"""

_XREF_FLAGS = 4 | 8
"""Block flags: external reference, overlaid external reference (DXF reference, BLOCK code 70)."""

_BROKEN = ("CENTER", "CENTRE", "DASH", "HIDDEN", "PHANTOM", "DOT", "DIVIDE", "BORDER", "ACAD_ISO",
           "MITTE", "STRICH", "VERDECKT", "AXES", "CACHE", "JIS_0", "JIS_1")  # fmt: skip


@dataclass(slots=True)
class Exploded:
    """Everything drawn, in mm."""

    strokes: list[Stroke] = field(default_factory=list)
    hatches: list[Stroke] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    leaders: list[tuple[Point, Point]] = field(default_factory=list)
    """Tips and tails of leaders."""
    left_out: list[LeftOut] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    entity_count: int = 0


@dataclass(frozen=True, slots=True)
class _Inside:
    """Where the walk stands: the blocks passed through and what they hand down."""

    frame: Frame = WORLD
    path: tuple[str, ...] = ()
    layer: str = "0"
    colour: int = 7
    linetype: str = "CONTINUOUS"
    seen: Seen = Seen.SHOWN
    instance: int = 0


def explode(document: Document, file: str, mm_per_unit: float) -> Exploded:
    """Return all strokes, texts and left-outs of the model space, in mm.

    Parameters
    ----------
    document
        The drawing as ezdxf has read it.
    file
        Its name, for findings.
    mm_per_unit
        Length of its unit. [mm]
    """
    walk = _Walk(document, file)
    walk.run(Frame(WORLD.linear * mm_per_unit, WORLD.shift))
    return walk.out


class _Walk:
    """One walk through a document; holds its running counts."""

    def __init__(self, document: Document, file: str) -> None:
        self.document = document
        self.file = file
        self.out = Exploded()
        self._told: set[str] = set()
        self._instances = 0
        self._layers = layer_looks(document)

    def run(self, frame: Frame) -> None:
        """Walk the model space; paper layouts are counted only."""
        for entity in self.document.modelspace():
            self._visit(entity, _Inside(frame))
        paper = sum(_paper_count(layout) for layout in self.document.layouts)
        if paper:
            self._tell("DXF-039", Severity.NOTE, "paper", n=paper)

    def _next_instance(self) -> int:
        self._instances += 1
        return self._instances

    def _tell(self, code: str, severity: Severity, key: str, **values: Value) -> None:
        if key and key in self._told:
            return
        self._told.add(key)
        made = finding(code, severity, self.file, **values)
        self.out.findings.append(replace(made, file=self.file))

    def _visit(self, entity: Any, inside: _Inside) -> None:
        self.out.entity_count += 1
        kind = entity.dxftype()
        try:
            place = self._place(entity, inside)
            if kind in READERS:
                self._add_stroke(entity, kind, place)
            elif kind in {"TEXT", "MTEXT", "ATTRIB"}:
                self._add_label(entity, kind, place)
            elif kind == "INSERT":
                self._insert(entity, place)
            elif kind == "LEADER":
                self._add_leader(entity, place)
            elif kind in {"MULTILEADER", "MLEADER"}:
                self._add_multileader(entity, kind, place)
            elif kind in {"HATCH", "MPOLYGON"}:
                self._add_hatch(entity, kind, place)
            else:
                self._leave(entity, kind, place, REASONS.get(kind, "a thing without known lines"))
        except UnusableError as error:
            self._leave(entity, kind, inside, str(error))
            self._tell_damaged(entity, kind, str(error))
        except RecursionError:
            raise
        except Exception as error:
            reason = f"it is damaged ({type(error).__name__})"
            self._leave(entity, kind, inside, reason)
            self._tell_damaged(entity, kind, reason)

    def _tell_damaged(self, entity: Any, kind: str, reason: str) -> None:
        count = sum(1 for f in self.out.findings if f.code == "DXF-005")
        if count >= MOST_DAMAGED:
            return
        where = f"{self.file}, {kind}"
        made = finding("DXF-005", Severity.WARNING, where, reason=reason)
        layer, handle = _text(entity, "layer", ""), _handle(entity)
        self.out.findings.append(replace(made, file=self.file, layer=layer, handle=handle))

    def _place(self, entity: Any, inside: _Inside) -> _Inside:
        """Resolve layer 0 and by-block, by-layer colours and line types."""
        layer = _text(entity, "layer", "0")
        if layer == "0" and inside.path:
            layer = inside.layer
        look = self._layers.get(layer.lower(), LayerLook())
        colour = int(entity.dxf.get("color", 256))
        colour = {256: look.colour, 0: inside.colour}.get(colour, abs(colour))
        linetype = str(entity.dxf.get("linetype", "BYLAYER"))
        linetype = {"BYLAYER": look.linetype, "BYBLOCK": inside.linetype}.get(
            linetype.upper(), linetype
        )
        seen = look.seen
        if int(entity.dxf.get("invisible", 0)) == 1:
            seen = Seen.OFF
        if inside.seen is Seen.FROZEN:  # a frozen insert hides all that is in it
            seen = Seen.FROZEN
        return _Inside(inside.frame, inside.path, layer, colour, linetype, seen, inside.instance)

    def _leave(self, entity: Any, kind: str, place: _Inside, reason: str) -> None:
        layer = place.layer if place.path else _text(entity, "layer", "0")
        self.out.left_out.append(
            LeftOut(kind=kind, layer=clean(layer), handle=_handle(entity), reason=reason)
        )

    def _add_stroke(self, entity: Any, kind: str, place: _Inside) -> None:
        lie, frame = lie_of(entity, place.frame)
        curves, closed = entity_curves(entity, frame) if lie is not Lie.BENT else ((), False)
        if lie is Lie.BENT or (lie is Lie.TILTED and not closed):
            self._leave(entity, kind, place, "a line that climbs in space")
            return
        at = start_point(curves[0])
        if (
            not (math.isfinite(at[0]) and math.isfinite(at[1]))
            or max(map(abs, at)) > MAX_COORDINATE
        ):
            raise UnusableError("it lies beyond any drawing")
        self.out.strokes.append(
            Stroke(
                curves=curves,
                is_closed=closed,
                kind=kind,
                layer=clean(place.layer),
                handle=_handle(entity),
                block=clean("/".join(place.path)),
                colour=place.colour,
                pen=_pen(place.linetype),
                seen=place.seen,
                instance=place.instance,
                is_laid_flat=lie is Lie.TILTED,
            )
        )

    def _add_hatch(self, entity: Any, kind: str, place: _Inside) -> None:
        found = hatch_strokes(entity, place.frame)
        self.out.hatches += [
            Stroke(
                curves=curves,
                is_closed=True,
                kind=kind,
                layer=clean(place.layer),
                handle=_handle(entity),
                block=clean("/".join(place.path)),
                colour=place.colour,
                seen=place.seen,
            )
            for curves in found
        ]
        if not found:
            self._leave(entity, kind, place, "a hatch without a readable edge")

    def _add_label(self, entity: Any, kind: str, place: _Inside) -> None:
        text = clean(" ".join(entity.plain_text().split()))
        if not text:
            self._leave(entity, kind, place, "an empty text")
            return
        insert = entity.dxf.insert
        if kind != "MTEXT" and entity.dxf.get("halign", 0) and entity.dxf.hasattr("align_point"):
            insert = entity.dxf.align_point
        x, y, z = float(insert.x), float(insert.y), float(insert.z)
        if kind != "MTEXT":
            at = place.frame.plane(tuple(entity.dxf.extrusion), z).point((x, y))
        else:
            at = place.frame.point((x, y, z))
        if not all(math.isfinite(c) and abs(c) < MAX_COORDINATE for c in at):
            raise UnusableError("a coordinate is not a number")
        height = entity.dxf.get("char_height" if kind == "MTEXT" else "height", 0.0)
        size = place.frame.length_scale() * float(height)
        self.out.labels.append(
            Label(
                text=text,
                at_mm=at,
                height_mm=float(height),
                middle_mm=_middle(entity, kind, text, at, size),
                layer=clean(place.layer),
                handle=_handle(entity),
                block=clean("/".join(place.path)),
                seen=place.seen,
            )
        )

    def _add_leader(self, entity: Any, place: _Inside) -> None:
        """Note where a leader points from and to; its lines are no edges."""
        vertices = [tuple(float(c) for c in v) for v in entity.vertices]
        self._leave(entity, "LEADER", place, REASONS["LEADER"])
        if len(vertices) >= 2:
            tip, tail = (place.frame.point(vertices[k]) for k in (0, -1))
            self.out.leaders.append((tip, tail))

    def _add_multileader(self, entity: Any, kind: str, place: _Inside) -> None:
        """Read the text of a leader with its tip."""
        self._leave(entity, kind, place, REASONS[kind])
        context = entity.context
        if context is None or context.mtext is None:
            return
        from ezdxf.tools.text import plain_mtext

        text = clean(" ".join(str(plain_mtext(context.mtext.default_content)).split()))
        tips = [v for leader in context.leaders for line in leader.lines for v in line.vertices[:1]]
        at = place.frame.point(tuple(context.mtext.insert))
        if text and all(math.isfinite(c) and abs(c) < MAX_COORDINATE for c in at):
            self.out.labels.append(
                Label(
                    text=text,
                    at_mm=at,
                    height_mm=float(context.char_height),
                    layer=clean(place.layer),
                    handle=_handle(entity),
                    block=clean("/".join(place.path)),
                    seen=place.seen,
                    leader_mm=place.frame.point(tuple(tips[0])) if tips else None,
                )
            )

    def _insert(self, entity: Any, place: _Inside) -> None:
        name = str(entity.dxf.name)
        for attribute in entity.attribs:
            self._visit(attribute, place)
        block: Any = self.document.blocks.get(name)
        if block is None:
            self._leave(entity, "INSERT", place, f"its block '{clean(name)}' is missing")
            return
        if block.block is not None and int(block.block.dxf.get("flags", 0)) & _XREF_FLAGS:
            self._leave(entity, "INSERT", place, "it refers to another drawing file")
            self._tell("DXF-037", Severity.WARNING, f"xref {name}", block=clean(name))
            return
        if name.lower() in [p.lower() for p in place.path] or len(place.path) >= MAX_DEPTH:
            self._leave(entity, "INSERT", place, f"the block '{clean(name)}' contains itself")
            self._tell("DXF-041", Severity.WARNING, f"loop {name}", block=clean(name))
            return
        base = block.block.dxf.get("base_point", None) if block.block is not None else None
        for frame in insert_frames(entity, base):
            inner = _Inside(
                frame.inside(place.frame),
                (*place.path, name),
                place.layer,
                place.colour,
                place.linetype,
                place.seen,
                place.instance or self._next_instance(),
            )
            for child in block:
                self._visit(child, inner)


def _paper_count(layout: Any) -> int:
    """Count what a paper layout holds; a damaged one holds nothing."""
    try:
        if layout.name.lower() == "model":
            return 0
        return sum(1 for entity in layout if entity.dxftype() != "VIEWPORT")
    except Exception:
        return 0


_LETTER = trade.LETTER_WIDTH.value


def _middle(entity: Any, kind: str, text: str, at: Point, height_mm: float) -> Point | None:
    """Return about where the middle of a text is, from where it begins and how it is turned."""
    turn = math.radians(float(entity.dxf.get("rotation", 0.0)))
    wide = _LETTER * height_mm * len(text)
    right, up = wide / 2.0, height_mm / 2.0
    if kind == "MTEXT":
        corner = int(entity.dxf.get("attachment_point", 1))
        right *= (1, 0, -1)[(corner - 1) % 3]
        up *= (-1, 0, 1)[min((corner - 1) // 3, 2)]
    elif entity.dxf.get("halign", 0):
        right *= {2: -1}.get(int(entity.dxf.halign), 0)
    c, s = math.cos(turn), math.sin(turn)
    middle = (at[0] + right * c - up * s, at[1] + right * s + up * c)
    return middle if all(map(math.isfinite, middle)) else None


def _pen(linetype: str) -> Pen:
    name = linetype.upper()
    return Pen.BROKEN if any(word in name for word in _BROKEN) else Pen.FULL


def _handle(entity: Any) -> str:
    return _text(entity, "handle", "")


def _text(entity: Any, name: str, default: str) -> str:
    """Return a text attribute; things of unknown kinds have none at all."""
    try:
        return clean(str(entity.dxf.get(name, default) or default))
    except Exception:
        return default


def clean(text: str) -> str:
    """Return a name or text without control characters and broken encodings, cut to 200 signs."""
    return "".join(c if c.isprintable() else "?" for c in text)[:200]
