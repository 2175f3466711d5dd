"""One seed, many independent streams: each stage and worker draws from its own."""

from __future__ import annotations

import zlib

import numpy as np


def stream(seed: int, *names: str | int) -> np.random.Generator:
    """Return the generator that belongs to these names under this seed.

    The same seed and names always give the same stream; different names give independent ones.
    """
    keys = [zlib.crc32(str(name).encode()) for name in names]
    return np.random.default_rng(np.random.SeedSequence([seed, *keys]))
