"""An invented national register: heavy-tailed activity, most trade within an owner's group, seasonal, five years.

Invented: 70 % of transfers stay in the owner's group of ten, 20 % go to a near unit, 10 % anywhere; how dense a real
register is decides which figures apply to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from ashcomb.outbreak.transfers import Transfers
from ashcomb.plans.trace_register import NUMBERS
from ashcomb.records.codec import sql_columns
from ashcomb.records.columns import KINDS
from ashcomb.store import ddl
from ashcomb.store.sqlite import Store

FIRST, DAYS, SPREAD, GROUP, NEAR = 20_000, 1_826, 1.3, 10, 100


def register_of(units: int, count: int, seed: int = 1) -> Transfers:
    """That many transfers between that many units; a unit that gives much also receives much."""
    draw = np.random.default_rng(seed)
    active = np.cumsum(draw.lognormal(0, SPREAD, units))
    active /= active[-1]
    source = np.minimum(np.searchsorted(active, draw.random(count)), units - 1)
    kind = draw.random(count)
    own = source // GROUP * GROUP + draw.integers(0, GROUP, count)
    near = source + draw.integers(-NEAR, NEAR + 1, count)
    far = np.searchsorted(active, draw.random(count))
    target = np.where(kind < 0.7, own, np.where(kind < 0.9, near, far)) % units
    target = np.where(target == source, (target + 1) % units, target)
    season = np.cumsum(1.2 + np.sin((np.arange(DAYS) % 365 - 80) / 365 * 2 * np.pi))
    day = FIRST + np.minimum(np.searchsorted(season / season[-1], draw.random(count)), DAYS - 1)
    none, zero = np.full(count, -1), np.zeros(count, dtype=np.int64)
    marks = tuple(f"P{unit}" for unit in range(units))
    return Transfers(marks, np.zeros(units, dtype=np.bool_), source, target, day, day, none, zero, zero, zero, none)


def store_of(path: Path, transfers: Transfers) -> Store:
    """The transfers as moves in a store. Rows go in behind its back: this times reading, not sealing."""
    store, kind = Store.create(path), KINDS["move"]
    names = [name for name, _ in sql_columns(kind)]
    db = store._db
    block = 100_000
    with db:
        for low in range(0, len(transfers), block):
            n, high = low // block + 1, min(len(transfers), low + block)
            db.execute("INSERT INTO seal VALUES (?,?,?,?,?,?,?,?)", (n, "", "", high - low, 1, "bench", "bench", ""))
            db.executemany(ddl.insert_statement(kind), _rows(transfers, names, n, low, high))
    return store


def _rows(transfers: Transfers, names: list[str], n: int, low: int, high: int) -> Iterator[tuple[object, ...]]:
    empty = dict.fromkeys(("origin", "device", "corrects", "lot", "note", "hives", "document"), "")
    fixed = {**empty, "noted": 1, "received": 1, "by_whom": "bench", "evidence": "document", "what": "hives"}
    columns = (transfers.source, transfers.target, transfers.first)
    for at, (source, target, day) in enumerate(zip(*(c[low:high].tolist() for c in columns), strict=True), start=low):
        cells = {**fixed, "id": f"{at:032x}", "source": f"P{source}", "target": f"P{target}", "mark": f"m{at}"}
        cells |= {NUMBERS[0]: day, NUMBERS[1]: day}
        yield (n, at - low, "0" * 64, *(cells.get(name) for name in names))
