"""The one door to the compiler: functions that run as machine code, kept on disk between runs.

Importing this module imports numba, which takes a second or so: only what works on large arrays may do it, and late.
Machine code holds a copy of every function and number that it uses, also of other modules. The compiler's own check
looks at one file only; here machine code is thrown away when any module of the engine has changed.
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


def inlined(function: F) -> F:
    """As `compiled`, written into each of its callers."""
    return cast("F", _stamped(numba.njit(cache=True, nogil=True, inline="always")(function), function.__module__))


def _stamped(dispatcher: object, module: str) -> object:
    file = dispatcher._cache._cache_file  # type: ignore[attr-defined]
    file._source_stamp = (*file._source_stamp, stamp(module))
    return dispatcher


def stamp(module: str) -> int:
    """Number that changes with any source from which machine code of a module may be made."""
    return _stamp(module.rpartition(".")[2].startswith("kernel"))


@cache
def _stamp(kernel: bool) -> int:
    here = Path(__file__).parent
    names = ("layout", "scene", "kernel*") if kernel else ("[!k]*",)
    files = sorted({path for name in names for path in here.glob(f"{name}.py")})
    return zlib.crc32(b"\0".join(path.read_bytes() for path in files))
