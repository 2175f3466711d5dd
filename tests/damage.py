"""Edits of a plan file: every field in turn made untrue, each list robbed, doubled and shuffled."""

from __future__ import annotations

import copy
import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from nestcut.errors import PlanFileError
from nestcut.model.job import Job
from nestcut.planfile.compare import contradictions
from nestcut.planfile.read import parse_plan_json
from nestcut.planfile.seal import seal_of
from nestcut.verify import verify_plan

HARMLESS = {
    r"job/file": "where the job lies; the job itself is known by its digest",
    r"seal": "a seal that isn't the file's own is refused; one made anew is what this test does",
    r"files.*": "the register of the files beside it, which the outlet checks",
    r"(pieces|rail_pieces|added_parts|joints) swapped": "the order of a list looked up by name",
    r"sheets/\d+/placements swapped": "the order in which pieces of a sheet are listed",
    r"boards/\d+/cuts swapped": "the order in which cuts of a board are listed",
    r"(pieces|added_parts)/\d+/(shape|net)/marks swapped": "lines to draw, whichever comes first",
    r"added_parts/\d+/shape/marks swapped": "the same, on a strap",
    r"added_parts/\d+/(drawn|small_angle_deg|note|hole_use|joint)": "of a strap: says nothing new",
    r"pieces/\d+/(grain_deg|small_angle_deg)": "of a piece of a band: its grain is measured where "
    "it lies on its board, whatever it says of itself",
    r"(pieces|added_parts)/\d+/(shape|net)/marks/\d+/points swapped": "which end of a line to draw "
    "comes first",
    r"(pieces|added_parts)/\d+/(shape|net)/marks/\d+/curves dropped": "its points stand for it, to "
    "the same thousandth, where it is straight",
    r"(pieces|added_parts)/\d+/(shape|net)/holes/\d+/curves/\d+/start_deg.*": "where on a whole "
    "circle the pencil begins",
}
"""Edits let through, and why they do no harm."""


@dataclass(frozen=True)
class Edit:
    """One change: where, what it is called, and the damaged document."""

    path: str
    document: dict[str, Any]

    @property
    def pattern(self) -> str:
        return re.sub(r"\d+", "*", self.path)


def edits(document: dict[str, Any], of_each: int) -> Iterator[Edit]:
    """Every edit of a document, at most so many of one pattern of paths."""
    seen: Counter[str] = Counter()
    for steps, kind in _places(document, ()):
        path = "/".join(map(str, steps)) + kind
        pattern = re.sub(r"\d+", "*", path)
        seen[pattern] += 1
        if seen[pattern] > of_each:
            continue
        changed = copy.deepcopy(document)
        if _change(changed, steps, kind.strip()):
            yield Edit(path, changed)


def _places(value: Any, steps: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], str]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if steps or key not in {"format", "version", "seal", "files"}:
                yield from _places(inner, (*steps, key))
                if steps in {("bounds",)}:
                    yield (*steps, key), " removed"
    elif isinstance(value, list):
        if value:
            yield steps, " dropped"
            yield steps, " doubled"
        if len(value) > 1 and value[0] != value[1]:
            yield steps, " swapped"
        for k, inner in enumerate(value):
            yield from _places(inner, (*steps, k))
    else:
        yield steps, ""
        if isinstance(value, float) and value:
            yield steps, " scaled"


def _change(document: Any, steps: tuple[Any, ...], kind: str) -> bool:
    holder = document
    for step in steps[:-1]:
        holder = holder[step]
    last = steps[-1]
    value = holder[last]
    match kind:
        case "dropped":
            value.pop(len(value) // 2)
        case "doubled":
            value.insert(0, copy.deepcopy(value[-1]))
        case "swapped":
            value[0], value[1] = value[1], value[0]
        case "removed":
            del holder[last]
        case "scaled":
            holder[last] = value * 1.02 if abs(value) > 1e-6 else 0.5
        case _:
            holder[last] = _other(value)
    return True


def _other(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, float):
        return value + 3.0
    if value is None:
        return 1.0
    swaps = {
        "port": "starboard", "starboard": "port", "good face": "back", "back": "good face",
        "scarf": "butt strap", "butt strap": "keyed", "keyed": "scarf", "along": "across",
        "across": "any", "any": "along", "half": "free", "none": "half", "free": "none",
        "length": "width", "width": "length", "keep": "use", "use": "keep", "sheet": "board",
        "board": "sheet", "good up": "either", "either": "good up",
        "with the rest": "after the dry fit", "after the dry fit": "with the rest",
        "the work limit was reached": "nothing better is possible",
        "the time limit was reached": "nothing better is possible",
    }  # fmt: skip
    return swaps.get(value, f"{value} x")


def refusal(document: dict[str, Any], job: Job, *, sealed_anew: bool) -> set[str]:
    """Codes with which a document is refused; empty: it stands."""
    if sealed_anew:
        try:
            document["seal"] = seal_of(document)
        except (KeyError, TypeError):
            return {"PLAN-003"}
    try:
        text = parse_plan_json(json.dumps(document), "plan.json")
        found = {f.code for f in contradictions(text, job)}
    except PlanFileError as error:
        return {f.code for f in error.findings}
    if text.job_sha256 != job.sha256:
        found.add("PLAN-005")
    if (text.kerf_mm, text.gap_mm) != (job.cutting.kerf_mm, job.cutting.gap_mm):
        found.add("PLAN-006")
    return found | {f.code for f in verify_plan(job, text.plan).findings}


def is_harmless(path: str) -> bool:
    return any(re.fullmatch(pattern, path) for pattern in HARMLESS)
