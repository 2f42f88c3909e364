"""The one door to the compiler: functions that run as machine code, kept on disk between runs.

Importing this module imports numba, which takes a second or so: only what works on large arrays may do it, and late.
Machine code holds a copy of every function and number that it uses, also of other modules. The compiler's own check
looks at one file only; here machine code is thrown away when any module that holds compiled functions has changed.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., object])


def compiled(function: F) -> F:
    """Compiles a function at its first call; it then runs without holding up other threads."""
    return cast("F", _stamped(numba.njit(cache=True, nogil=True)(function), function.__module__))


def lean(function: F) -> F:
    """As `compiled`, for functions that make no arrays: it does not count who holds the arrays that it hands on.

    That count is shared between threads, and costs more than a small function's own work.
    """
    return cast(
        "F",
        _stamped(numba.njit(cache=True, nogil=True, _nrt=False, error_model="numpy")(function), function.__module__),
    )


def leaf(function: F) -> F:
    """As `lean`, for small functions at the bottom: written into their callers."""
    made = numba.njit(cache=True, nogil=True, _nrt=False, error_model="numpy", forceinline=True)(function)
    return cast("F", _stamped(made, function.__module__))


def inlined(function: F) -> F:
    """As `compiled`, written into each of its callers."""
    return cast("F", _stamped(numba.njit(cache=True, nogil=True, inline="always")(function), function.__module__))


def _stamped(dispatcher: object, module: str) -> object:
    file = getattr(getattr(dispatcher, "_cache", None), "_cache_file", None)
    if file is not None:  # with the compiler switched off there is none
        file._source_stamp = (*file._source_stamp, stamp(module))
    return dispatcher


def stamp(module: str) -> int:
    """Number that changes with any source from which machine code of a module may be made."""
    return _stamp(module.rpartition(".")[2].startswith("kernel"))


_KERNELS = ("layout", "scene", "kernel*")
_TRACING = ("chain_sizes", "day_order", "fast_reach", "moments", "transfers")


@cache
def _stamp(kernel: bool) -> int:
    here = Path(__file__).parent
    files = sorted({path for name in (_KERNELS if kernel else _TRACING) for path in here.glob(f"{name}.py")})
    return zlib.crc32(b"\0".join(path.read_bytes() for path in files))
