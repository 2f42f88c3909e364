"""Traces through a national register: one trace, chain sizes, making ready; beside a floor and general libraries.

ASHCOMB_TRANSFERS sets the size of the register (10,000,000), ASHCOMB_STORED that of the store that is read (1,000,000).
A figure is the median over queries of the median over rounds. CPU is the time that the process itself got: on a shared
machine wall time says how busy it was. Every peer gives the same days and moves for every unit, or the run stops.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter, process_time

import duckdb
import networkx as nx
import numpy as np
from measure import Case, Table
from registers import DAYS, FIRST, register_of, store_of

from ashcomb.casework.register import transfers_of
from ashcomb.outbreak.contacts import Start
from ashcomb.outbreak.register import Cone, Register
from ashcomb.outbreak.transfers import Transfers

COUNT, STORED = int(os.environ.get("ASHCOMB_TRANSFERS", 10_000_000)), int(os.environ.get("ASHCOMB_STORED", 1_000_000))
YEAR, FIVE, QUERIES, ROUNDS = 365, 1825, 10, 3
WAYS = {"as it decides": Register.walk_cost, "pass alone": np.inf, "frontier alone": 0.0}
Answer = dict[int, tuple[int, int]]


@dataclass(frozen=True)
class Query:
    """A trace from one unit, forward or back, through `length` days in the middle of the register."""

    unit: int
    back: bool
    length: int

    @property
    def days(self) -> tuple[int, int]:
        """Start, and the other end of the window."""
        low = FIRST + (DAYS - self.length) // 2
        return (low + self.length, low) if self.back else (low, low + self.length)

    def ask(self, register: Register) -> Cone:
        """The answer of the register."""
        day, bound = self.days
        return (register.back if self.back else register.forward)([Start(self.unit, day)], bound)


def queries(transfers: Transfers, length: int, count: int = QUERIES) -> list[Query]:
    """Both directions from units drawn from transfers, so that busy ones come more often."""
    units = np.random.default_rng(2).choice(transfers.source, count).tolist()
    return [Query(unit, back, length) for unit in units for back in (False, True)]


def answer(cone: Cone) -> Answer:
    """Day and moves by unit."""
    return {u: (d, m) for u, d, m in zip(cone.place.tolist(), cone.day.tolist(), cone.moves.tolist(), strict=True)}


def all_of(register: Register, asked: list[Query], cost: float = Register.walk_cost) -> Callable[[], None]:
    """Asks everything, one after another."""

    def run() -> None:
        register.walk_cost = cost
        for query in asked:
            query.ask(register)

    return run


def medians(register: Register, asked: list[Query], walks: int) -> dict[str, tuple[float, ...]]:
    """For each way: median wall ms, its 90 % point, median CPU ms, largest and 90 % ratio to the better of the rest.

    The ratios are of CPU time, the least of all rounds, because other processes only ever add.  walks: how many queries
    the frontier alone is asked.
    """
    wall, cpu = np.full((2, ROUNDS, len(asked), len(WAYS)), np.nan)
    for turn in range(ROUNDS):
        for number, query in enumerate(asked):
            for way, cost in enumerate(WAYS.values()):
                if cost or number < walks:
                    register.walk_cost = cost
                    begun = perf_counter(), process_time()
                    query.ask(register)
                    ended = perf_counter(), process_time()
                    wall[turn, number, way], cpu[turn, number, way] = ended[0] - begun[0], ended[1] - begun[1]
    register.walk_cost = Register.walk_cost
    seconds, spent = np.median(wall, axis=0), cpu.min(axis=0)
    ratio = spent / np.nanmin(spent[:, 1:], axis=1)[:, None]
    middle, high = np.nanmedian(seconds, axis=0) * 1e3, np.nanquantile(seconds, 0.9, axis=0) * 1e3
    columns = (
        middle,
        high,
        np.nanmedian(spent, axis=0) * 1e3,
        np.nanmax(ratio, axis=0),
        np.nanquantile(ratio, 0.9, axis=0),
    )
    return {name: tuple(float(column[way]) for column in columns) for way, name in enumerate(WAYS)}


def traces(name: str, transfers: Transfers, register: Register) -> Iterator[Table]:
    """One trace over one and five years, by the pass, the frontier, and as the register decides."""
    for length in (YEAR, FIVE):
        asked = queries(transfers, length)
        reach = np.median([len(query.ask(register)) for query in asked])
        notes = [f"median reach {reach:,.0f} of {register.places:,} units"]
        walks = len(asked) if 2 * reach < register.places else 2  # a frontier alone is slow where most is reached
        for way, (wall, high, cpu, most, mostly) in medians(register, asked, walks).items():
            notes.append(
                f"{way}: median {wall:.3g} ms wall (90 % {high:.3g}), {cpu:.3g} ms CPU; "
                f"to the better of pass and frontier at most {most:.2f}, 90 % {mostly:.2f}"
            )
        low = register._moves.starts[np.searchsorted(register._day, asked[0].days[0])]
        high = register._moves.starts[np.searchsorted(register._day, asked[0].days[1], side="right")]
        columns = register._moves.source[low:high], register._moves.target[low:high]

        def floor(columns: tuple[np.ndarray, ...] = columns) -> None:
            for column in columns:
                column.max()

        few = {cost: asked if cost else asked[:walks] for cost in WAYS.values()}
        cases = [Case(way, all_of(register, few[cost], cost), len(few[cost])) for way, cost in WAYS.items()]
        cases.append(Case("floor: reads both columns once", floor))
        yield Table(f"{name}, {length} days: one trace", cases, ROUNDS, notes)


RECURSIVE = """
WITH RECURSIVE reached(unit, day, hops, round) USING KEY (unit) AS (
  SELECT ?::INTEGER, ?::INTEGER, 0, 0
  UNION
  SELECT m.target, min(m.day), any_value(coalesce(old.hops, r.round + 1)), any_value(r.round + 1)
  FROM reached r JOIN {moves} m ON m.source = r.unit AND m.day >= r.day AND m.day <= ?
  LEFT JOIN recurring.reached old ON old.unit = m.target
  WHERE old.unit IS NULL OR m.day < old.day GROUP BY m.target)
SELECT unit, day, hops FROM reached"""


def with_database(transfers: Transfers, register: Register) -> Iterator[Table]:
    """The same traces by a recursive query in an embedded analytic database, two threads."""
    db = duckdb.connect()
    db.execute("SET threads = 2")
    moves = {name: column.astype(np.int32) for name, column in (
        ("source", transfers.source), ("target", transfers.target), ("day", transfers.first))}  # fmt: skip
    order = np.argsort(moves["day"], kind="stable")
    moves = {name: column[order] for name, column in moves.items()}
    db.register("given", moves)
    db.execute("CREATE TABLE ahead AS SELECT * FROM given")
    db.execute("CREATE TABLE behind AS SELECT target AS source, source AS target, -day AS day FROM given ORDER BY day")
    for length in (YEAR, FIVE):
        asked = queries(transfers, length, 2 if length == YEAR else 1)

        def ask(query: Query) -> Answer:
            sign = -1 if query.back else 1
            given = (query.unit, sign * query.days[0], sign * query.days[1])
            rows = db.execute(RECURSIVE.format(moves="behind" if query.back else "ahead"), given).fetchnumpy()
            columns = (rows["unit"].tolist(), (sign * rows["day"]).tolist(), rows["hops"].tolist())
            return {unit: (day, hops) for unit, day, hops in zip(*columns, strict=True)}

        def run(asked: list[Query] = asked, ask: Callable[[Query], Answer] = ask) -> None:
            for query in asked:
                sign = -1 if query.back else 1
                given = (query.unit, sign * query.days[0], sign * query.days[1])
                db.execute(RECURSIVE.format(moves="behind" if query.back else "ahead"), given).fetchnumpy()

        same([(ask(query), answer(query.ask(register))) for query in asked])
        yield Table(f"{len(transfers):,} transfers, {length} days, beside a recursive query", [
            Case("compiled", all_of(register, asked), len(asked)),
            Case(f"duckdb {duckdb.__version__}, recursive, 2 threads", run, len(asked)),
        ], ROUNDS, ["day and moves of every unit are the same"])  # fmt: skip


def with_graphs() -> Iterator[Table]:
    """The same traces in a graph library: a vertex for each unit and day, waiting costs 0, a move 1."""
    transfers = register_of(max(10, COUNT // 50 // 200), COUNT // 50)
    register = Register(transfers)
    asked = queries(transfers, YEAR, 2)
    low, high = sorted(asked[0].days)
    inside = (transfers.first >= low) & (transfers.first <= high)
    rows = list(zip(*(c[inside].tolist() for c in (transfers.source, transfers.target, transfers.first)), strict=True))
    graphs = {back: _expanded([(b, a, -d) if back else (a, b, d) for a, b, d in rows]) for back in (False, True)}

    def ask(query: Query) -> Answer:
        graph, days = graphs[query.back]
        sign = -1 if query.back else 1
        begin = sign * query.days[0]
        start = next(((query.unit, day) for day in days.get(query.unit, ()) if day >= begin), None)
        found: Answer = {query.unit: (query.days[0], 0)}
        if start is None:
            return found
        for (unit, day), hops in nx.single_source_dijkstra_path_length(graph, start, weight="moves").items():
            if unit != query.unit:
                other = found.get(unit, (day, hops))
                found[unit] = min(day, other[0]), min(hops, other[1])
        return {unit: (sign * day if unit != query.unit else day, hops) for unit, (day, hops) in found.items()}

    def run() -> None:
        for query in asked:
            ask(query)

    same([(ask(query), answer(query.ask(register))) for query in asked])
    cases = [
        Case("compiled", all_of(register, asked), len(asked)),
        Case(f"networkx {nx.__version__}, Dijkstra", run, len(asked)),
    ]
    notes = ["its graph is built beforehand and holds the window only; day and moves of every unit are the same"]
    yield Table(f"{len(transfers):,} transfers, {YEAR} days, beside a graph library", cases, ROUNDS, notes)


def _expanded(rows: list[tuple[int, int, int]]) -> tuple[nx.DiGraph, dict[int, list[int]]]:
    days: dict[int, set[int]] = {}
    for source, target, day in rows:
        days.setdefault(source, set()).add(day)
        days.setdefault(target, set()).add(day)
    graph = nx.DiGraph()
    ordered = {unit: sorted(some) for unit, some in days.items()}
    for unit, some in ordered.items():
        nx.add_path(graph, [(unit, day) for day in some], moves=0)
    graph.add_edges_from((((source, day), (target, day)) for source, target, day in rows), moves=1)
    return graph, ordered


def same(pairs: list[tuple[Answer, Answer]]) -> None:
    """Stops the run if two ways disagree on any unit."""
    for one, other in pairs:
        if one != other:
            raise SystemExit(f"The answers differ: {len(one):,} and {len(other):,} units.")


def sizes(register: Register) -> Iterator[Table]:
    """Contact-chain sizes of all units, both directions in one pass."""
    begin = FIRST + (DAYS - YEAR) // 2
    asked = queries(register._transfers, YEAR, 10)
    year, spent = register.sizes(begin, begin + YEAR), []
    for query in asked:
        counted = (year.ingoing if query.back else year.outgoing)[query.unit]
        if counted != len(query.ask(register)) - 1:
            raise SystemExit(f"The chain size of {query} is not what its trace reaches.")
    for window in ((begin, begin + YEAR), (None, None)):
        begun = process_time()
        register.sizes(*window)
        spent.append(process_time() - begun)
    notes = [f"CPU over two threads: {spent[0]:.3g} s for one year, {spent[1]:.3g} s for five",
             f"{len(asked)} sizes of one year are the reach of the single trace"]  # fmt: skip
    if year.ingoing.sum() != year.outgoing.sum():
        raise SystemExit("Ingoing and outgoing chains do not add up alike.")
    yield Table(f"Chain sizes of all {register.places:,} units, both directions", [
        Case("one year", lambda: register.sizes(begin, begin + YEAR)), Case("five years", register.sizes),
    ], 1, notes)  # fmt: skip


def ready(transfers: Transfers) -> Iterator[Table]:
    """From columns to a register that answers, and from the store to columns."""

    def made(both: bool) -> Register:
        register = Register(transfers)
        register._ahead, both and register._behind  # noqa: B018 – the lists of both directions are made when first used
        return register

    begun = process_time()
    made(True)
    notes = [f"forward and back: {process_time() - begun:.3g} s CPU"]
    with tempfile.TemporaryDirectory() as folder:
        store = store_of(Path(folder) / "case.db", register_of(max(10, STORED // 200), STORED))
        read: list[float] = []
        for _ in range(ROUNDS):
            spent, begun = process_time(), perf_counter()
            found = transfers_of(store, 1_900_000_000_000)
            read += [perf_counter() - begun, process_time() - spent]
        if len(found) != STORED:
            raise SystemExit(f"The store gave {len(found):,} transfers of {STORED:,}.")
        size = (Path(folder) / "case.db").stat().st_size
        store.close()
    wall, cpu = float(np.median(read[::2])), float(np.median(read[1::2]))
    notes.append(
        f"store to columns, {STORED:,} moves ({size / 1e6:,.0f} MB): {wall:.3g} s wall, {cpu:.3g} s CPU, two threads; "
        f"scaled to 10,000,000: {wall / STORED * 1e7:.3g} s wall, {cpu / STORED * 1e7:.3g} s CPU"
    )
    yield Table(f"Columns of {len(transfers):,} transfers to a register", [
        Case("ready to trace forward", lambda: made(False)), Case("ready both ways", lambda: made(True)),
    ], ROUNDS, notes)  # fmt: skip


def tables() -> Iterator[Table]:
    """All tables."""
    dense = register_of(max(10, COUNT // 200), COUNT)
    register = Register(dense)
    yield from traces(f"{COUNT:,} transfers, {register.places:,} units", dense, register)
    yield from with_database(dense, register)
    yield from sizes(register)
    yield from ready(dense)
    yield from with_graphs()
    del register
    sparse = register_of(max(10, COUNT // 10), COUNT)
    yield from traces(f"{COUNT:,} transfers, {COUNT // 10:,} units", sparse, Register(sparse))
