"""Compiled: a stream of chance for each colony, so that two plans that meet the same colony meet the same luck.

SplitMix64 (Steele, Lea and Flood 2014, constants from memory): a counter in steps of the golden ratio, mixed. A run is
one seed; its streams start at mixed numbers, and what happens to one colony never shifts the luck of another.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled, inlined

_STEP = np.uint64(0x9E3779B97F4A7C15)
_FIRST, _SECOND = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
_30, _27, _31, _11 = np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11)
_PART = 2.0**-53


@compiled
def mixed(x: np.uint64) -> np.uint64:
    """A whole number of 64 bits, mixed so that neighbours have nothing in common."""
    x = (x ^ (x >> _30)) * _FIRST
    x = (x ^ (x >> _27)) * _SECOND
    return x ^ (x >> _31)


@compiled
def stream(seed: np.uint64, which: int) -> np.uint64:
    """Where stream `which` (0 or more) of a run starts."""
    return mixed(seed ^ mixed(_STEP * np.uint64(which + 1)))


@inlined
def uniform(state: np.uint64) -> tuple[float, np.uint64]:
    """Next number of a stream, from 0, below 1; and where the stream then stands."""
    state += _STEP
    return np.float64(mixed(state) >> _11) * _PART, state


@inlined
def exponential(state: np.uint64) -> tuple[float, np.uint64]:
    """Next waiting time of a stream, mean 1; and where the stream then stands."""
    state += _STEP
    return -np.log1p(-np.float64(mixed(state) >> _11) * _PART), state


@compiled
def luck(seed: np.uint64, a: int, b: int) -> float:
    """One number, from 0, below 1, for a pair of whole numbers."""
    return np.float64(mixed(stream(seed, a) + _STEP * np.uint64(b + 1)) >> _11) * _PART
