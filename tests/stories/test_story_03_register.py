"""Story 3 by command: what a wrong date changes, chain sizes, and the demo read as a register."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from tests.casework.test_register import answers, rows
from tests.stories.test_stories_by_command import RUN, facts

from ashcomb.casework import tracing
from ashcomb.casework.case import open_case
from ashcomb.casework.hand import this_hand
from ashcomb.casework.register import register_of, transfers_of
from ashcomb.cli.main import app
from ashcomb.kernel.errors import UserError
from ashcomb.plans import trace_national
from ashcomb.plans.trace_columns import columns_of
from ashcomb.plans.trace_national import national_trace


def test_the_demo_as_columns_is_the_demo_as_records(demo_folder: Path) -> None:
    with open_case(demo_folder, this_hand("reader")) as case:
        as_of = max(case.hand.now_ms(), case.store.latest())
        told, read = columns_of(case.situation(as_of)).transfers, transfers_of(case.store, as_of)
    assert len(told) == len(read) > 150
    assert rows(told) == rows(read)
    assert answers(told) == answers(read)


# By hand, as in tests/plans/test_trace_what_if.py: m11 shifts A09 only, and the start a month earlier comes before m8.
def test_what_if_of_the_demo(demo_folder: Path) -> None:
    found = facts(demo_folder, "trace", "--what-if")
    by_record = {(effect["record"], effect["months"]): effect for effect in found["effects"]}
    assert {change["mark"] for change in by_record["start", -1]["leaves"]} == {"A26", "D1"}
    assert by_record["m11", -1]["shifts"][0] == {
        "mark": "A09", "way": "forward", "was": "2030-06-01", "now": "2030-05-01"}  # fmt: skip
    assert found["doubted"] == len(found["quiet"]) + len({record for record, _ in by_record} - {"start"})
    told = RUN.invoke(app, ["trace", str(demo_folder), "--what-if"]).output
    assert "A26 leaves back; D1 leaves back" in " ".join(told.split())


# Independent: a graph of (place, day) of an outside library, for the moves of the demo that touch no honey house.
@pytest.mark.parametrize("window", [[], ["--from", "2030-06-01", "--to", "2030-08-15"]])
def test_chain_sizes_of_the_demo_against_a_graph_library(demo_folder: Path, window: list[str]) -> None:
    found = facts(demo_folder, "trace", "--sizes", *window)
    sizes = {size["mark"]: (size["ingoing"], size["outgoing"]) for size in found["sizes"]}
    with open_case(demo_folder, this_hand("reader")) as case:
        transfers = transfers_of(case.store, max(case.hand.now_ms(), case.store.latest()))
    assert len(sizes) == len(transfers.marks) == found["places"]
    low, high = (22_066, 22_141) if window else (int(transfers.first.min()), int(transfers.last.max()))
    loose, tight = nx.DiGraph(), nx.DiGraph()  # any day of an interval and any lot; only known days, no shed between
    for graph in (loose, tight):
        for place in range(len(transfers.marks)):
            nx.add_path(graph, [(place, day) for day in range(low, high + 1)])
    for n in range(len(transfers)):
        a, b, first, last = (int(x[n]) for x in (transfers.source, transfers.target, transfers.first, transfers.last))
        days = [day for day in range(first, last + 1) if low <= day <= high]
        loose.add_edges_from(((a, day), (b, day)) for day in days)
        if first == last and days and not transfers.shed[a] and transfers.minute[n] < 0:
            tight.add_edge((a, first), (b, first))
    for place, mark in enumerate(transfers.marks):
        most, least = (len({p for p, _ in nx.descendants(g, (place, low))} - {place}) for g in (loose, tight))
        assert least <= sizes[mark][1] <= most
    assert sum(i for i, _ in sizes.values()) == sum(o for _, o in sizes.values())
    headline = RUN.invoke(app, ["trace", str(demo_folder), "--sizes", "--unit", "A07", *window]).output
    assert f"{len(transfers.marks)} places" in headline


@pytest.mark.parametrize("unit", ["L29-01", "A07-01", "FD"])
def test_from_a_lot_a_hive_and_a_keeper_by_command(demo_folder: Path, unit: str) -> None:
    found = facts(demo_folder, "trace", "--unit", unit, "--from", "2030-08-20", "--since", "2030-01-01")
    assert unit in {mark for mark, _ in found["starts"]}
    assert all(place["hops"] == len(place["objects"]) for place in found["forward"]["places"])


def test_the_demo_as_a_national_register(demo_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told = facts(demo_folder, "trace")
    monkeypatch.setattr(tracing, "is_national", lambda store: True)
    read = facts(demo_folder, "trace")
    for way in ("forward", "back"):
        for name in ("places", "carry_over"):
            same = [[{k: place[k] for k in ("mark", "first", "last", "hops", "evidence", "order")}
                     for place in found[way][name]] for found in (told, read)]  # fmt: skip
            assert same[0] == same[1]
    assert read["forward"]["places"][1]["chain"] == "move of Mon 1 Jul 2030 A07 to A19"
    refused = RUN.invoke(app, ["trace", str(demo_folder), "--what-if", "--json"])
    assert (refused.exit_code, "not traced anew" in refused.output) == (2, True)


def test_more_moves_than_anybody_can_follow_are_refused_with_their_number(demo_folder: Path) -> None:
    with open_case(demo_folder, this_hand("reader")) as case:
        columns, beside = register_of(case.store, max(case.hand.now_ms(), case.store.latest()))
    few = columns.transfers
    many = 20_001
    row = {name: np.repeat(getattr(few, name)[:1], many) for name in trace_national._COLUMNS}
    with pytest.raises(UserError, match=r"20,001 moves lie on chains"):
        national_trace(replace(columns, transfers=replace(few, **row)), beside,
                       {few.marks[int(few.source[0])]: date(2020, 1, 1)}, date(2019, 1, 1))  # fmt: skip
