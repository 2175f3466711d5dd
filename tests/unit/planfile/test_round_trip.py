"""plan.json gives back the plan it was made from, and contradictions are found."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from nestcut.errors import Finding, PlanFileError, Severity, finding
from nestcut.facts import Money, fact
from nestcut.model.plan import Bound, Counted, Plan, Unplaced, VerifiedPlan
from nestcut.papers.draw.paper import Paper
from nestcut.papers.write import write_papers
from nestcut.planfile.compare import contradictions
from nestcut.planfile.read import parse_plan_json
from nestcut.planfile.seal import seal_of
from nestcut.planfile.write import plan_to_json
from nestcut.units import LengthStyle
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


OLDER = "as an older program put it"


def a_told_plan() -> Plan:
    """A plan with something in words wherever a plan file has sentences."""
    plan = a_plan()
    broken = fact("JNT-309")
    return replace(
        plan,
        notes=(fact("JNT-324", cost=Money(4200)),),
        bounds=(
            Bound(
                name="ply",
                measure=Counted.SHEETS,
                lower=1.0,
                used=2.0,
                reason=fact("JNT-309"),
            ),
        ),
        unplaced=(Unplaced(piece="a shelf", reason=fact("JNT-309")),),
        findings=(
            *plan.findings,
            finding("JNT-111", Severity.WARNING, "part 'side'", has=7.0, asked=8.0),
        ),
        joints=tuple(replace(j, rule_findings=(broken,)) for j in plan.joints),
    )


def sentences_of(document: dict[str, Any]) -> Iterator[tuple[Any, Any]]:
    """Every place of a sentence, as the record or list that holds it and its key there."""
    for joint in document["joints"]:
        yield from ((joint["rule_findings"], k) for k in range(len(joint["rule_findings"])))
    yield from ((u, "reason") for u in document["unplaced"])
    yield from ((b, "reason") for b in document["bounds"].values())
    yield from ((f, key) for f in document["findings"] for key in ("message", "remedy"))
    yield from ((n, "text") for n in document["notes"])
    yield from ((document["checks"], k) for k in range(len(document["checks"])))


def told() -> dict[str, Any]:
    job, plan = a_job(), a_told_plan()
    text = plan_to_json(VerifiedPlan(job=job, plan=plan, checks=tally(job, plan)))
    document: dict[str, Any] = json.loads(text)
    return document


def test_a_plan_in_the_words_of_an_older_program_stands(tmp_path: Path) -> None:
    """Sentences aren't compared, and none of the file's own comes onto a paper."""
    document = told()
    places = list(sentences_of(document))
    for holder, key in places:
        holder[key] = OLDER
    document["seal"] = seal_of(document)
    text = parse_plan_json(json.dumps(document), "plan.json")

    assert {type(h[k]) for h, k in places} == {str}
    assert len(places) > 10
    assert contradictions(text, a_job()) == ()
    assert text.plan == a_told_plan()
    job = a_job()
    verified = VerifiedPlan(job=job, plan=text.plan, checks=tally(job, text.plan))
    write_papers(verified, tmp_path, Paper.A4, LengthStyle.MM)
    pages = [p for p in tmp_path.rglob("*") if p.suffix in {".html", ".csv", ".svg"}]
    assert pages
    assert not any(OLDER in p.read_text(encoding="utf-8") for p in pages)


def test_no_sentence_is_changed_by_hand() -> None:
    """Sentences are sealed word by word; a number is no sentence anywhere."""
    for n in range(len(list(sentences_of(told())))):
        document = told()
        holder, key = list(sentences_of(document))[n]
        holder[key] = OLDER
        assert {f.code for f in found_in(document)} == {"PLAN-008"}, n
        holder[key] = 3
        document["seal"] = seal_of(document)
        assert {f.code for f in found_in(document)} == {"PLAN-004"}, n


def test_figures_and_codes_beside_sentences_are_compared() -> None:
    """In the words of an older program or not: what is worked out anew is held against the file."""
    for change in ("proven_optimal", "hand", "used_mm2", "total", "usage", "price"):
        document = told()
        for holder, key in sentences_of(document):
            holder[key] = OLDER
        record = {
            "proven_optimal": document["bounds"]["ply"],
            "hand": document["sheets"][0]["placements"][0],
            "used_mm2": document["sheets"][0],
            "total": document["buy"][0],
            "usage": document["sheets"][0],
            "price": document["buy"][0],
        }[change]
        was = record[change]
        record[change] = not was if isinstance(was, bool) else "port" if was is None else was + 1
        document["seal"] = seal_of(document)
        assert {f.code for f in found_in(document)} == {"PLAN-004"}, change
