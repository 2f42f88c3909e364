"""Compiled: a stream of chance for each colony, so that two plans that meet the same colony meet the same luck.

SplitMix64 (Steele, Lea and Flood 2014, constants from memory): a counter in steps of the golden ratio, mixed. A run is
one seed; its streams start at mixed numbers, and what happens to one colony never shifts the luck of another. Steele
and others report that SplitMix64 passes DieHarder and the BigCrush battery.

Waiting times by the ziggurat of 256 layers (Marsaglia and Tsang 2000, J. Stat. Software 5 (8), constants from memory,
checked by the layers' closing at height 1): exact, and mostly one multiplication and one comparison.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled, inlined
from ashcomb.outbreak.scene import Floats

_STEP = np.uint64(0x9E3779B97F4A7C15)
_FIRST, _SECOND = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
_30, _27, _31, _11 = np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11)
_PART = 2.0**-53
_LAYERS, _TAIL, _AREA = 256, 7.69711747013104972, 0.0039496598225815571993
_255, _1 = np.uint64(_LAYERS - 1), np.uint64(1)


def _edges() -> Floats:
    """Right edges of layers of one area under exp(-x), lowest first; the lowest holds the tail, drawn out to a box."""
    edges = [_AREA / np.exp(-_TAIL), _TAIL]
    while len(edges) < _LAYERS:
        edges.append(-np.log(_AREA / edges[-1] + np.exp(-edges[-1])))
    return np.array([*edges, 0.0])


EDGE = _edges()
HEIGHT = np.exp(-EDGE)  # of the curve there: a layer lies between its own and the next


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
    """Next waiting time of a stream, mean 1; and where the stream then stands.

    One number chooses a layer by its last 8 bits and a place in it by its first 53, which have no bit in common.
    """
    state += _STEP
    bits = mixed(state)
    layer = bits & _255
    wait = np.float64(bits >> _11) * _PART * EDGE[layer]
    if wait >= EDGE[layer + _1]:
        wait, state = _at_the_edge(layer, wait, state)
    return wait, state


@compiled
def _at_the_edge(layer: np.uint64, wait: float, state: np.uint64) -> tuple[float, np.uint64]:
    """The one draw in a hundred that lies beside the part of a layer which is wholly under the curve."""
    while True:
        u, state = uniform(state)
        if layer == 0:
            return EDGE[1] - np.log1p(-u), state
        if HEIGHT[layer] + u * (HEIGHT[layer + _1] - HEIGHT[layer]) < np.exp(-wait):
            return wait, state
        state += _STEP
        bits = mixed(state)
        layer = bits & _255
        wait = np.float64(bits >> _11) * _PART * EDGE[layer]
        if wait < EDGE[layer + _1]:
            return wait, state


@compiled
def luck(seed: np.uint64, a: int, b: int) -> float:
    """One number, from 0, below 1, for a pair of whole numbers."""
    return np.float64(mixed(stream(seed, a) + _STEP * np.uint64(b + 1)) >> _11) * _PART
