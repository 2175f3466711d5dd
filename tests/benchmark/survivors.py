"""Faults planted in the code one at a time: which of them do the tests of that room not see?

    python -m tests.benchmark.survivors [--rooms verify units ...] [--every | --count 100]

A mutant is one change of a module's syntax tree: a comparison, sum, number or truth value turned
round, a finding not told, a check switched off.  The tests of a room run twice without a fault:
once so that everything is loaded and planned, once to see which lines each test runs through.
Each mutant then lives in a process forked from that one, and only the tests that run through its
line are run, the quickest first, until one fails.  What a module works out while it is loaded is
loaded anew.  ``--every`` tries all mutants, else a seeded sample is tried, of each file alone with
``--each 25``; ``--share 2/4`` takes the second of four lots, ``--reviewed`` the faults that a
review planted.  Tests that have seen faults of the same file go first, then the quick ones.
Survivors are printed with file and line, then what became of each file's faults, and last a JSON
summary; a run that is told to stop says how far it came.
"""

from __future__ import annotations

import argparse
import gc
import io
import json
import math
import os
import resource
import signal
import sys
import time
from collections import Counter, defaultdict
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from functools import _lru_cache_wrapper
from pathlib import Path

import coverage
import pytest

from nestcut.search.streams import stream
from tests.benchmark.planted import ROOT, Mutant, Planted, exchange, mutants
from tests.benchmark.reviewed import REVIEWED

SECONDS = 60
"""Processor time of one mutant, beside what all tests take where they are loaded anew: an endless
loop is seen by the clock. [s]"""

ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "verify": (
        ("nestcut/verify",),
        (
            "tests/unit/verify",
            "tests/property/test_damaged_plans.py::test_each_damage_of_the_small_job_is_refused",
        ),
    ),
    "units": (
        ("nestcut/units/lengths.py", "nestcut/units/steps.py"),
        ("tests/unit/test_units.py", "tests/unit/test_steps.py"),
    ),
    "arithmetic": (
        ("nestcut/joints/arithmetic.py", "nestcut/joints/rules.py", "nestcut/joints/standing.py"),
        (
            "tests/published/test_joint_arithmetic.py",
            "tests/unit/joints/test_rules.py",
            "tests/unit/joints/test_standing.py",
        ),
    ),
    "pose": (("nestcut/geometry/pose.py",), ("tests/unit/geometry/test_pose.py",)),
    "totals": (("nestcut/planning/totals.py",), ("tests/unit/planning/test_totals.py",)),
    "amounts": (("nestcut/papers/lists/amounts.py",), ("tests/unit/papers/test_amounts.py",)),
    "trade": (("nestcut/trade",), ("tests/unit/trade/test_numbers.py",)),
}
"""Sources and the tests that must see their faults."""

SAME = {
    "nestcut/verify/findings.py": "how a difference is worded",
    "nestcut/verify/tally.py": "what was looked at is told, nothing is decided by it",
}
"""Files that are passed over, and why."""


@dataclass
class Hunt:
    """A pytest plugin: when the tests of a room are gathered, the mutants are tried on them.

    ``through`` has the tests that run through each line of each file, ``took`` their time. [s]
    """

    room: str
    chosen: list[Mutant]
    counts: Counter[str] = field(default_factory=Counter)
    survivors: list[Mutant] = field(default_factory=list)
    files: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    """What became of the faults of each file."""
    failed: bool = False
    took: dict[str, float] = field(default_factory=dict)
    through: dict[str, dict[int, set[str]]] = field(default_factory=dict)
    saw: dict[Path, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    """How many faults of a file each test was the first to see."""
    is_stopped: bool = False

    def stop(self, *_: object) -> None:
        """Try no further mutant."""
        self.is_stopped = True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Take note of failures and times."""
        self.failed |= report.failed
        self.took[report.nodeid] = self.took.get(report.nodeid, 0.0) + report.duration

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Take the place of pytest's own loop."""
        _run_items(session.items)
        self.took.clear()
        if not self.failed:
            self._trace(session.items)
        if self.failed:
            _tell(f"{self.room}: its tests fail without any fault")
            return True
        items = {i.nodeid: i for i in session.items}
        signal.signal(signal.SIGTERM, self.stop)
        for mutant in self.chosen:
            if self.is_stopped:
                break
            names = self.through.get(str(mutant.path), {}).get(mutant.line, set())
            before = self.saw[mutant.path]
            order = sorted(names, key=lambda n: (-before[n], self.took[n], n))
            seen = self._is_seen(mutant, [items[n] for n in order], session.items)
            word = "seen" if seen else "survived" if names else "survived, no test there"
            self.counts[f"{self.room} {word}"] += 1
            self.files[str(mutant.path.relative_to(ROOT))][word] += 1
            if not seen:
                self.survivors.append(mutant)
                _tell(f"{mutant}{'' if names else ' (no test runs through it)'}")
        return True

    def _trace(self, items: list[pytest.Item]) -> None:
        """Run all tests once more, and see which lines each runs through."""
        files = sorted({str(m.path) for m in self.chosen})
        _forget(files)
        seen = coverage.Coverage(data_file=None, config_file=False, include=files)
        seen.start()
        for k, item in enumerate(items):
            seen.switch_context(item.nodeid)
            item.config.hook.pytest_runtest_protocol(
                item=item, nextitem=items[k + 1] if k + 1 < len(items) else None
            )
        seen.stop()
        data = seen.get_data()
        for file in files:
            lines = data.contexts_by_lineno(file)
            self.through[file] = {n: {c for c in names if c} for n, names in lines.items()}

    def _is_seen(
        self, mutant: Mutant, items: list[pytest.Item], all_items: list[pytest.Item]
    ) -> bool:
        """Whether tests fail, or never end, with a fault planted."""
        told, tell = os.pipe()
        child = os.fork()
        if child == 0:
            status = 1
            try:
                signal.signal(signal.SIGTERM, signal.SIG_DFL)
                signal.signal(signal.SIGXCPU, signal.SIG_DFL)
                _forget([str(mutant.path)])
                is_in = exchange(mutant)
                most = SECONDS if is_in else SECONDS + 3 * math.ceil(sum(self.took.values()))
                resource.setrlimit(resource.RLIMIT_CPU, (most, most))
                if is_in:
                    status = self._first_failure(items, tell)
                else:
                    status = _run_anew(mutant, sorted({i.nodeid for i in all_items}))
            except BaseException:
                status = 1
            os._exit(status)
        os.close(tell)
        with os.fdopen(told, encoding="utf-8") as words:
            first = words.read()
        _, status = os.waitpid(child, 0)
        if first:
            self.saw[mutant.path][first] += 1
        return status != 0

    def _first_failure(self, items: list[pytest.Item], tell: int) -> int:
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
            for k, item in enumerate(items):
                after = items[k + 1] if k + 1 < len(items) else None
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
                if self.failed:
                    os.write(tell, item.nodeid.encode())
                    return 1
        return 0


def _run_items(items: list[pytest.Item]) -> None:
    for k, item in enumerate(items):
        after = items[k + 1] if k + 1 < len(items) else None
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)


def _forget(files: list[str]) -> None:
    """Throw away what was worked out once for all in the rooms of these files.

    A line behind a remembered answer is run by no test, and a fault there is seen by none.
    """
    rooms = {Path(f).relative_to(ROOT).parts[1].removesuffix(".py") for f in files}
    for found in gc.get_objects():
        if isinstance(found, _lru_cache_wrapper) and found.__module__.split(".")[1:2] in (
            [r] for r in rooms
        ):
            found.cache_clear()


def _tell(words: str) -> None:
    out = sys.__stdout__
    assert out is not None
    out.write(words + "\n")
    out.flush()


OPTIONS = [
    "-q",
    "-n",
    "0",
    "-m",
    "deep or not deep",
    "-p",
    "no:cacheprovider",
    "--no-header",
    "--tb=no",
    "--capture=no",
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
]


def _run_anew(mutant: Mutant, tests: list[str]) -> int:
    """Run tests with all modules loaded anew, a fault planted among them; 0: all passed."""
    for name in [m for m in sys.modules if m.partition(".")[0] in {"nestcut", "tests"}]:
        del sys.modules[name]
    sys.meta_path.insert(0, Planted(mutant))
    sys.dont_write_bytecode = True
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        return int(pytest.main([*OPTIONS, "-x", *tests]))


def of_each(found: list[Mutant], count: int, seed: int) -> list[Mutant]:
    """At most so many mutants of each file, a seeded sample."""
    by_file: dict[Path, list[Mutant]] = defaultdict(list)
    for mutant in found:
        by_file[mutant.path].append(mutant)
    taken = []
    for file, ms in by_file.items():
        order = stream(seed, "survivors", str(file.relative_to(ROOT))).permutation(len(ms))
        taken += [ms[k] for k in sorted(order[:count].tolist())]
    return taken


def chosen(room: str, count: int, seed: int, *, is_whole: bool, only: list[str]) -> list[Mutant]:
    """Mutants of a room, a seeded sample unless all are asked for."""
    files: list[Path] = []
    for name in ROOMS[room][0]:
        place = ROOT / name
        files += sorted(place.rglob("*.py")) if place.is_dir() else [place]
    found = [m for f in files if str(f.relative_to(ROOT)) not in SAME for m in mutants(f)]
    found = [m for m in found if not only or any(words in str(m) for words in only)]
    if is_whole or count >= len(found):
        return found
    order = stream(seed, "survivors", room).permutation(len(found))[:count]
    return [found[k] for k in sorted(order.tolist())]


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--rooms", nargs="*", default=list(ROOMS), choices=list(ROOMS))
    parser.add_argument("--count", type=int, default=60, help="mutants of each room")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--each", type=int, default=0, help="mutants of each file instead")
    parser.add_argument("--every", action="store_true")
    parser.add_argument("--share", default="1/1", help="which lot of how many: 2/4")
    parser.add_argument("--reviewed", action="store_true", help="faults of the review instead")
    parser.add_argument("--only", nargs="*", default=[], help="only faults with one of these in it")
    asked = parser.parse_args()
    os.chdir(ROOT)
    counts: Counter[str] = Counter()
    began = time.monotonic()
    lot, of = map(int, asked.share.split("/"))
    for room in asked.rooms:
        found = (
            [f.planted() for f in REVIEWED if f.room == room]
            if asked.reviewed
            else chosen(
                room,
                asked.count,
                asked.seed,
                is_whole=asked.every or bool(asked.each),
                only=asked.only,
            )
        )
        if asked.each:
            found = of_each(found, asked.each, asked.seed)
        if not found:
            continue
        hunt = Hunt(room, found[lot - 1 :: of])
        told = io.StringIO()
        with redirect_stdout(told):
            status = pytest.main([*OPTIONS, *ROOMS[room][1]], plugins=[hunt])
        if hunt.failed or status:
            _tell(told.getvalue())
            return 1
        counts += hunt.counts
        for file, became in sorted(hunt.files.items()):
            _tell(f"{file}: {', '.join(f'{n} {word}' for word, n in sorted(became.items()))}")
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    summary = {
        "seed": asked.seed,
        **counts,
        "processor_s": round(used.ru_utime + used.ru_stime + time.process_time()),
        "seconds": round(time.monotonic() - began),
    }
    sys.stdout.write(json.dumps(summary) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
