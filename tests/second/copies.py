"""What the lists say of each copy of a part: its pieces, and its joints in order."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from tests.second.asked import HANDS, FlatPart, JointAsked, RailAsked
from tests.second.written import Row, Written, number

LISTED_MM = 0.0051
"""Lists are written to a hundredth. [mm]"""

Key = tuple[str, str, int]
"""Part, hand, number of the copy."""


@dataclass
class Copy:
    key: Key
    rows: list[Row]
    joints: list[Row]

    @property
    def words(self) -> str:
        part, hand, copy = self.key
        return f"{part} {hand} {copy}".replace("  ", " ")

    @property
    def at_mm(self) -> list[float]:
        return [number(j["middle at mm"]) for j in self.joints]


def keys_of(part: FlatPart | RailAsked) -> list[Key]:
    """Every copy that a part asks for."""
    return [(part.name, hand, k) for hand in HANDS[part.hand] for k in range(1, part.count + 1)]


def copies_of(written: Written) -> dict[Key, Copy]:
    """Sort pieces and joints by the copy they belong to."""
    found: dict[Key, Copy] = {}
    for row in written.cut:
        key = (row["part"], row["hand"], int(row["copy"]))
        found.setdefault(key, Copy(key, [], [])).rows.append(row)
    for row in written.joints:
        key = (row["part"], row["hand"], int(row["copy"]))
        found.setdefault(key, Copy(key, [], [])).joints.append(row)
    for copy in found.values():
        copy.rows.sort(key=lambda r: int(r["piece no."]))
        copy.joints.sort(key=lambda r: number(r["middle at mm"]))
    return found


def check_copy(
    part: FlatPart | RailAsked, copy: Copy, rule: JointAsked | None, length_mm: float | None
) -> list[str]:
    """Check the pieces' numbers and the joints of one copy against the job's rule."""
    n = len(copy.rows)
    found = []
    shares = [(int(r["piece no."]), int(r["pieces of part"])) for r in copy.rows]
    if shares != [(k, n) for k in range(1, n + 1)]:
        found.append(f"{copy.words}: pieces {shares}")
    letter = {"": "", "port": "P", "starboard": "S"}[copy.key[1]]
    name = f"{part.name} {letter}{copy.key[2]}"
    names = [f"{name} {k}/{n}" if n > 1 else name for k in range(1, n + 1)]
    if [r["piece"] for r in copy.rows] != names:
        found.append(f"{copy.words}: its pieces are called {[r['piece'] for r in copy.rows]}")
    if any(int(r["of"]) != part.count for r in copy.rows):
        found.append(f"{copy.words}: listed as one of another number than {part.count}")
    if len(copy.joints) != n - 1:
        return [*found, f"{copy.words}: {len(copy.joints)} joints for {n} pieces"]
    if n == 1:
        if rule is not None and rule.at_mm:
            found.append(f"{copy.words}: comes whole, though the job gives joints")
        return found
    if rule is None:
        return [*found, f"{copy.words}: joined, though it must come whole"]
    want = rule.overlap_mm(part.thickness_mm)
    for k, joint in enumerate(copy.joints):
        at = number(joint["middle at mm"])
        if rule.at_mm is not None and (
            len(rule.at_mm) != n - 1 or abs(at - rule.at_mm[k]) > LISTED_MM
        ):
            found.append(f"{copy.words}: a joint at {at}, the job says {rule.at_mm}")
        word = "given" if rule.at_mm is not None else "chosen"
        if joint["place"] != word:
            found.append(f"{copy.words}: a joint is {joint['place']!r}, not {word!r}")
        if joint["kind"] != rule.kind:
            found.append(f"{copy.words}: a {joint['kind']}, the job says {rule.kind}")
        if abs(number(joint["overlap mm"]) - want) > LISTED_MM:
            found.append(f"{copy.words}: overlap {joint['overlap mm']}, {want} by slope")
        if abs(number(joint["thickness mm"]) - part.thickness_mm) > LISTED_MM:
            found.append(f"{copy.words}: joint through {joint['thickness mm']} mm")
        if (joint["first piece"], joint["second piece"]) != (
            copy.rows[k]["piece"], copy.rows[k + 1]["piece"],
        ):  # fmt: skip
            found.append(f"{copy.words}: a joint names {joint['first piece']!r} and the like")
        planed = (joint["first planed"], joint["second planed"])
        if want > 0.0 and sorted(planed) != ["back", "good face"]:
            found.append(f"{copy.words}: planed {planed}: slopes must face each other")
        if rule.lap == "forward" and want > 0.0 and planed != ("good face", "back"):
            found.append(f"{copy.words}: planed {planed}, laps shall face forward")
    if length_mm is not None and rule.at_mm is None:
        found += _check_free(copy, rule, want, length_mm)
    return found


def _check_free(copy: Copy, rule: JointAsked, overlap: float, length_mm: float) -> list[str]:
    """Chosen places keep the job's rules, or the list says which they break."""
    found = []
    if rule.most is not None and len(copy.joints) > rule.most:
        found.append(f"{copy.words}: {len(copy.joints)} joints, at most {rule.most} are allowed")
    reach = overlap / 2.0
    if rule.kind == "butt strap":
        reach = 0.0
    for joint in copy.joints:
        at = number(joint["middle at mm"])
        inside = [
            z for z in rule.zones
            if at + reach > z.from_mm + LISTED_MM and at - reach < z.to_mm - LISTED_MM
        ]  # fmt: skip
        if inside and not joint["rules"]:
            found.append(f"{copy.words}: a joint at {at} in a stretch to keep clear, not told")
    ends = [0.0, *copy.at_mm, length_mm]
    for k, (a, b) in enumerate(pairwise(ends)):
        piece = b - a + (overlap / 2.0 if k else 0.0)
        piece += overlap / 2.0 if k < len(ends) - 2 else 0.0
        if piece < rule.least_mm - 2.0 * LISTED_MM and not any(j["rules"] for j in copy.joints):
            found.append(f"{copy.words}: a piece of {piece:.2f}, none below {rule.least_mm}")
    return found
