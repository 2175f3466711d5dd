"""Faults that an outside review planted by hand, as changes of the text: all must be seen."""

from __future__ import annotations

from dataclasses import dataclass

from tests.benchmark.planted import ROOT, Mutant


@dataclass(frozen=True)
class ByHand:
    """A fault by hand: in which room and file, which text becomes which."""

    room: str
    what: str
    path: str
    old: str
    new: str

    def planted(self) -> Mutant:
        """Return it as a mutant; ValueError where its text isn't there exactly once."""
        path = ROOT / self.path
        text = path.read_text(encoding="utf-8")
        if text.count(self.old) != 1:
            raise ValueError(f"{self.path}: {self.old!r} is there {text.count(self.old)} times")
        line = text[: text.index(self.old)].count("\n") + 1
        changed = text.replace(self.old, self.new)
        code, sound = (compile(t, str(path), "exec") for t in (changed, text))
        return Mutant(path, line, self.what, code, sound)


_BOARDS, _PLACES = "nestcut/verify/stock/boards.py", "nestcut/verify/stock/places.py"
_SHEETS, _JOINTS = "nestcut/verify/stock/sheets.py", "nestcut/verify/joints.py"

REVIEWED = (
    ByHand(
        "verify",
        "defects are no fault",
        _BOARDS,
        "if not any(_is_clear(cut, b) for b in lengths)",
        "if not lengths",
    ),
    ByHand(
        "verify",
        "any section does",
        _BOARDS,
        "abs(a - b) > VERIFY_MM for a, b in zip(section, cut_section, strict=True)",
        "False for a, b in zip(section, cut_section, strict=True)",
    ),
    ByHand(
        "verify", "any wood does", _BOARDS, "if piece.material != stock.material or any(", "if any("
    ),
    ByHand(
        "verify", "any sheet does", _SHEETS, "piece.material != stock.material\n        or ", ""
    ),
    ByHand(
        "verify",
        "any thickness does",
        _SHEETS,
        "or abs(piece.thickness_mm - layout.thickness_mm) > SAME_LENGTH_MM\n",
        "\n",
    ),
    ByHand(
        "verify",
        "holes are free for all",
        _PLACES,
        "any(hole.intersects(other) for hole in holes)",
        "False",
    ),
    ByHand(
        "verify",
        "a small angle doubled",
        _SHEETS,
        "slack += piece.small_angle_deg",
        "slack += 2.0 * piece.small_angle_deg",
    ),
    ByHand(
        "verify",
        "face down is no fault",
        _SHEETS,
        "if not placement.is_face_up and",
        "if False and",
    ),
    ByHand(
        "verify",
        "half an overlap in a keep-clear",
        "nestcut/verify/rules.py",
        "high = joint.at_mm + joint.overlap_mm / 2.0 - VERIFY_MM",
        "high = joint.at_mm - VERIFY_MM",
    ),
    ByHand("verify", "any slope does", _JOINTS, "slope=rule.slope,", "slope=joint.slope,"),
    ByHand(
        "verify",
        "any overlap does",
        _JOINTS,
        "overlap_mm=kind.overlap_mm(rule, part.thickness_mm),",
        "overlap_mm=joint.overlap_mm,",
    ),
    ByHand(
        "verify", "any face is planed", _JOINTS, "planed=kind.planed(rule),", "planed=joint.planed,"
    ),
    ByHand(
        "verify",
        "rails' faces planed alike",
        "nestcut/verify/rails.py",
        "planed=kind.planed(rule)[1 if number < k else 0]",
        "planed=kind.planed(rule)[0]",
    ),
    ByHand(
        "verify",
        "arcs left unmirrored",
        "nestcut/verify/truth/lines.py",
        "return Arc(mirrored_point(centre), radius, 180.0 - start_deg, -sweep_deg)",
        "return curve",
    ),
    ByHand(
        "verify",
        "any number to hand",
        "nestcut/verify/stock/buying.py",
        "used > sheet.count + sheet.held:",
        "False:",
    ),
    ByHand(
        "arithmetic",
        "half an overlap in a keep-clear, in the search",
        "nestcut/joints/arithmetic.py",
        "from_mm - (at_mm + overlap_mm / 2.0),",
        "from_mm - at_mm,",
    ),
    ByHand(
        "pose",
        "arcs left unmirrored, when placed",
        "nestcut/geometry/pose.py",
        "                start, sweep = 180.0 - start, -sweep\n            return Arc(",
        "                pass\n            return Arc(",
    ),
    ByHand(
        "amounts",
        "one coat fewer",
        "nestcut/papers/lists/amounts.py",
        "more = coatings.EPOXY_COATS.value - 1.0",
        "more = coatings.EPOXY_COATS.value - 2.0",
    ),
    ByHand(
        "totals",
        "stock to hand charged as bought",
        "nestcut/planning/totals.py",
        "need = count - to_hand\n        bought",
        "need = count\n        bought",
    ),
    ByHand(
        "totals",
        "what is to hand has a price",
        "nestcut/planning/totals.py",
        "price_minor=sheet.price_minor if sheet.is_to_buy else 0,",
        "price_minor=sheet.price_minor,",
    ),
)
