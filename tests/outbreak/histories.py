"""Draws of histories written by hand, for tests of what is made of draws."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.posterior import Draws


def draws_of(histories, count, rates, events=0):
    """So many draws that run through the histories in turn.

    Each history is a list of rows (colony, source, infector, time, onset), the remission never.
    """
    rows = [(d, *row) for d in range(count) for row in sorted(histories[d % len(histories)])]
    draw, colony, source, infector, time, onset = (np.array(x) for x in zip(*rows, strict=True))
    whole = (x.astype(np.int64) for x in (draw, colony, source, infector))
    chain = np.repeat(np.arange(4), -(-count // 4))[:count]
    return Draws(*whole, time.astype(float), onset.astype(float), np.ones(len(rows)), np.zeros(len(rows)),
                 np.tile(rates, (count, 1)), np.zeros((count, events)), chain)  # fmt: skip
