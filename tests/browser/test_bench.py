"""The bench in a real browser: from an empty folder to printed pages, with pointer and with keys.

Skipped, saying so, where Chromium, Node.js or the packages of package.json are absent.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.browser.test_page import HERE, tools


@contextmanager
def bench(folder: Path) -> Iterator[str]:
    """Serve a folder; gives the address with the key."""
    server = subprocess.Popen(
        [sys.executable, "-m", "nestcut", "bench", str(folder), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert server.stdout is not None
        yield server.stdout.readline().strip()
        server.stdout.close()
    finally:
        server.terminate()
        server.wait(20)


def way(folder: Path, shots: Path, how: str, width: int) -> dict[str, Any]:
    node, chromium = tools()
    with bench(folder) as address:
        run = subprocess.run(
            [node, str(HERE / "bench_way.mjs"), address, str(shots), chromium, how, str(width)],
            capture_output=True,
            text=True,
            check=False,
            timeout=280,
        )
    assert run.returncode == 0, run.stderr
    told: dict[str, Any] = json.loads(run.stdout)
    return told


@pytest.mark.parametrize(("how", "width"), [("pointer", 1280), ("keys", 768), ("keys", 375)])
def test_from_an_empty_folder_to_the_papers(tmp_path: Path, how: str, width: int) -> None:
    folder = tmp_path / "boat"
    folder.mkdir()

    told = way(folder, tmp_path, how, width)

    assert told["errors"] == []
    assert told["requests"] == []
    assert {step: found for step, found in told["axe"].items() if found} == {}
    assert {s["step"]: s["overflow"] for s in told["steps"] if s["overflow"] > 0} == {}
    assert told["word"] == "It fits; the plan is proven again."
    assert told.get("dragged", told["word"]).startswith(("It fits", "It can't lie there"))
    assert told["undone"]
    assert told["thrown"]
    assert told["taken"]
    assert told["begunAgain"]
    assert told["numbers"]
    assert told["knot"]
    assert told["unknotted"]
    assert told["joint"]
    assert told["pinned"] == 1
    assert {"shop.pdf", "shop.html", "cut-list.csv", "plan.json"} <= set(told["files"])
    assert (folder / "demo papers" / "shop.pdf").read_bytes().startswith(b"%PDF")
    assert (folder / "demo.toml").is_file()
