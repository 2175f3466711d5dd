"""A plan read again beside its job: the job may have moved, changed, or be another saw's."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path

import pytest

import nestcut
from nestcut.cli.form import Form
from nestcut.cli.verbs.verify import run_verify
from nestcut.door.again import take_up
from nestcut.door.papers import write_papers
from nestcut.door.plan import PlanAndJob, read_plan
from nestcut.errors import Finding, InputError
from nestcut.planfile.seal import seal_of
from nestcut.units import LengthStyle
from nestcut.words import Speech, tell
from tests.builders_jobs import PLY_TO_BUY

SHELF = (
    PLY_TO_BUY
    + """
[[part]]
name = "shelf"
thickness = "6 mm"
shape = { kind = "rectangle", length = "800 mm", width = "200 mm" }
"""
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a job, and beside it the results of its plan."""
    monkeypatch.chdir(tmp_path)
    Path("shelf.toml").write_text(SHELF)
    job = nestcut.read_job("shelf.toml")
    done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK, seconds=0.0))
    write_papers(done, "out")
    return tmp_path


def told(read: PlanAndJob) -> dict[str, Finding]:
    return {f.code: f for f in read.findings}


def test_a_plan_for_another_saw_says_both_kerfs(folder: Path) -> None:
    assert told(read_plan("out")) == {}
    Path("shelf.toml").write_text(SHELF.replace("2 mm", "3 mm"))
    found = told(read_plan("out"))
    assert "PLAN-005" in found
    assert tell(found["PLAN-006"], Speech()).message == (
        "the plan keeps a kerf of 2 mm and a gap of 0 mm, the job asks for 3 mm and 0 mm."
    )
    inches = Speech(style=LengthStyle.INCH, fraction=16)
    assert tell(found["PLAN-006"], inches).message == (
        'the plan keeps a kerf of 2 mm (5/64") and a gap of 0", '
        'the job asks for 3 mm (1/8") and 0".'
    )


def test_a_job_that_is_gone_is_named(folder: Path) -> None:
    shutil.move("shelf.toml", "elsewhere.toml")
    with pytest.raises(InputError) as refused:
        read_plan("out")
    (found,) = refused.value.findings
    assert found.code == "PLAN-007"
    assert "'shelf.toml' isn't there" in tell(found, Speech()).message


def test_a_plan_that_doesnt_know_its_stock_is_not_gone_on_with(folder: Path) -> None:
    """As plans were written before they held their stock; the job has changed since."""
    file = Path("out/plan.json")
    document = json.loads(file.read_text())
    del document["stock"]
    document["seal"] = seal_of(document)
    file.write_text(json.dumps(document))
    Path("shelf.toml").write_text(SHELF.replace("200 mm", "210 mm"))
    with pytest.raises(InputError) as refused:
        take_up(Path("out"), None)
    assert [f.code for f in refused.value.findings] == ["AGN-008"]


def test_a_comment_makes_no_other_job(folder: Path) -> None:
    """Nor do spaces and line ends: the job says the same; what says something else does."""
    spaced = SHELF.replace("kerf = ", "kerf   =  ").replace("\n", "\r\n")
    Path("shelf.toml").write_text("# hello\n" + spaced + "\n\n# changed\n", newline="")
    assert told(read_plan("out")) == {}
    assert take_up(Path("out"), None).was is None
    Path("shelf.toml").write_text(SHELF.replace("200 mm", "210 mm"))
    assert "PLAN-005" in told(read_plan("out"))


def test_a_plan_that_knows_its_job_by_the_files_bytes_still_stands(folder: Path) -> None:
    """As plans were written before 30 November 2026."""
    file = Path("out/plan.json")
    document = json.loads(file.read_text())
    del document["job"]["says"]
    document["seal"] = seal_of(document)
    file.write_text(json.dumps(document))
    assert told(read_plan("out")) == {}


@pytest.mark.parametrize(("key", "code"), [("sha256", "PLAN-008"), ("says", "PLAN-005")])
def test_digests_of_a_job_are_believed_as_they_were_written(
    folder: Path, key: str, code: str
) -> None:
    """One is of the file's bytes, as others read it; the other of what it says."""
    file = Path("out/plan.json")
    document = json.loads(file.read_text())
    assert document["job"]["sha256"] == hashlib.sha256(SHELF.encode()).hexdigest()
    assert document["job"]["says"] != document["job"]["sha256"]
    document["job"][key] = hashlib.sha256(b"another").hexdigest()
    file.write_text(json.dumps(document))
    assert code in told(read_plan("out"))


def test_of_a_stale_plan_no_more_is_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Not that it breaks the changed job's rules, one by one."""
    Path("shelf.toml").write_text(SHELF.replace("2 mm", "3 mm"))
    assert run_verify(Path("out"), form=Form.WORDS) == 1
    err = capsys.readouterr().err
    assert "PLAN-005" in err
    assert "PLAN-006" in err
    assert "VER-" not in err
    assert "nestcut again" in err
