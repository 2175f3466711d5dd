"""What is said of a damaged plan file, and which edits do no harm, with the reason why."""

from __future__ import annotations

import json
import re
from typing import Any

from nestcut.errors import PlanFileError
from nestcut.model.job import Job
from nestcut.model.plan import Plan
from nestcut.planfile.compare import contradictions
from nestcut.planfile.read import PlanText, parse_plan_json
from nestcut.verify import verify_plan

SEAL = "PLAN-008"
AS_A_FILE = "refused as a file"
BY_THE_VERIFIER = "refused by the verifier"
BY_WHAT_IS_DERIVED = "refused by what is derived"
BY_THE_SEAL = "refused by the seal"
BY_NONE = "let through"
_ORDER = r"(\d+ exchanged|swapped|shifted|turned round)"
_SHAPE = r"(pieces|added_parts)/\d+/(shape|net)"

HARMLESS = {
    r"job/file .*": "where the job lies; the job itself is known by its digest",
    rf"(pieces|rail_pieces|added_parts|joints)[ /]?{_ORDER}": "the order of a list that is "
    "looked up by name",
    rf"sheets/\d+/placements[ /]?{_ORDER}": "the order in which pieces of a sheet are listed",
    r"sheets/\d+/placements/\d+/turn_deg negated": "a half turn, written as minus a half turn",
    rf"boards/\d+/cuts[ /]?{_ORDER}": "the order in which cuts of a board are listed",
    rf"{_SHAPE}/marks[ /]?{_ORDER}": "lines to draw, whichever comes first",
    rf"{_SHAPE}/marks/\d+/points swapped": "a line to draw, from its other end",
    rf"{_SHAPE}/marks/\d+/curves (dropped|emptied)": "its points stand for it where it is straight",
    rf"{_SHAPE}/marks/\d+/points/.* a little more": "0.05 mm along the line itself, or within the "
    "flatness that the job asks for",
    rf"{_SHAPE}/marks/\d+/curves/\d+/(start|end)/\d+ a little more": "0.05 mm along the line "
    "itself, where the next one goes on",
    r"pieces/\d+/net/(outline|holes/\d+)/points/.* a little more": "a point that stands for the "
    "true line, off by no more than the flatness that the job asks for",
    rf"{_SHAPE}/holes/\d+/curves/\d+/start_deg .*": "where on a whole circle the pencil begins",
    rf"{_SHAPE}/.*/curves/\d+/(start|sweep)_deg (a little more|negated)": "which way round a whole "
    "circle, a half turn written as minus a half turn, a twentieth of a degree that runs on along "
    "the next line: the line is the same to a thousandth",
    rf"{_SHAPE}/.*/curves/\d+/knots/\d+ a little more": "the last knot, beyond the spline's end",
    rf"{_SHAPE}/.*/curves/\d+/control/\d+/\d+ a little more": "a straight-lying point that "
    "controls a spline, 0.05 mm along the spline: the line is the same to a thousandth",
    rf"{_SHAPE}/.*points( (doubled|its last twice|shifted|turned round)|/.* exchanged)": "a point "
    "once more, two of the same place, or the line begun elsewhere or at its other end",
    r"pieces/\d+/net/.*points( .*|/.*)": "a point on the line that it stands for, once more, moved "
    "along it, taken from it, or the line begun elsewhere: it is the same to what the job asks",
    rf"{_SHAPE}/marks/\d+/points/.* (less|more|longer)": "a point of a straight line, moved along "
    "it",
    rf"{_SHAPE}/.*curves (shifted|turned round)": "a line begun elsewhere",
    rf"{_SHAPE}/.*/knots( .*|/.*)": "knots are known up to their scale",
    r"joints/\d+/standings/\d+/has a little more": "the run of the grain, which either measures on "
    "a line of its own: to a fiftieth",
    rf"sheets/\d+/board (exchanged|{_ORDER})": "the numbers of two boards that "
    "only parts are sawn from",
}
"""Edits let through, and why they do no harm."""


SEARCH_ALONE = {
    r"(seed|workers|seconds) .*": "how the search was started: any of them may give this plan",
    r"stopped_by other": "why the search ended: a plan doesn't show it",
    rf"sheets/\d+/offcuts[ /]?({_ORDER})": "the order of the rectangles that are kept",
    rf"reserves[ /]?{_ORDER}": "the order in which kinds of sheets are listed",
    r"sheets/\d+/offcuts/.*": "a rectangle smaller by less than the verifier's 5 mm",
    r"bounds/(joints in )?(\d+ x \d+ larch|1x6 spruce|larch 18 mm|.*spruce.*)/lower .*": "how far "
    "a search of boards has proven its bound",
    r"bounds/.*/(measure other|lower less|lower nothing)": "less than what is proven is true too",
    r"notes( .*|/.*)": "what is told of ways not taken, of which nothing lies in the plan; what it "
    "holds itself, the verifier has worked out again",
    r".*/values swapped|bounds/.*/said/values/\d+ exchanged": "values known by their "
    "names, in another order",
}
"""Edits that the seal alone refuses, and why nobody but the search could know better."""


BY_NOBODY = {
    r"sheets/\d+/placements/\d+/(shift_mm|turn_deg)( .*|/.*)": "another place of a piece, in which "
    "it may lie as well: another plan that stands",
    r"boards/\d+/cuts/\d+/(rip_)?(from|to)_mm .*": "another place of a cut, where it may lie "
    "as well",
    r"bounds/.* removed": "less is said than is known",
    r"pieces/\d+/shape/outline/points/.* a little more": "a point that stands for the true line, "
    "0.05 mm off: no more than the flatness asked for; the lines are compared themselves",
}
"""Edits of a file that was derived and sealed anew, which the verifier lets through, and why."""


def parsed(document: dict[str, Any]) -> Plan | None:
    """The plan of a document; None where it is refused as a file."""
    try:
        return parse_plan_json(json.dumps(document), "plan.json").plan
    except PlanFileError:
        return None


def verdict(document: dict[str, Any], job: Job, sound: Plan) -> str:
    """Who refuses a damaged document, the verifier first of all.

    The file may have been written anew, with all that is derived from its plan and its seal: then
    the verifier alone sees what is untrue.  What it lets through the file must speak against.

    Parameters
    ----------
    sound
        What the undamaged document holds.
    """
    plan = parsed(document)
    if plan is None:
        return AS_A_FILE
    if plan != sound and verify_plan(job, plan).findings:
        return BY_THE_VERIFIER
    found = refusal(document, job) if plan == sound else _of_the_file(document, job)
    if not found:
        return BY_NONE
    if plan == sound:
        return AS_A_FILE
    return BY_THE_SEAL if found == {SEAL} else BY_WHAT_IS_DERIVED


def _of_the_file(document: dict[str, Any], job: Job) -> set[str]:
    try:
        text = parse_plan_json(json.dumps(document), "plan.json")
        return {f.code for f in contradictions(text, job)} | _of_the_job(text, job)
    except PlanFileError as error:
        return {f.code for f in error.findings}


def is_listed(path: str, who: str) -> bool:
    """Whether an edit that the verifier lets through is listed with its reason."""
    lists = [HARMLESS]
    if who in {BY_THE_SEAL, BY_WHAT_IS_DERIVED}:
        lists += [SEARCH_ALONE, BY_NOBODY]
    return any(re.fullmatch(pattern, path) for each in lists for pattern in each)


def refusal(document: dict[str, Any], job: Job) -> set[str]:
    """Codes with which a document is refused; empty: it stands.

    The verifier is asked only where nothing but the seal speaks against the file.
    """
    try:
        text = parse_plan_json(json.dumps(document), "plan.json")
        found = {f.code for f in contradictions(text, job)} | _of_the_job(text, job)
    except PlanFileError as error:
        return {f.code for f in error.findings}
    if found - {SEAL}:
        return found
    return found | {f.code for f in verify_plan(job, text.plan).findings}


def _of_the_job(text: PlanText, job: Job) -> set[str]:
    found = set()
    if not job.says(text.job_sha256):
        found.add("PLAN-005")
    if (text.kerf_mm, text.gap_mm) != (job.cutting.kerf_mm, job.cutting.gap_mm):
        found.add("PLAN-006")
    return found


def is_harmless(path: str) -> bool:
    """Whether an edit is listed."""
    return any(re.fullmatch(pattern, path) for pattern in HARMLESS)


def is_search_alone(path: str) -> bool:
    """Whether an edit is one of what the search alone knows."""
    return any(re.fullmatch(pattern, path) for pattern in SEARCH_ALONE)
