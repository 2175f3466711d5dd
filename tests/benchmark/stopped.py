"""The real commands stopped by strace: ``python -m tests.benchmark.stopped [COMMAND ...]``.

At each rename, mkdir, unlink and rmdir of a command, KILL, TERM and INT are sent in turn, in a
folder with an older result and thirty things of the builder's.  After each stop the builder's
things must be the same, the result proven (by ``report`` where the stop fell half way), and the
next run must do its work and leave no hidden folder.  Needs strace.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.endtoend.test_nothing_is_lost import JOB, box
from tests.unit.outlet.things import Record, lost, put_thirty_things, record_of

CALLS = ("rename", "mkdir", "unlink", "unlinkat", "rmdir")
SIGNALS = ("KILL", "TERM", "INT")
COMMANDS = {
    "report": ["report", "out", "--out", "mine", "--units", "inch"],
    "plan": ["plan", "job.toml", "--out", "mine", "--effort", "quick"],
    "again": ["again", "out", "--spoilt", "drawn", "--out", "mine", "--effort", "quick"],
    "choices": ["choices", "job.toml", "--out", "mine", "--effort", "quick"],
    "shed": ["shed", "add", "out", "mine/shed.toml"],
}
_ROOT = Path(__file__).resolve().parents[2]
_MOST = 60


def run(words: list[str], folder: Path, before: tuple[str, ...] = ()) -> tuple[int, str]:
    """Run a command in a folder, perhaps under strace; exit status and its last words."""
    environment = {**os.environ, "PYTHONPATH": str(_ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [*before, sys.executable, "-m", "nestcut", *words],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stderr[-300:]


def a_place(base: Path, place: Path, command: str) -> Record:
    """Lay out the folder anew; return what in it is the builder's."""
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(base, place)
    mine = place / "mine"
    if command == "shed":
        mine.mkdir()
    else:
        shutil.copytree(place / "out", mine)
    put_thirty_things(mine, place / "elsewhere")
    plan = json.loads((place / "out" / "plan.json").read_text(encoding="utf-8"))
    ours = {str(f["name"]) for f in plan["files"]} | {"plan.json"}
    return {name: thing for name, thing in record_of(mine).items() if name not in ours}


def faults_after(command: str, place: Path, theirs: Record) -> Iterator[str]:
    """What is wrong after a stop; then after the next run."""
    mine = place / "mine"
    if gone := lost(theirs, record_of(mine)):
        yield f"lost: {gone}"
    if command in {"report", "plan", "again"} and run(["verify", "mine"], place)[0] != 0:
        run(["report", "mine"], place)
        status, words = run(["verify", "mine"], place)
        if status != 0:
            yield f"no result: {words}"
    status, words = run(COMMANDS[command], place)
    if status != 0 and "SHD-010" not in words:
        yield f"the next run: {status} {words}"
    left = [n for n in record_of(mine) if n not in theirs and ".nestcut-new" in n]
    if left:
        yield f"left behind: {left}"
    if gone := lost(theirs, record_of(mine)):
        yield f"lost by the next run: {gone}"


def main() -> int:
    """Stop each command at each call by each signal."""
    wanted = sys.argv[1:] or list(COMMANDS)
    bad = 0
    with tempfile.TemporaryDirectory() as name:
        base, place, log = Path(name) / "base", Path(name) / "place", Path(name) / "log"
        base.mkdir()
        (base / "job.toml").write_text(JOB, encoding="utf-8")
        box(base / "a b.dxf", 100)
        box(base / "a-b.dxf", 120)
        assert run(["plan", "job.toml", "--out", "out", "--effort", "quick"], base)[0] == 0
        for command in wanted:
            stops = 0
            for sign in SIGNALS:
                for call in CALLS:
                    for number in range(1, _MOST):
                        theirs = a_place(base, place, command)
                        inject = f"inject={call}:signal={sign}:when={number}"
                        trace = ("strace", "-f", "-qq", "-o", str(log), "-e", f"trace={call}")
                        run(COMMANDS[command], place, (*trace, "-e", inject))
                        if (
                            "INJECTED" not in log.read_text()
                            and f"SIG{sign}" not in log.read_text()
                        ):
                            break
                        stops += 1
                        for fault in faults_after(command, place, theirs):
                            bad += 1
                            print(f"{command} {sign} at {call} {number}: {fault}", flush=True)
            print(f"{command}: {stops} stops, {bad} faults so far", flush=True)
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
