"""Compiled loops of the nesting engine: numbers in, numbers out, nothing of ours but arrays.

Every kernel is compiled by numba at its first use and kept in a cache (``__pycache__``, or the
user's own cache folder where the package is read-only; where that is read-only too, for this run
and its workers only).  No fastmath: results must repeat bit for
bit.  Each has a slow numpy double in the tests.
"""

from nestcut.nesting.kernels.cache import ensure_cache, renew_cache

ensure_cache()
renew_cache()
