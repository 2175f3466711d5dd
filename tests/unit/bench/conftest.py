"""A folder of its own that the process is in, and a page that may ask."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.unit.bench.asking import let_in


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    made = tmp_path / "boat"
    made.mkdir()
    monkeypatch.chdir(made)
    return made


@pytest.fixture
def page(folder: Path) -> TestClient:
    del folder
    return let_in()
