"""A stop at every call that renames, removes, makes or opens for writing.

Python tells of each such call before it is made (audit events, PEP 578); a child process sends
itself the signal there.  The real commands are stopped by strace in ``tests.benchmark.stopped``.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from nestcut.errors import InputError
from nestcut.outlet import folder_state, settle_folder, undisturbed, write_folder
from tests.unit.outlet.test_folder import PAPERS, filled, matter
from tests.unit.outlet.things import record_of

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals work otherwise there")

EVENTS = {"os.rename", "os.remove", "os.rmdir", "os.mkdir", "os.link", "os.chmod", "shutil.rmtree"}
STOPS = (signal.SIGINT, signal.SIGTERM, signal.SIGKILL)
MINE = ("notes.txt", "sheets/07-spare.dxf", "empty", "link")


def is_writing(event: str, args: tuple[object, ...]) -> bool:
    if event == "open":
        flags = args[2]
        return isinstance(flags, int) and bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))
    return event in EVENTS


def run_stopped(work: Callable[[], object], number: int, stop: int) -> int:
    """Do the work in a child that is stopped at its nth call; return how it ended.

    Without a stop at all, the exit status is the number of calls.
    """
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    calls = 0

    def listen(event: str, args: tuple[object, ...]) -> None:
        nonlocal calls
        if not is_writing(event, args):
            return
        calls += 1
        if calls == number:
            os.kill(os.getpid(), stop)

    def heard(number: int, frame: object) -> None:
        del number, frame
        raise KeyboardInterrupt

    status = 99
    try:
        signal.signal(signal.SIGINT, heard)
        signal.signal(signal.SIGTERM, heard)
        sys.addaudithook(listen)
        work()
        status = min(calls, 98)
    except KeyboardInterrupt:
        status = 98
    finally:
        os._exit(status)


def old_result(out: Path) -> None:
    write_folder(out, PAPERS, filled(3), matter())


def put_mine(out: Path) -> None:
    (out / "sheets").mkdir(parents=True, exist_ok=True)
    (out / "notes.txt").write_text("mine")
    (out / "sheets" / "07-spare.dxf").write_text("by hand")
    (out / "empty").mkdir()
    (out / "link").symlink_to("gone")


def texts(folder: Path) -> dict[str, str]:
    found = {p.relative_to(folder).as_posix(): p for p in folder.rglob("*")}
    return {n: p.read_text() for n, p in found.items() if p.is_file() and n not in MINE}


@pytest.mark.parametrize("begin", ["older results", "a builder's folder", "nothing"])
def test_a_stop_at_any_call_loses_nothing(begin: str, tmp_path: Path) -> None:
    """The builder's things stay; verify tells of two plans; the next run finishes or clears."""
    out = tmp_path / "out"

    def prepare(out: Path) -> None:
        if begin == "older results":
            old_result(out)
        if begin != "nothing":
            put_mine(out)

    def write_new(out: Path) -> None:
        write_folder(out, PAPERS, filled(2), matter(1))

    prepare(tmp_path / "old")
    prepare(tmp_path / "new")
    old = texts(tmp_path / "old") if begin != "nothing" else {}
    calls = run_stopped(lambda: write_new(tmp_path / "new"), 0, signal.SIGTERM)
    new = texts(tmp_path / "new")
    assert 20 < calls < 90
    seen = set()
    for stop in STOPS:
        for number in range(1, calls + 1):
            out = tmp_path / f"{stop}-{number}"
            prepare(out)
            mine = {n: t for n, t in record_of(out).items() if n in MINE} if out.exists() else {}

            ended = run_stopped(lambda out=out: write_new(out), number, stop)  # type: ignore[misc]

            assert ended != 99
            told = [f.code for f in folder_state(out, PAPERS)] if out.exists() else []
            if out.exists():
                settle_folder(out, PAPERS)
                assert {n: t for n, t in record_of(out).items() if n in MINE} == mine
                assert not any(p.name.startswith(".nestcut") for p in out.rglob("*"))
                assert folder_state(out, PAPERS) == ()
            result = texts(out) if out.exists() else {}
            assert result in (old, new), (stop, number)
            seen.add((ended, tuple(told), result == new))
    assert (-signal.SIGKILL, ("OUT-007",), True) in seen  # stopped half way: told, and finished
    assert (98, (), False) in seen  # stopped before: as it was


def test_signals_wait_until_a_move_is_done() -> None:
    """What a signal does, it does afterwards."""
    done = []

    def move() -> None:
        with undisturbed():
            signal.raise_signal(signal.SIGTERM)
            done.append("moved")

    before = signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        with pytest.raises(KeyboardInterrupt):
            move()
    finally:
        signal.signal(signal.SIGTERM, before)
    assert done == ["moved"]


def test_two_runs_into_one_folder(tmp_path: Path) -> None:
    """Each waits for the other; what lies there in the end is whole, and the builder's stay."""
    out = tmp_path / "out"
    old_result(out)
    put_mine(out)
    before = {n: t for n, t in record_of(out).items() if n in MINE}
    children = []
    for seed in range(4):
        child = os.fork()
        if not child:
            status = 1
            try:
                for _ in range(5):
                    write_folder(out, PAPERS, filled(1 + seed, str(seed)), matter(seed))
                status = 0
            finally:
                os._exit(status)
        children.append(child)
    ended = [os.waitstatus_to_exitcode(os.waitpid(c, 0)[1]) for c in children]

    assert ended == [0, 0, 0, 0]
    assert folder_state(out, PAPERS) == ()
    assert {n: t for n, t in record_of(out).items() if n in MINE} == before
    assert not any(p.name.startswith(".nestcut") for p in out.rglob("*"))


def test_a_folder_that_is_held_for_long_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A run that waits in vain says that another one is writing."""
    from nestcut.outlet import lock

    monkeypatch.setattr(lock, "PATIENCE_S", 0.05)
    (tmp_path / "out").mkdir()
    with lock.alone_in(tmp_path / "out"), pytest.raises(InputError) as caught:
        write_folder(tmp_path / "out", PAPERS, filled(1), matter())
    assert [f.code for f in caught.value.findings] == ["OUT-005"]
    assert list((tmp_path / "out").iterdir()) == []
