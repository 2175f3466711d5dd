"""The quick set, and which codes the tests raise.

``pytest -m "not slow"`` leaves out the functions, files and folders in ``slow_tests.txt``, and what
is deep or a benchmark.  ``NESTCUT_TIMES=FILE`` has the processor time of each test written, for
that list.

A run of all tests fails for a code that none of them raises.

Every finding, fact and fault of a shape that is made in a test's process is noted by its code;
what commands do in processes of their own isn't seen.  ``NESTCUT_CODES=FILE`` has the codes of any
run written.
"""

from __future__ import annotations

import os
from collections.abc import Generator, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from nestcut.errors import Finding
from nestcut.facts import Fact
from nestcut.shapes.faults import ShapeFaultError

SLOW = Path(__file__).with_name("slow_tests.txt")
"""Functions that take long, without their parameters; whole files where what they share does."""
QUICK = "not slow"
"""How the quick set is asked for."""
RAISED = pytest.StashKey[set[str]]()


def _note(kind: type[Any], raised: set[str]) -> None:
    """Have a record's making noted by its code."""
    make = kind.__init__

    def noted(self: Any, *words: Any, **values: Any) -> None:
        make(self, *words, **values)
        raised.add(self.code)

    kind.__init__ = noted


def pytest_configure(config: pytest.Config) -> None:
    raised: set[str] = set()
    config.stash[RAISED] = raised
    for kind in (Finding, Fact, ShapeFaultError):
        _note(kind, raised)


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Don't even import files of which the quick set runs nothing."""
    if config.option.markexpr != QUICK:
        return None
    place = collection_path.relative_to(config.rootpath).as_posix()
    return place in set(SLOW.read_text(encoding="utf-8").split()) or None


@pytest.hookimpl(tryfirst=True)  # marks are chosen from afterwards
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    slow = set(SLOW.read_text(encoding="utf-8").split())
    for item in items:
        is_by_hand = item.get_closest_marker("deep") or item.get_closest_marker("benchmark")
        function = item.nodeid.partition("[")[0]
        file = Path(function.partition("::")[0])
        places = {function, str(file), *map(str, file.parents)}
        if is_by_hand or not slow.isdisjoint(places):
            item.add_marker(pytest.mark.slow)


def _processor_s() -> float:
    """Processor time of this process and of those that it has waited for. [s]"""
    return sum(os.times()[:4])


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    before = _processor_s()
    result = yield
    if (file := os.environ.get("NESTCUT_TIMES")) is not None:
        with Path(file).open("a", encoding="utf-8") as times:
            times.write(f"{_processor_s() - before:.2f}\t{item.nodeid}\n")
    return result


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    """Take over what a process beside this one has seen."""
    del error
    node.config.stash[RAISED].update(getattr(node, "workeroutput", {}).get("raised", ()))


@pytest.hookimpl(wrapper=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> Iterator[None]:
    yield
    config, raised = session.config, session.config.stash[RAISED]
    if hasattr(config, "workeroutput"):
        config.workeroutput["raised"] = sorted(raised)
        return
    if (file := os.environ.get("NESTCUT_CODES")) is not None:
        before = Path(file).read_text(encoding="utf-8").split() if Path(file).exists() else []
        Path(file).write_text("\n".join(sorted(raised | set(before))), encoding="utf-8")
    if exitstatus == 0 and _is_whole(config):
        from nestcut.words import SENTENCES

        never = sorted(set(SENTENCES) - raised)
        if never:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED
            print(f"\nno test raises these codes: {', '.join(never)}")


def _is_whole(config: pytest.Config) -> bool:
    """Whether all tests are run, none left out by name, mark, place or for want of an extra."""
    return (
        find_spec("distributed") is not None
        and not config.option.keyword
        and config.args == config.getini("testpaths")
        and config.option.markexpr == "not benchmark and not deep"
    )
