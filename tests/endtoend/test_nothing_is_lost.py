"""The real commands in a folder full of the builder's things, and with nobody to talk to."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import nestcut
from nestcut.bench import messages
from nestcut.bench.desk import Desk
from nestcut.cli.commands import _run
from nestcut.cli.process import PatientStream
from nestcut.cli.session import Session
from nestcut.errors import InputError
from nestcut.nesting.kernels import cache
from nestcut.outlet import Outcome
from nestcut.outlet.results import write_somewhere
from nestcut.planning import plan_job as planning
from nestcut.planning.totals import with_purchases
from tests.builders_jobs import PLY_TO_BUY
from tests.unit.outlet.things import lost, put_thirty_things, record_of

ROOT = Path(__file__).resolve().parents[2]
JOB = f"""{PLY_TO_BUY}[[part]]
name = "knee a/b"
thickness = "6 mm"
shape = {{ kind = "rectangle", length = "300 mm", width = "200 mm" }}
[[part]]
name = "knee a b"
thickness = "6 mm"
shape = {{ kind = "rectangle", length = "310 mm", width = "200 mm" }}
[[part]]
name = "drawn"
thickness = "6 mm"
drawing = "a b.dxf"
[[part]]
name = "drawn too"
thickness = "6 mm"
drawing = "a-b.dxf"
"""
QUICK = ("--effort", "quick")
PLAN = (*QUICK, "--workers", "1")


def box(path: Path, width: float) -> None:
    from ezdxf.filemanagement import new

    document = new("R2000", units=4)
    corners = [(0, 0), (400, 0), (400, width), (0, width)]
    document.modelspace().add_lwpolyline(corners, close=True)
    document.saveas(path)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a job, its drawings and a plan of it."""
    folder = tmp_path_factory.mktemp("shelf")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    box(folder / "a b.dxf", 100)
    box(folder / "a-b.dxf", 120)
    assert _run(["plan", str(folder / "job.toml"), "--out", str(folder / "out"), *PLAN]) == 0
    return folder


@pytest.fixture
def own(shelf: Path, tmp_path: Path) -> Path:
    """The same folder, for one test alone."""
    shutil.copytree(shelf, tmp_path / "own")
    document = (tmp_path / "own" / "out" / "plan.json").read_text(encoding="utf-8")
    text = document.replace(str(shelf), str(tmp_path / "own"))
    (tmp_path / "own" / "out" / "plan.json").write_text(text, encoding="utf-8")
    return tmp_path / "own"


def writing_commands(folder: Path, out: Path) -> list[list[str]]:
    """Every command that writes, into a folder."""
    plan = str(folder / "out")
    ticks = folder / "ticks.json"
    ticks.write_text("{}", encoding="utf-8")
    (folder / "order.toml").write_text('[[stage]]\nname = "first"\nparts = ["drawn"]\n')
    if not (folder / "next.toml").exists():
        shutil.copy(folder / "job.toml", folder / "next.toml")
    return [
        ["report", plan, "--out", str(out)],
        ["report", plan, "--out", str(out), "--units", "inch"],
        ["labels", str(out)],
        ["labels", str(out), "--paper", "letter"],
        ["pattern", str(out), "drawn"],
        ["labels", str(out), "--out", str(out / "notes.txt")],
        ["labels", str(out), "--out", str(out / "shop.pdf")],
        ["shape", str(folder / "job.toml"), "--out", str(out)],
        ["check", str(folder / "job.toml"), "--draw", str(out)],
        ["start", str(folder / "a-b.dxf"), "--out", str(out / "notes.txt")],
        ["start", "--out", str(out / "README")],
        ["stages", plan, str(folder / "order.toml"), "--out", str(out), *QUICK],
        ["again", plan, "--spoilt", "knee a/b", "--out", str(out), *QUICK],
        ["again", plan, "--spoilt", "knee a/b", "--out", str(out / "notes.txt"), *QUICK],
        ["stages", plan, str(folder / "order.toml"), "--out", str(out / "README"), *QUICK],
        ["choices", str(folder / "job.toml"), "--out", str(out), *QUICK],
        ["shed", "add", plan, str(out / "notes.txt")],
        ["shed", "add", plan, str(out / "shed.toml")],
        ["shed", "take", str(out / "shed.toml"), str(out / "notes.txt")],
        ["shed", "take", str(out / "shed.toml"), str(folder / "next.toml")],
        ["shed", "back", str(out / "shed.toml")],
        ["shed", "back", str(out / "README")],
    ]


@pytest.mark.parametrize("runs", [2, pytest.param(50, marks=pytest.mark.deep)])
def test_every_command_leaves_the_builders_things(runs: int, own: Path, tmp_path: Path) -> None:
    """The same to the byte and the mode, in a folder with thirty things of the builder's."""
    out = tmp_path / "mine"
    out.mkdir()
    put_thirty_things(out, tmp_path / "elsewhere")
    before, beyond = record_of(out), record_of(tmp_path / "elsewhere")
    ended = set()
    for _ in range(runs):
        ended |= {(words[0], _run(words)) for words in writing_commands(own, out)}
    if runs == 50:
        job = str(own / "job.toml")
        ended |= {("plan", _run(["plan", job, "--out", str(out), *PLAN])) for _ in range(runs)}

    assert lost(before, record_of(out)) == {}
    assert record_of(tmp_path / "elsewhere") == beyond
    assert not any(name.startswith(".nestcut-new") for name in set(record_of(out)) - set(before))
    assert {("report", 0), ("labels", 0), ("labels", 3), ("pattern", 0), ("shape", 0)} <= ended
    assert ("check", 0) in ended
    assert ("start", 3) in ended
    assert {("again", 0), ("stages", 0), ("choices", 0), ("shed", 0)} <= ended
    assert {status for _, status in ended} <= {0, 3}


@pytest.mark.parametrize("runs", [1, pytest.param(50, marks=pytest.mark.deep)])
def test_the_bench_leaves_the_builders_things(
    runs: int, own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page at work in such a folder, and papers into another: only its own files are new."""
    for name in ("mine", "mine/shelf papers"):
        (tmp_path / name).mkdir()
    put_thirty_things(tmp_path / "mine" / "shelf papers", tmp_path / "beyond")
    put_thirty_things(tmp_path / "mine", tmp_path / "elsewhere")
    for name in ("a b.dxf", "a-b.dxf"):
        shutil.copy(own / name, tmp_path / "mine" / name)
    shutil.copy(own / "job.toml", tmp_path / "mine" / "shelf.toml")
    monkeypatch.chdir(tmp_path / "mine")
    before = record_of(tmp_path / "mine")
    done = nestcut.plan_job(nestcut.read_job("shelf.toml"), nestcut.Budget(seconds=5))
    for run in range(runs):
        desk = Desk(Path(), notify=lambda: None)
        desk.open(messages.Open(file="shelf.toml"))
        seen = desk.state()["job"]["digest"]
        desk.set_value(
            messages.SetValue(
                what="kerf", seen=seen, path=["saw", "kerf"], value=f"{2 + run % 2} mm"
            )
        )
        desk.undo()
        seen = desk.state()["job"]["digest"]
        desk.work.at_hand.change("planned", seen=seen, plan=nestcut.plan_text(done))
        desk.plans.write_papers(messages.Papers())
        assert desk.state()["papers"]
        assert desk.take_in("notes.txt.dxf", b"strange") == "notes.txt.dxf"
        assert desk.take_in("a b.dxf", b"another") == "a b 2.dxf"
    assert lost(before, record_of(tmp_path / "mine")) == {}


def test_two_things_never_share_a_name(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Parts 'knee a/b' and 'knee a b', drawings 'a b.dxf' and 'a-b.dxf': each has its file."""
    out = own / "drawn"
    assert _run(["shape", str(own / "job.toml"), "--out", str(out)]) == 0
    assert _run(["check", str(own / "job.toml"), "--draw", str(out)]) == 0
    drawings = {p.name for p in out.iterdir() if p.suffix == ".dxf"}
    assert drawings == {"knee-a-b.dxf", "knee-a-b-2.dxf", "drawn.dxf", "drawn-too.dxf"}
    assert (out / "a-b.svg").read_text() != (out / "a-b-2.svg").read_text()
    assert _run(["shape", str(own / "job.toml"), "--out", str(out)]) == 0
    assert _run(["check", str(own / "job.toml"), "--draw", str(out)]) == 0
    assert f"drawn: {out / 'a-b.svg'} and .png (a b.dxf)" in capsys.readouterr().err


def test_a_pdf_of_the_builders_is_not_written_over(
    own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (own / "old.pdf").write_bytes(b"%PDF-1.4 mine")
    assert _run(["labels", str(own / "out"), "--out", str(own / "old.pdf")]) == 3
    assert (own / "old.pdf").read_bytes() == b"%PDF-1.4 mine"
    assert "there is a file of this name already" in capsys.readouterr().err


def test_a_lone_plan_file_gets_a_folder_of_its_own(own: Path) -> None:
    """Papers of a plan that a friend sent don't go among the downloads."""
    downloads = own / "downloads"
    downloads.mkdir()
    (downloads / "bill.pdf").write_bytes(b"mine")
    sent = downloads / "plan from a friend.json"
    shutil.copy(own / "out" / "plan.json", sent)

    assert _run(["report", str(sent)]) == 0
    assert {p.name for p in downloads.iterdir()} == {
        "bill.pdf",
        "plan from a friend",
        "plan from a friend.json",
    }
    assert (downloads / "plan from a friend" / "shop.pdf").is_file()


def test_a_stop_half_way_is_told_and_finished(
    own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Papers of two plans side by side: verify refuses the folder, report makes it whole."""
    out = own / "out"
    asked = ["--units", "inch", "--out", str(own / "inch")]
    assert _run(["report", str(out), *asked]) == 0
    place = out / ".nestcut-new-0123456789abcdef"
    shutil.copytree(own / "inch", place)
    (place / "shop.pdf").replace(out / "shop.pdf")
    capsys.readouterr()

    assert _run(["verify", str(out)]) == 1
    assert "writing into this folder was stopped half way" in capsys.readouterr().err
    assert _run(["report", str(out)]) == 0
    assert "stopped half way earlier; that is settled now" in capsys.readouterr().err
    assert _run(["verify", str(out)]) == 0
    assert not place.exists()
    (out / "shop.html").unlink()
    assert _run(["verify", str(out)]) == 0
    assert "gone or not as nestcut wrote them: shop.html" in capsys.readouterr().err


# -- talk -----------------------------------------------------------------------------------------


def shell(words: str, folder: Path) -> int:
    command = f'"{sys.executable}" -m nestcut {words}'
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        ["bash", "-c", command], cwd=folder, env=environment, capture_output=True, check=False
    )
    return done.returncode


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("lost", ["> /dev/full", "2> /dev/full", ">&-", "2>&-", ">&- 2>&-"])
def test_talk_never_changes_the_exit_status(lost: str, own: Path) -> None:
    """Closed and full streams: the status is what it is with somebody listening."""
    assert shell(f"check job.toml {lost}", own) == 0
    assert shell(f"check none.toml {lost}", own) == 3


def test_a_reader_that_has_seen_enough(own: Path) -> None:
    """A broken pipe is no fault, and hides none."""
    assert shell("check job.toml 2>&1 | head -c 1 > /dev/null; exit ${PIPESTATUS[0]}", own) == 0
    assert shell("check none.toml 2>&1 | true; exit ${PIPESTATUS[0]}", own) == 3


def test_a_plan_is_written_with_nobody_listening(own: Path) -> None:
    """Neither stream can be written: the plan is made all the same."""
    words = "plan job.toml --out made --effort quick --workers 1 --json > /dev/full 2>&-"
    assert shell(words, own) == 0
    assert json.loads((own / "made" / "plan.json").read_text(encoding="utf-8"))["files"]
    assert _run(["verify", str(own / "made")]) == 0


def test_a_stream_that_takes_some_signs_only(tmp_path: Path) -> None:
    with (tmp_path / "told").open("w", encoding="ascii") as file:
        stream = PatientStream(file)
        assert stream.write("5½″ \udc80\n") == 6
        stream.flush()
    assert (tmp_path / "told").read_text() == "5\\xbd\\u2033 \\udc80\n"
    stream.write("nobody listens")
    stream.flush()


# -- a plan is kept -------------------------------------------------------------------------------


def test_the_last_proven_plan_is_kept(
    own: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A fault after the first proof costs the better plan, not the plan; and it is said."""

    def stumble(*_: object) -> None:
        raise ValueError("zero-size array")

    monkeypatch.setattr(planning, "with_purchases", _once(with_purchases))
    words = ["plan", str(own / "job.toml"), "--out", str(own / "kept"), *PLAN]
    assert _run(words) == 0
    assert "did not stand up (ValueError in test_nothing_is_lost.py, line " in (
        capsys.readouterr().err
    )
    assert _run(["verify", str(own / "kept")]) == 0
    monkeypatch.setattr(planning, "with_purchases", stumble)
    assert _run(["plan", str(own / "job.toml"), "--out", str(own / "none"), *PLAN]) == 1
    assert not (own / "none").exists()


def _once(function: object) -> object:
    calls = []

    def wrapped(*words: object) -> object:
        calls.append(words)
        if len(calls) > 1:
            raise ValueError("zero-size array")
        return function(*words)  # type: ignore[operator]

    return wrapped


def test_a_folder_that_fails_after_the_search(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan goes to another place, which is told; the next time to one beside it."""
    from nestcut.outlet.faults import unwritable

    monkeypatch.chdir(tmp_path)
    wanted = Path("/proc/boat")

    def write(place: Path) -> Outcome:
        if place == wanted:
            raise InputError([unwritable(place, OSError(28, "No space left on device"))])
        place.mkdir()
        return Outcome(names=(), findings=())

    for name in ("nestcut-boat", "nestcut-boat-2"):
        haven = write_somewhere(wanted, write)
        assert haven.folder == tmp_path / name
        assert [f.code for f in haven.findings] == ["OUT-001", "OUT-006"]


def test_places_are_tried_before_the_search(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A dangling link, a place that isn't writable, a file in the way: told before any search."""
    (own / "stick").symlink_to("/media/nowhere/boat")
    (own / "full").mkdir()
    (own / "full" / "shop.pdf").write_bytes(b"mine")
    sentences = {
        own / "stick": "this link leads nowhere: its disk may not be there.",
        Path("/proc/boat"): "this can't be written (No such file or directory).",
        own / "full": "these stand where papers would go, and are not as nestcut wrote them: "
        "shop.pdf. They are left alone.",
    }
    for place, sentence in sentences.items():
        assert _run(["plan", str(own / "job.toml"), "--out", str(place), *PLAN]) == 3
        told = capsys.readouterr().err
        assert sentence in told
        assert "rails" not in told
        assert "sheets:" not in told


def test_words_of_a_stop_say_what_is_written() -> None:
    session = Session()
    assert session.told_state() == "nothing was written"
    session.note_written("outputs/boat")
    assert session.told_state() == "all papers are in outputs/boat"


@pytest.mark.parametrize("seconds", ["nan", "inf", "0", "-1", "1e9"])
def test_times_without_end_are_wrong_usage(seconds: str, own: Path) -> None:
    assert _run(["plan", str(own / "job.toml"), "--seconds", seconds]) == 2


def test_kernels_are_compiled_where_no_cache_can_be_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither the package nor the home can be written: a cache for this run alone is made."""
    import numba

    monkeypatch.setenv("NUMBA_CACHE_DIR", "")  # so that it is put back as it was, set or not
    monkeypatch.delenv("NUMBA_CACHE_DIR")
    monkeypatch.setattr(numba.config, "CACHE_DIR", numba.config.CACHE_DIR)  # type: ignore[attr-defined]
    (tmp_path / "file").touch()
    cache.ensure_cache([tmp_path / "usual"])
    assert "NUMBA_CACHE_DIR" not in os.environ
    cache.ensure_cache([tmp_path / "file" / "none", Path("/proc/none")])
    assert Path(os.environ["NUMBA_CACHE_DIR"]).is_dir()
