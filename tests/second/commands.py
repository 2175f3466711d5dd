"""Jobs by lot through the real command: ``python -m tests.second.commands --jobs 1000 [--small]``.

Each job is planned by ``nestcut plan``, papers and all: one in ``--apart`` in a process of its own,
as a builder starts it, the others by the same entry in a process forked from one that has
everything loaded.  Exit status 1 means a fault of ours and must not come; where there are papers,
the second checker judges them.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import nestcut
from nestcut.cli import main as main_of_nestcut
from tests.second.chance import Size, write_job
from tests.second.judge import judge

LAWFUL = {0: "proven and complete", 3: "faulty input, told", 4: "pieces left, told"}


def run_command(
    seed: int, folder: Path, size: Size, *, seconds: float | None, is_apart: bool
) -> tuple[int, str, list[str]]:
    """Plan one job of the lot; return the exit status, the talk, and what is objected to."""
    job = write_job(folder, seed, size)
    out = folder / "out"
    words = ["plan", str(job), "--out", str(out), "--effort", "quick", "--workers", "1"]
    if seconds is not None:
        words += ["--seconds", f"{seconds:g}"]
    status, talk = _apart(words) if is_apart else _forked(words, folder)
    # where time runs out before the papers there are lists alone, nothing to saw by: that is told
    has_papers = status in {0, 4} and (out / "shop.pdf").exists()
    said = judge(job, out).objections if has_papers else []
    return status, talk, said


def _apart(words: list[str]) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-m", "nestcut", *words],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "COLUMNS": "100"},
    )
    return done.returncode, done.stderr


def _forked(words: list[str], folder: Path) -> tuple[int, str]:
    """The command's own entry in a copy of this process."""
    talk = folder / "talk.txt"
    child = os.fork()
    if child == 0:
        status = 255
        try:
            nowhere = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115
            with (
                talk.open("w", encoding="utf-8") as err,
                redirect_stderr(err),
                redirect_stdout(nowhere),
            ):
                main_of_nestcut(words)
        except SystemExit as end:
            status = int(str(end.code))
        finally:
            os._exit(status)
    _, ended = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(ended), talk.read_text(encoding="utf-8")


def _warm(folder: Path) -> None:
    """Plan and print one job here, so that copies of this process have all that it takes."""
    job = nestcut.read_job(write_job(folder, 10))
    nestcut.write_papers(nestcut.plan_job(job, nestcut.Budget(effort="quick")), folder / "out")


def main(arguments: list[str]) -> int:
    """Run what the command line asks for; status 1 where a command ended unlawfully."""
    parser = argparse.ArgumentParser(prog="python -m tests.second.commands", description=__doc__)
    parser.add_argument("--jobs", type=int, default=1000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--small", action="store_true", help="jobs of one to six pieces")
    parser.add_argument("--apart", type=int, default=25, help="one in so many is a true process")
    parser.add_argument("--each", type=float, default=None, help="--seconds of every command")
    asked = parser.parse_args(arguments)
    tally: Counter[str] = Counter()
    wrong, size = 0, Size.SMALL if asked.small else Size.USUAL
    with tempfile.TemporaryDirectory() as folder:
        _warm(Path(folder))
    for seed in range(asked.first, asked.first + asked.jobs):
        with tempfile.TemporaryDirectory() as folder:
            status, talk, said = run_command(
                seed, Path(folder), size, seconds=asked.each, is_apart=seed % asked.apart == 0
            )
        tally[LAWFUL.get(status, f"exit status {status}")] += 1
        if status not in LAWFUL or said or "our fault" in talk or "Traceback" in talk:
            wrong += 1
            print(seed, status, said[:3], talk[-800:], flush=True)
        if (seed - asked.first) % 20 == 19:
            print(seed - asked.first + 1, dict(tally), file=sys.stderr, flush=True)
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(f"{asked.jobs} jobs in {used.ru_utime + used.ru_stime:.0f} s of processor time: "
          f"{dict(tally)}; {wrong} wrong")  # fmt: skip
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
