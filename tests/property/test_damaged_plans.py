"""Each field of a plan file made untrue in turn: refused, or listed with the reason as harmless."""

from __future__ import annotations

import json

import pytest

from nestcut.planfile.write import plan_to_json
from tests.builders_joined import joined_plan
from tests.damage import edits, is_harmless, refusal

EVERY = 12
"""One edit in so many is tried; all of them by hand, with ``-m deep``."""


@pytest.mark.parametrize(
    "part", [0, *(pytest.param(k, marks=pytest.mark.deep) for k in range(1, 12))]
)
def test_every_edit_is_refused_or_listed(part: int) -> None:
    verified = joined_plan()
    document = json.loads(plan_to_json(verified))
    assert refusal(document, verified.job, sealed_anew=False) == set()
    passed = [
        e.path
        for k, e in enumerate(edits(document, 1))
        if k % EVERY == part
        and not is_harmless(e.path)
        and not refusal(e.document, verified.job, sealed_anew=False)
    ]
    assert passed == []
