"""The door of this room to the compiler: functions that run as machine code, kept on disk between runs.

Importing this module imports numba, which takes a second or so: only what works on large arrays may do it, and late.
Machine code holds a copy of every function and number that it uses, also of other modules. The compiler's own check
looks at one file only; here machine code is thrown away when any module that holds compiled functions has changed.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., object])
_LEAN: dict[str, Any] = {"cache": True, "nogil": True, "_nrt": False, "error_model": "numpy"}


def compiled(function: F) -> F:
    """Compiles a function at its first call; it then runs without holding up other threads."""
    return cast("F", _stamped(numba.njit(cache=True, nogil=True)(function), function.__module__))


def lean(function: F) -> F:
    """As `compiled`, for functions that make no arrays: they do not count who holds those that they are handed.

    That count is shared between threads, and costs more than a small function's own work. The option is one that the
    compiler uses itself but does not list in its handbook; without it all works as before, only slower.
    """
    return cast("F", _stamped(numba.njit(**_LEAN)(function), function.__module__))


def leaf(function: F) -> F:
    """As `lean`, for small functions at the bottom: written into their callers."""
    return cast("F", _stamped(numba.njit(**_LEAN, forceinline=True)(function), function.__module__))


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


_KERNELS = ("compiled", "layout", "scene", "kernel*")
_TRACING = ("compiled", "chain_rows", "chain_sizes", "day_order", "fast_reach", "moments", "transfers")


@cache
def _stamp(kernel: bool) -> int:
    here = Path(__file__).parent
    files = sorted({path for name in (_KERNELS if kernel else _TRACING) for path in here.glob(f"{name}.py")})
    return zlib.crc32(b"\0".join(path.read_bytes() for path in files))
