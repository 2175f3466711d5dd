"""Compiling the innermost loops without reference counts.

Records of many arrays are passed down to the loops. numba counts references to each array that is
taken out of a record, with an atomic instruction each time; measured, that came to three fifths
of an overlap's cost. Functions that make no array need no counts. And records are handed over word
by word: what is called for every place that is tried is woven into its callers.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

Kernel = TypeVar("Kernel", bound=Callable[..., Any])


def lean(kernel: Kernel) -> Kernel:
    """Compile a kernel that takes arrays and makes none.

    The option's name begins with an underscore, so a numba to come may drop it; then the kernels
    are compiled as usual, and are slower.
    """
    return _compiled(kernel, _nrt=False, no_cfunc_wrapper=True)


def woven(kernel: Kernel) -> Kernel:
    """Compile a lean kernel into each of its callers, so that no arguments are handed over.

    A call with World and State pushes some five hundred words, as long as an overlap takes. For
    kernels of few callers: each has the code once more, and is compiled with it.
    """
    return _compiled(kernel, _nrt=False, no_cfunc_wrapper=True, forceinline=True)


def _compiled(kernel: Kernel, **options: bool) -> Kernel:
    compiled: Any
    try:
        compiled = cast("Any", numba.njit)(cache=True, **options)(kernel)
    except (KeyError, TypeError):
        compiled = numba.njit(cache=True)(kernel)
    return cast("Kernel", compiled)
