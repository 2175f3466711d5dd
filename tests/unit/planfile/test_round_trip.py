"""plan.json gives back the plan it was made from, and contradictions are found."""

from __future__ import annotations

import json
import re

import pytest

from nestcut.errors import Finding, PlanFileError
from nestcut.model.plan import VerifiedPlan
from nestcut.planfile.compare import contradictions
from nestcut.planfile.read import parse_plan_json
from nestcut.planfile.write import plan_to_json
from nestcut.verify import tally
from tests.builders import a_job, a_plan


def written() -> str:
    job, plan = a_job(), a_plan()
    return plan_to_json(VerifiedPlan(job=job, plan=plan, checks=tally(job, plan)))


def found_in(document: object) -> tuple[Finding, ...]:
    return contradictions(parse_plan_json(json.dumps(document), "plan.json"), a_job())


def test_a_plan_comes_back_as_it_was() -> None:
    """Reading what was written gives an equal plan."""
    text = parse_plan_json(written(), "plan.json")

    assert text.plan == a_plan()
    assert contradictions(text, a_job()) == ()
    assert (text.job_file, text.kerf_mm, text.gap_mm) == ("job.toml", 2.0, 3.0)


def test_writing_is_repeatable_and_one_record_a_line() -> None:
    """The same plan gives the same bytes, in lines that a diff can show."""
    assert written() == written()
    assert len(written().splitlines()) > 20


def test_used_area_is_what_the_outlines_say() -> None:
    """Usage is the net area of the pieces over the sheet's area."""
    sheet = json.loads(written())["sheets"][0]

    assert sheet["usage"] == pytest.approx(sheet["used_mm2"] / (2440 * 1220), abs=1e-6)


@pytest.mark.parametrize("change", ["shift", "turn", "hand", "outline"])
def test_a_placement_that_contradicts_its_outline_is_named(change: str) -> None:
    """Shift, turn, hand or outline changed alone no longer agree with each other."""
    document = json.loads(written())
    placement = document["sheets"][0]["placements"][0]
    if change == "shift":
        placement["shift_mm"][0] += 1.0
    elif change == "turn":
        placement["turn_deg"] = 180.0
    elif change == "hand":
        placement["hand"] = "port"
    else:
        placement["outline"][0][0] += 0.5
    findings = found_in(document)

    assert {f.code for f in findings} == {"PLAN-004"}
    assert placement["piece"] in findings[0].where


@pytest.mark.parametrize(
    "text",
    ["", "[]", '{"format": "something else"}', '{"format": "nestcut plan", "version": 9}', "{" * 9],
)
def test_other_files_are_refused(text: str) -> None:
    """What is no plan file is told, not traced back."""
    with pytest.raises(PlanFileError):
        parse_plan_json(text, "plan.json")


def test_broken_records_are_told() -> None:
    """A missing or mistyped key in a record is a finding."""
    for path, value in (("seed", "many"), ("pieces", [{"id": 1}]), ("sheets", [{}]), ("buy", 3)):
        document = json.loads(written())
        document[path] = value
        with pytest.raises(PlanFileError) as caught:
            found_in(document)
        assert caught.value.findings[0].code == "PLAN-003"


@pytest.mark.parametrize(
    "number", ["NaN", "Infinity", "-Infinity", "1e999", "1" + "0" * 400, '"5"']
)
@pytest.mark.parametrize("key", ["shift_mm", "turn_deg", "length_mm", "kerf_mm", "used_mm2"])
def test_numbers_that_are_none_are_broken_records(number: str, key: str) -> None:
    """Whatever Python's JSON reader lets through, no figure but a finite number is taken."""
    text = re.sub(rf'("{key}":\s*\[?)[-0-9.e]+', rf"\g<1>{number}", written(), count=1)
    assert text != written()
    with pytest.raises(PlanFileError) as caught:
        contradictions(parse_plan_json(text, "plan.json"), a_job())
    assert caught.value.findings[0].code == "PLAN-003"


def test_figures_that_contradict_the_layouts_are_named() -> None:
    """Areas and shares are checked against the outlines; sums against prices."""
    for change in ("used_mm2", "usage", "sheets_used", "total"):
        document = json.loads(written())
        record = {
            "used_mm2": document["sheets"][0],
            "usage": document["sheets"][0],
            "sheets_used": document["usage"],
            "total": document["buy"][0],
        }[change]
        record[change] += 0.01
        [finding] = found_in(document)
        assert finding.code == "PLAN-004"
        assert change in finding.where
    for broken in ("[]", "null", "3"):
        document = json.loads(written())
        document["usage"] = json.loads(broken)
        with pytest.raises(PlanFileError) as caught:
            found_in(document)
        assert caught.value.findings[0].code == "PLAN-003"


def test_what_the_search_said_is_sealed() -> None:
    """Bounds, reasons, notes and rectangles to keep can't be worked out again."""
    for change in ("bounds", "notes", "seed", "stopped_by", "offcuts", "checks"):
        document = json.loads(written())
        if change == "bounds":
            document["bounds"]["ply"] = {
                "lower": 1.0, "used": 1.0, "proven_optimal": True, "measure": "sheets", "reason": ""
            }  # fmt: skip
        elif change == "offcuts":
            document["sheets"][0]["offcuts"].append([[0.0, 0.0], [1.0, 1.0]])
        elif change == "seed":
            document["seed"] = 7
        elif change == "stopped_by":
            document["stopped_by"], document["repeatable"] = "interrupted", False
        else:
            document[change].append(
                {"code": "SHT-103", "values": [], "text": ""}
                if change == "notes"
                else "all is well"
            )
        assert "PLAN-008" in {f.code for f in found_in(document)}, change
