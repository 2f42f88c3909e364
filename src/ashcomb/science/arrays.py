"""Numbers and arrays of numbers, and the one root finder for curves that only rise or only fall."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Numbers: TypeAlias = float | Array

_HALVINGS = 64


def array(numbers: Numbers) -> Array:
    """The numbers as an array of floats; one number becomes an array without axes."""
    return np.asarray(numbers, dtype=float)


def falling_root(function: Callable[[Array], Array], low: Numbers, high: Numbers) -> Array:
    """Where a falling function crosses zero, for every element at once.

    function: maps an array to an array of the same shape and does not rise.  low, high: bracket, same shape after
    broadcasting. Where the function is negative throughout the result is low, where positive throughout it is high.
    """
    a, b = np.broadcast_arrays(array(low), array(high))
    for _ in range(_HALVINGS):
        middle = (a + b) / 2
        above = function(middle) > 0
        a, b = np.where(above, middle, a), np.where(above, b, middle)
    return np.asarray((a + b) / 2)
