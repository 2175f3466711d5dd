"""Small jobs by lot that want a rectangle in reserve: every plan says what became of it, proven."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np

import nestcut
from nestcut.model.plan import Plan
from tests.second.chance import small_size, write_job

SEEDS = (*range(61000001, 61000061), 61000170, 61000250, 61001880)
FOUND = {61000170: (1064.6, 635.9), 61000250: (993.8, 958.3), 61001880: (1386.8, 908.7)}
"""Wanted of jobs whose plans were refused: for a bound that named it, for a KEEP over a round
tip. [mm]"""
_SHARES = (0.1, 0.3, 0.5, 0.9, 1.0)
"""Sides of what is wanted, as shares of a sheet's. [-]"""


def job_of(seed: int, folder: Path) -> nestcut.Job | None:
    """A job by lot that wants part of one of its sheets in reserve; None: it has no sheets."""
    job = nestcut.read_job(write_job(folder, seed, small_size(seed)))
    if not job.sheet_parts or not job.sheet_stocks:
        return None
    lot = np.random.default_rng([20261129, seed])
    sheet = job.sheet_stocks[int(lot.integers(len(job.sheet_stocks)))]
    along, across = lot.choice(_SHARES, 2)
    size_mm = (round(sheet.length_mm * along, 1), round(sheet.width_mm * across, 1))
    wanted = FOUND.get(seed, size_mm)
    return replace(job, cutting=replace(job.cutting, reserve_mm=wanted))


def told(plan: Plan) -> Counter[str]:
    """How many are kept on sheets that are cut from, on whole ones, and given up."""
    free = [r.free for r in plan.reserves]
    return Counter("given up" if f is None else "kept" if f.sheet else "whole" for f in free)


def test_what_becomes_of_a_reserve_is_told_and_proven(tmp_path: Path) -> None:
    """A plan that isn't proven is raised; some of each outcome come up."""
    outcomes: Counter[str] = Counter()
    for seed in SEEDS:
        try:
            job = job_of(seed, tmp_path)
            if job is None:
                continue
            seconds = None if seed in FOUND else 0.0
            plan = nestcut.plan_job(job, nestcut.Budget(effort="quick", seconds=seconds)).plan
        except nestcut.InputError:
            continue
        kinds = {(p.material, p.thickness_mm) for p in plan.pieces if p.cut_from == "sheet"}
        assert {(r.material, r.thickness_mm) for r in plan.reserves} == kinds
        given_up = [f for f in plan.findings if f.code == "SHT-003"]
        assert len(given_up) == told(plan)["given up"]
        outcomes += told(plan)
    assert outcomes["kept"] > 20
    assert outcomes["given up"] > 2
