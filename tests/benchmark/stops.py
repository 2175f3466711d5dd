"""Stops at random moments: ``python -m tests.benchmark.stops [--runs 15] [--only punt,...]``.

Runs ``nestcut plan`` on both demos, on a skiff with many rails and on jobs of many pieces, and
``again`` and ``stages`` on a plan of the punt, and sends SIGINT or SIGTERM at a random moment, or
gives ``--seconds`` a random value.  As it stands it makes 105 runs of each of the three ways and
takes about 80 minutes on a quiet machine; it says so at its start.  One JSON line a
run: how late the command ended, after the signal or after the limit, the processor time that it
took itself after the signal, what it left behind, and the machine's load.  The last lines sum up.
Nothing here may be late: the bar is 2 s.
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from nestcut.search.streams import stream

PARTS = Path(__file__).parents[2] / "parts"
BAR_S = 2.0
_ENDING_S = 1.5
WAYS = ("SIGINT", "SIGTERM", "seconds")

RAIL = """
[[rail]]
name = "extra {number}"
section = ["3/4in", "{width}in"]
length = "{length}in"
hand = "pair"
joints = "allowed"
"""

MANY = """
[job]
name = "{count} plates"
[saw]
kerf = "3 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
price = 50
"""

PLATE = """
[[part]]
name = "plate {number}"
thickness = "6 mm"
count = {count}
shape = {{ kind = "rectangle", length = "{length} mm", width = "{width} mm" }}
"""


@dataclass(frozen=True, slots=True)
class Case:
    """A command, and up to which moment it is stopped. [s]"""

    name: str
    words: tuple[str, ...]
    most_s: float


def _plan(job: Path) -> tuple[str, ...]:
    return "plan", str(job)


ORDER = """
[[stage]]
name = "the first part"
parts = ["{part}"]
"""


def _of_a_plan(folder: Path) -> list[Case]:
    """Commands that go on from a plan."""
    made = folder / "punt"
    command = [sys.executable, "-m", "nestcut", "plan", str(PARTS / "punt" / "job.toml")]
    subprocess.run([*command, "--effort", "quick", "--out", str(made)], check=True,
                   capture_output=True)  # fmt: skip
    piece = json.loads((made / "plan.json").read_text(encoding="utf-8"))["pieces"][0]
    order = folder / "order.toml"
    order.write_text(ORDER.format(part=piece["part"]), encoding="utf-8")
    return [
        Case("again", ("again", str(made), "--spoilt", piece["id"]), 8.0),
        Case("stages", ("stages", str(made), str(order)), 8.0),
    ]


def cases(folder: Path) -> list[Case]:
    """The jobs; those that are made up are written into a folder."""
    skiff = (PARTS / "skiff" / "job.toml").read_text(encoding="utf-8")
    rng = stream(0, "rails of a skiff")
    for number in range(1, 8):
        length, width = int(rng.integers(110, 190)), rng.choice(["1-1/2", "1", "2"])
        skiff += RAIL.format(number=number, length=length, width=width)
    (folder / "skiff.toml").write_text(skiff, encoding="utf-8")
    found = [
        Case("beach boat", _plan(PARTS / "beach-boat" / "job.toml"), 40.0),
        Case("punt", _plan(PARTS / "punt" / "job.toml"), 20.0),
        Case("skiff of 30 rails", _plan(folder / "skiff.toml"), 40.0),
    ]
    for count in (500, 1000):  # more are refused at the door
        text = MANY.format(count=count)
        for number in range(20):
            length, width = int(rng.integers(100, 600)), int(rng.integers(60, 400))
            text += PLATE.format(number=number, count=count // 20, length=length, width=width)
        (folder / f"{count}.toml").write_text(text, encoding="utf-8")
        found.append(Case(f"{count} plates", _plan(folder / f"{count}.toml"), 30.0))
    return [*found, *_of_a_plan(folder)]


def _own_s(pid: int) -> float:
    """Processor time of a process without its children; 0 where nobody tells (not Linux). [s]"""
    try:
        words = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")


def run(case: Case, way: str, moment_s: float, folder: Path) -> dict[str, Any]:
    """Run a command and stop it one way or the other."""
    out = folder / "out"
    command = [sys.executable, "-m", "nestcut", *case.words, "--out", str(out)]
    command += ["--effort", "thorough"]
    if way == "seconds":
        command += ["--seconds", f"{moment_s:.2f}"]
    register = out / "plan.json"
    before = register.stat().st_mtime_ns if register.exists() else 0
    begun_s = time.monotonic()
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        try:
            if way != "seconds":
                time.sleep(max(0.0, moment_s - (time.monotonic() - begun_s)))
                process.send_signal(getattr(signal, way))
            sent_s = time.monotonic()
            before_s = last_s = _own_s(process.pid)
            while process.poll() is None:  # it says less than a pipe holds
                last_s = _own_s(process.pid) or last_s
                time.sleep(0.02)
            _, told = process.communicate()
        finally:
            process.terminate()  # whoever stops this benchmark stops what it has begun
    ended_s = time.monotonic()
    is_new = register.exists() and register.stat().st_mtime_ns != before
    names = [f["name"] for f in json.loads(register.read_text())["files"]] if is_new else []
    late_s = ended_s - (begun_s + moment_s if way == "seconds" else sent_s)
    return {
        "job": case.name,
        "way": way,
        "moment_s": round(moment_s, 2),
        "late_s": round(late_s, 2),
        "own_s": round(last_s - before_s, 2),
        "status": process.returncode,
        "left": "papers" if "shop.pdf" in names else "plan and lists" if is_new else "nothing",
        "load": round(os.getloadavg()[0], 1),
        "has_first_plan": b"first plan, proven" in told,
        "traceback": b"Traceback" in told,
    }


def main(arguments: list[str] | None = None) -> int:
    """Run what the command line asks for; exit status 1 where a stop was late or told a crash."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark.stops", description=__doc__)
    parser.add_argument("--runs", type=int, default=15, help="for each job and way")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", default="", help="beginnings of jobs' names, with commas")
    parser.add_argument("--ways", default=",".join(WAYS))
    parser.add_argument("--most", type=float, default=0.0, help="latest moment; 0: each job's own")
    asked = parser.parse_args(arguments)
    # Begun in a shell's background it ignores Ctrl-C, and so would all that it begins.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    lines: list[dict[str, Any]] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        wanted = tuple(asked.only.split(","))
        chosen = [c for c in cases(folder) if c.name.startswith(wanted)]
        n_ways = len(asked.ways.split(","))
        mean_s = sum((asked.most or c.most_s) / 2.0 + _ENDING_S for c in chosen)
        print(f"about {asked.runs * n_ways * mean_s / 60.0:.0f} minutes at most", file=sys.stderr)
        for case in chosen:
            for way in asked.ways.split(","):
                rng: np.random.Generator = stream(asked.seed, "stops", case.name, way)
                for _ in range(asked.runs):
                    moment_s = float(rng.uniform(0.05, asked.most or case.most_s))
                    lines.append(run(case, way, moment_s, folder))
                    print(json.dumps(lines[-1]), flush=True)
    for case_name, way in dict.fromkeys((str(x["job"]), str(x["way"])) for x in lines):
        own = [x for x in lines if (x["job"], x["way"]) == (case_name, way)]
        late = [float(x["late_s"]) for x in own]
        print(
            f"{case_name}, {way}: {len(own)} runs, latest {max(late):.2f} s, "
            f"middle {float(np.median(late)):.2f} s, late by more than {BAR_S:g} s: "
            f"{sum(x > BAR_S for x in late)}, left papers "
            f"{sum(x['left'] == 'papers' for x in own)} times, plan and lists "
            f"{sum(x['left'] == 'plan and lists' for x in own)} times, load "
            f"{min(x['load'] for x in own)} to {max(x['load'] for x in own)}"
        )
    return int(any(x["late_s"] > BAR_S or x["traceback"] for x in lines))


if __name__ == "__main__":
    sys.exit(main())
