"""Small jobs of chance, kerf 0 and odd stock among them: each has a plan that is proven."""

from __future__ import annotations

import pytest

from tests.builders_joined import quick_plan, random_job

_FEW = 4
"""Seeds tried every time; the others by hand, with ``-m deep``."""


@pytest.mark.parametrize(
    "seed", [*range(_FEW), *(pytest.param(k, marks=pytest.mark.deep) for k in range(_FEW, 200))]
)
def test_what_the_search_makes_is_never_refused(seed: int) -> None:
    verified = quick_plan(random_job(seed))
    assert verified.plan.is_complete or verified.plan.unplaced
