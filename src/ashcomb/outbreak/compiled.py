"""The one door to the compiler: functions that run as machine code, kept on disk between runs.

Importing this module imports numba, which takes a second or so: only what works on large arrays may do it, and late.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., object])


def compiled(function: F) -> F:
    """Compiles a function at its first call; it then runs without holding up other threads."""
    return cast("F", numba.njit(cache=True, nogil=True)(function))


def inlined(function: F) -> F:
    """As `compiled`, written into each of its callers."""
    return cast("F", numba.njit(cache=True, nogil=True, inline="always")(function))
