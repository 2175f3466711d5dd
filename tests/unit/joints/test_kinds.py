"""Kinds of joints: a module on either side for each, and the fourth one from job to paper."""

from __future__ import annotations

import importlib.util
import json
import re
from enum import StrEnum
from pathlib import Path
from typing import Any

import pytest

import nestcut
from nestcut.cli.commands import _run
from nestcut.joints.kinds import KINDS, Weakness
from nestcut.model.joint import Face, JointKind, JointRule, LapFacing
from nestcut.papers.book.joint_cards import joint_cards
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.rows import plan_view
from nestcut.units import LengthStyle
from nestcut.verify.kinds import KINDS as PROVEN
from nestcut.words.joint_kinds import JOINT_WORDS

JOB = """
[job]
name = "laps"
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "9 mm"
length = "2440 mm"
width = "1220 mm"
count = "buy"
[[board]]
name = "larch"
material = "larch"
thickness = "20 mm"
width = "95 mm"
lengths = [{ length = "3 m", price = 9.00 }]
[[part]]
name = "frame"
material = "ply"
thickness = "9 mm"
grain = "along"
joint = { kind = "half lap", slope = "8:1", at = ["1200 mm"] }
[part.shape]
kind = "rectangle"
length = "2600 mm"
width = "90 mm"
[[rail]]
name = "riser"
material = "larch"
section = ["20 mm", "40 mm"]
length = "3.4 m"
joint = { kind = "half lap", slope = "6:1", keep_clear = "none" }
"""


def test_every_kind_is_known_on_both_sides() -> None:
    assert set(KINDS) == set(PROVEN) == set(JointKind)


@pytest.mark.parametrize("kind", list(JointKind))
@pytest.mark.parametrize("lap", list(LapFacing))
def test_both_sides_agree_without_sharing_a_line(kind: JointKind, lap: LapFacing) -> None:
    rule = JointRule(kind=kind, slope=5.0, strap_width_thicknesses=7.0, lap_facing=lap)
    own, theirs = KINDS[kind], PROVEN[kind]
    assert own.overlap_mm(rule, 9.0) == theirs.overlap_mm(rule, 9.0)
    assert own.planed(rule) == theirs.planed(rule)
    assert own.mark == theirs.mark
    assert own.has_strap is theirs.is_strapped
    assert (own.weakness(rule) is not Weakness.NONE) is theirs.is_weak(rule)


def test_a_half_lap_is_cut_proven_listed_and_drawn(tmp_path: Path) -> None:
    """9 mm at 8 thicknesses: 72 mm; 20 mm at 6: 120 mm; both pieces halved on opposite faces."""
    job, out = tmp_path / "job.toml", tmp_path / "out"
    job.write_text(JOB, encoding="utf-8")
    assert _run(["plan", str(job), "--out", str(out), "--effort", "quick", "--workers", "1"]) == 0
    assert _run(["verify", str(out / "plan.json")]) == 0
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    told = {j["part"]: j for j in plan["joints"]}
    assert {p: (j["kind"], j["overlap_mm"], j["word"]) for p, j in told.items()} == {
        "frame": ("half lap", 72.0, "given"),
        "riser": ("half lap", 120.0, "chosen"),
    }
    assert told["frame"]["planed"] == [Face.BACK, Face.GOOD]
    head, *rows = (out / "joints.csv").read_text(encoding="utf-8").splitlines()
    assert head.endswith("to mind,place,weak")
    assert sorted(re.findall(r"(given|chosen),$", r)[0] for r in rows) == ["chosen", "given"]
    shown = (out / "shop.html").read_text(encoding="utf-8")
    assert "The plans don't give its place" in shown
    assert "halve the good face" in shown
    for change in ({"overlap_mm": 36.0}, {"word": "given"}, {"planed": ["good face", "back"]}):
        old = [{**j, **change} if j["part"] == "riser" else j for j in plan["joints"]]
        bad = tmp_path / "bad.json"
        bad.write_text(json.dumps({**plan, "joints": old}), encoding="utf-8")
        assert _run(["verify", str(bad)]) != 0, change


@pytest.mark.parametrize("kind", list(JointKind))
def test_every_kind_has_a_card_that_says_how_it_is_made(kind: JointKind) -> None:
    """By its own words, filled in by its joint: 9 mm at 8:1 is 72 mm, at arctan(1/8) = 7.13°."""
    text = JOB[: JOB.index("[[rail]]")].replace('kind = "half lap"', f'kind = "{kind.value}"')
    if not KINDS[kind].laps:
        text = text.replace('slope = "8:1", ', "")
    done = nestcut.plan_job(
        nestcut.read_job(text, drawings={}), nestcut.Budget(effort=nestcut.Effort.QUICK)
    )
    view, figures = plan_view(done), Figures(LengthStyle.MM, 16, "EUR")
    ((_, items),) = joint_cards(PageMaker(Paper.A4, figures, view), 250.0)
    said, words = " ".join(t.text for t in texts_of(items)), JOINT_WORDS[kind]

    assert not set("{}") & set(said)
    assert f"{words.head.format(slope='8:1')} in 9 mm: J1" in said
    assert words.caution in said
    assert len(items) > 6, "no picture"
    for line in words.how:
        for written, value in (("{overlap}", "72 mm"), ("{angle}", "7.13°"), ("{times}", "8")):
            assert (written in line) <= (value in said)


@pytest.mark.parametrize("room", ["words.joint_kinds", "joints.kinds", "verify.kinds"])
def test_a_kind_that_a_room_does_not_know_stops_the_program(
    room: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    kinds = [*((k.name, k.value) for k in JointKind), ("MITRE", "mitre")]
    fifth: Any = StrEnum("JointKind", kinds)  # type: ignore[misc]  # members made at run time
    monkeypatch.setattr("nestcut.model.joint.JointKind", fifth)
    spec = importlib.util.find_spec(f"nestcut.{room}")
    assert spec is not None
    assert spec.loader is not None
    with pytest.raises((KeyError, ModuleNotFoundError), match="mitre"):
        spec.loader.exec_module(importlib.util.module_from_spec(spec))
