"""Jobs by lot through the real command: ``python -m tests.second.commands --jobs 1000``.

Each job is planned by ``nestcut plan`` in a process of its own.  Exit status 1 means a fault of
ours and must not come; where there are papers, the second checker judges them.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.second.chance import write_job
from tests.second.judge import judge

LAWFUL = {0: "proven and complete", 3: "faulty input, told", 4: "pieces left, told"}


def run_command(seed: int, folder: Path, *, seconds: float | None) -> tuple[int, str, list[str]]:
    """Plan one job of the lot; return the exit status, the talk, and what is objected to."""
    job = write_job(folder, seed)
    out = folder / "out"
    words = [sys.executable, "-m", "nestcut", "plan", str(job), "--out", str(out), "--effort",
             "quick", "--workers", "1"]  # fmt: skip
    if seconds is not None:
        words += ["--seconds", f"{seconds:g}"]
    done = subprocess.run(
        words, capture_output=True, text=True, check=False, env={**os.environ, "COLUMNS": "100"}
    )
    # where time runs out before the papers there are lists alone, nothing to saw by: that is told
    has_papers = done.returncode in {0, 4} and (out / "shop.pdf").exists()
    said = judge(job, out).objections if has_papers else []
    return done.returncode, done.stderr, said


def main(arguments: list[str]) -> int:
    """Run what the command line asks for; status 1 where a command ended unlawfully."""
    parser = argparse.ArgumentParser(prog="python -m tests.second.commands", description=__doc__)
    parser.add_argument("--jobs", type=int, default=1000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--each", type=float, default=None, help="--seconds of every command")
    asked = parser.parse_args(arguments)
    tally: Counter[str] = Counter()
    wrong = 0
    for seed in range(asked.first, asked.first + asked.jobs):
        with tempfile.TemporaryDirectory() as folder:
            status, talk, said = run_command(seed, Path(folder), seconds=asked.each)
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
