"""Every pattern that a better plan could use: those that cost little on top of the bound."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nestcut.boards.cut.relaxation import Column, PatternProgramme, Proof
from nestcut.tolerances.noise import REDUCED_COST_SLACK

MOST_CELLS = 40_000_000
"""Largest table of best values, kinds times units. 8 bytes each."""


@dataclass(frozen=True, slots=True)
class Listed:
    """Patterns found, and whether these are all of them."""

    columns: tuple[Column, ...]
    is_complete: bool


def list_patterns(
    programme: PatternProgramme, proof: Proof, allowance: float, limit: int
) -> Listed:
    """List the patterns that cost at most ``allowance`` on top of a proven bound.

    A pattern costs its bin's rent less its worth.  Every plan costs the bound plus what its
    patterns (and rips) cost on top, so a plan within the allowance uses none but these.

    Parameters
    ----------
    allowance
        How much more than the bound a plan may cost. [as prices are]
    limit
        Most patterns to list; the list is said to be incomplete where there are as many.
    """
    problem = programme.problem
    allowance += REDUCED_COST_SLACK * max(1.0, abs(proof.bound), max(proof.rents, default=0.0))
    found: list[Column] = []
    tables: dict[tuple[int, tuple[int, ...]], np.ndarray] = {}
    for b, place in enumerate(problem.bins):
        kinds = programme.kinds_of_bin[b]
        if not kinds:
            continue
        if len(kinds) * place.capacity > MOST_CELLS:
            return Listed(tuple(found), is_complete=False)
        key = (place.capacity, tuple(kinds))
        weights = [problem.kinds[i].weight for i in kinds]
        most = [problem.kinds[i].demand for i in kinds]
        worths = [proof.worths[i] for i in kinds]
        if key not in tables:
            tables[key] = _best_values(place.capacity, weights, most, worths)
        room = limit - len(found)
        patterns = _walk(
            tables[key], place.capacity, weights, most, worths, proof.rents[b] - allowance, room
        )
        found += [Column(b, tuple((kinds[k], n) for k, n in p)) for p in patterns]
        if len(found) >= limit:
            return Listed(tuple(found), is_complete=False)
    return Listed(tuple(found), is_complete=True)


def _best_values(
    capacity: int, weights: list[int], most: list[int], worths: list[float]
) -> np.ndarray:
    """Best worth of the kinds from ``k`` on in each capacity, shape (kinds + 1, capacity + 1)."""
    table = np.zeros((len(weights) + 1, capacity + 1))
    for k in range(len(weights) - 1, -1, -1):
        table[k] = table[k + 1]
        for n in range(1, min(most[k], capacity // weights[k]) + 1):
            shift = n * weights[k]
            np.maximum(
                table[k][shift:],
                table[k + 1][: capacity + 1 - shift] + n * worths[k],
                out=table[k][shift:],
            )
    return table


def _walk(
    table: np.ndarray,
    capacity: int,
    weights: list[int],
    most: list[int],
    worths: list[float],
    needed: float,
    limit: int,
) -> list[tuple[tuple[int, int], ...]]:
    """Walk all counts whose worth reaches what is needed; stops at the limit."""
    found: list[tuple[tuple[int, int], ...]] = []
    n_kinds = len(weights)
    stack: list[tuple[int, int, float, tuple[tuple[int, int], ...]]] = [(0, capacity, needed, ())]
    while stack and len(found) < limit:
        k, room, need, chosen = stack.pop()
        while k < n_kinds and (weights[k] > room or most[k] == 0):
            k += 1
        if k == n_kinds:
            if chosen:
                found.append(chosen)
            continue
        for n in range(min(most[k], room // weights[k]) + 1):
            rest = room - n * weights[k]
            rest_need = need - n * worths[k]
            if table[k + 1, rest] >= rest_need:
                more = (*chosen, (k, n)) if n else chosen
                stack.append((k + 1, rest, rest_need, more))
    return found


def full_patterns(
    capacity: int, weights: list[int], most: list[int], limit: int
) -> list[tuple[tuple[int, int], ...]] | None:
    """List the patterns that leave no room for another piece; None if there are more than a limit.

    Any filling of a bin is part of one of these.

    Parameters
    ----------
    capacity
        Length of the bin, with a kerf. [grid units]
    weights
        Length of a piece of each kind, with its kerf, shape (kinds,). [grid units]
    most
        How many pieces of each kind are asked for, shape (kinds,).
    limit
        Most patterns to list.
    """
    found: list[tuple[tuple[int, int], ...]] = []
    n_kinds = len(weights)
    stack: list[tuple[int, int, tuple[tuple[int, int], ...]]] = [(0, capacity, ())]
    while stack:
        k, room, chosen = stack.pop()
        if k == n_kinds:
            counts = dict(chosen)
            if chosen and all(
                w > room or counts.get(i, 0) == most[i] for i, w in enumerate(weights)
            ):
                found.append(chosen)
                if len(found) > limit:
                    return None
            continue
        for n in range(min(most[k], room // weights[k]) + 1):
            stack.append((k + 1, room - n * weights[k], (*chosen, (k, n)) if n else chosen))
            if len(stack) > 50 * limit:
                return None
    return found
