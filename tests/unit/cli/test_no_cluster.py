"""A cluster is asked for where Dask isn't there."""

from __future__ import annotations

import sys

import pytest

from nestcut.cli.cluster import crew_at
from nestcut.errors import InputError
from nestcut.words import Speech, tell


def test_dask_that_is_missing_is_named_with_its_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError) as refused, crew_at("tcp://127.0.0.1:8786"):
        pass
    (found,) = refused.value.findings
    assert found.code == "PLN-004"
    assert "nestcut[dask]" in tell(found, Speech()).remedy
