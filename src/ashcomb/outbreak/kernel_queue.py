"""Compiled: a queue by time as a binary heap (Williams 1964, from memory), in memory that the caller gives."""

from __future__ import annotations

from ashcomb.outbreak.compiled import inlined
from ashcomb.outbreak.kernel_herd import Records


@inlined
def push(queue: Records, size: int, time: float, colony: int) -> int:
    """Puts a colony in; returns how many there are now."""
    k = size
    while k > 0:
        up = (k - 1) >> 1
        if queue[up].time <= time:
            break
        queue[k].time, queue[k].colony = queue[up].time, queue[up].colony
        k = up
    queue[k].time, queue[k].colony = time, colony
    return size + 1


@inlined
def drop(queue: Records, size: int) -> int:
    """Takes the first out; returns how many are left."""
    size -= 1
    replace(queue, size, queue[size].time, queue[size].colony)
    return size


@inlined
def replace(queue: Records, size: int, time: float, colony: int) -> None:
    """Puts a colony in the place of the first, of so many."""
    k = 0
    while True:
        down = 2 * k + 1
        if down >= size:
            break
        if down + 1 < size and queue[down + 1].time < queue[down].time:
            down += 1
        if queue[down].time >= time:
            break
        queue[k].time, queue[k].colony = queue[down].time, queue[down].colony
        k = down
    queue[k].time, queue[k].colony = time, colony
