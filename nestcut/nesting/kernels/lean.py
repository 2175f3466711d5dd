"""Compiling the innermost loops without reference counts.

Records of many arrays are passed down to the loops. numba counts references to each array that is
taken out of a record, with an atomic instruction each time; measured, that came to three fifths
of an overlap's cost. Functions that make no array need no counts.
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
    compiled: Any
    try:
        compiled = cast("Any", numba.njit)(cache=True, _nrt=False, no_cfunc_wrapper=True)(kernel)
    except (KeyError, TypeError):
        compiled = numba.njit(cache=True)(kernel)
    return cast("Kernel", compiled)
