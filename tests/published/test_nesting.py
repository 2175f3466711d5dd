"""The nesting engine on open research instances whose answers are published.

Instances: ESICUP/datasets (CC0-1.0), as rewritten in ../shared/benchmarks. Jigsaws dighe1 and
dighe2: optimum 100 by construction (Gomes & Oliveira 2006, EJOR 171:811-829, reach it). Strip
albano: best density 89.82 % (Gardeyn, Vanden Berghe & Wauters 2025, arXiv 2509.13329, table 3).
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from nestcut.nesting.problem import Budget, NestPlacement
from nestcut.nesting.strips.strip import bottom_left_strip, pack_strip
from tests.benchmark.irregular import check, items_of
from tests.benchmark.outcome import Instance

SHARED = Path(__file__).resolve().parents[3] / "shared" / "benchmarks" / "irregular_strip"


def instance(name: str) -> Instance:
    path = SHARED / f"{name}.json"
    if not path.is_file():
        pytest.skip(f"{path} is not here")
    data: Instance = json.loads(path.read_text(encoding="utf-8"))
    return data


@pytest.mark.parametrize("name", ["dighe1", "dighe2"])
@pytest.mark.parametrize("seed", range(3))
def test_jigsaw_goes_together_exactly(name: str, seed: int) -> None:
    data = instance(name)
    items, height = items_of(data), float(data["strip_height"])
    # twice what the slowest of seeds 0 to 5 takes (11,157 passes)
    nest = pack_strip(items, height, Budget(passes=22_000, seed=seed))

    assert nest.length == pytest.approx(100.0, abs=1e-5)
    assert check(items, nest, nest.length, height, data["allowed_rotations_deg"])


def test_search_lies_between_bottom_left_and_the_best_known() -> None:
    data = instance("albano")
    items, height = items_of(data), float(data["strip_height"])
    best_known = data["total_area"] / height / 0.8982
    plain = bottom_left_strip(items, height)
    nest = pack_strip(items, height, Budget(passes=700))

    assert check(items, nest, nest.length, height, data["allowed_rotations_deg"])
    assert 0.995 * best_known < nest.length < 0.95 * plain.length


def test_the_check_accepts_a_published_layout_and_refuses_a_shifted_one() -> None:
    """The layout of length 56 that the data set stores for shapes1 (Gomes & Oliveira 2006)."""
    data = instance("shapes1")
    items, height = items_of(data), float(data["strip_height"])
    copies: dict[str, int] = {}
    placements = []
    for name, turn, x, y in data["reference_layout"]:
        copy = copies.get(str(name), 0)
        copies[str(name)] = copy + 1
        placements.append(
            NestPlacement(
                item=f"{name}.{copy}",
                container="strip",
                number=0,
                turn_deg=float(turn),
                shift_mm=(float(x), float(y)),
            )
        )
    plain = bottom_left_strip(items, height)
    stored = replace(plain, placements=tuple(placements))
    first = placements[0]
    aside = replace(first, shift_mm=(first.shift_mm[0] + 1.0, first.shift_mm[1]))
    shifted = replace(stored, placements=(aside, *placements[1:]))
    length = 56.0

    assert check(items, stored, length, height, data["allowed_rotations_deg"])
    assert not check(items, shifted, length, height, data["allowed_rotations_deg"])
