"""Kernels that take the whole world are woven into their callers: no call, no arguments."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba
import numpy as np
import pytest

from nestcut.nesting.kernels.lean import lean, woven
from nestcut.nesting.kernels.moves import move_item
from nestcut.nesting.kernels.world import State, World, overlap_cost
from nestcut.nesting.problem import Item, Problem
from nestcut.nesting.separating.arrays import build
from tests.unit.nesting.layouts import ELL, sheet
from tests.unit.nesting.test_slides import search_of


@numba.njit(inline="always")
def much(values: np.ndarray) -> float:
    """Do too much for a compiler to take it into two callers unasked."""
    total = 0.0
    for k in range(values.shape[0]):
        total += np.sin(values[k]) + np.cos(total) * np.exp(-total * total)
        for m in range(k):
            total += np.sqrt(abs(values[m] - total)) + np.log(1.0 + abs(total))
            total -= np.arctan2(values[k], 1.0 + values[m] * values[m])
            total *= 0.5 if total > values[m] else 0.25
        for m in range(k, values.shape[0]):
            total += np.tan(values[m] * 0.1) / (1.0 + abs(total))
            total = max(total, values[k] - values[m])
    return float(total)


def called(values: np.ndarray) -> float:
    """Do much, by itself."""
    return much(values)


def taken_in(values: np.ndarray) -> float:
    """Do the same under another name: numba's cache looks at names, not at options."""
    return much(values)


def calls(kernel: Any, name: str) -> int:
    """Calls of a kernel of this name in another's machine code."""
    lines = [line for code in kernel.inspect_asm().values() for line in code.splitlines()]
    # a far call is by an address that is fetched by name
    return sum(f"{name}B" in line for line in lines if "call" in line or "movabs" in line)


@pytest.mark.parametrize(("how", "kernel"), [(lean, called), (woven, taken_in)])
def test_a_woven_kernel_is_not_called(
    how: Callable[..., Any], kernel: Callable[[np.ndarray], float]
) -> None:
    inner = how(kernel)

    @numba.njit
    def outer(values: np.ndarray) -> float:
        return inner(values) + inner(values[1:])  # type: ignore[no-any-return]

    values = np.linspace(0.1, 0.9, 7)
    assert outer(values) == kernel(values) + kernel(values[1:])
    assert (calls(outer, kernel.__name__) > 0) == (how is lean)


def test_the_cost_of_a_place_is_woven_into_whoever_asks_for_it() -> None:
    """A call hands over some five hundred words: it took half of all the time of a search."""

    @numba.njit
    def asking(world: World, state: State) -> float:
        return overlap_cost(world, state, 0, 0, 0, 1.0, 1.0, 1e300) + overlap_cost(
            world, state, 1, 0, 0, 2.0, 2.0, 1e300
        )

    items = tuple(Item(id=f"{k}", outline=ELL) for k in range(2))
    arrays = build(Problem(items=items, containers=(sheet(9.0, 9.0),))).with_tables()
    search = search_of(arrays, (2.0, 2.0), (2.5, 2.5))

    assert asking(arrays.world, search.state) > 0.0
    assert calls(asking, "overlap_cost") == calls(asking, "find_near") == 0


def test_candidates_and_slides_are_woven_into_a_move() -> None:
    names = {"_offer", "_sample", "_present_cost", "_leaves_frame", "slide"}
    inside = move_item.py_func.__globals__
    plain = {n for n in names if not inside[n].targetoptions.get("forceinline")}
    assert not plain
