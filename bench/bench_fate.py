"""Fates of whole operations: time to a proven choice, packing of many boxes, and the cost of rules of thumb as ratios.

The operations are invented: firms with yards of 43 hives, brood boxes and supers of wood, some of plastic, all killed
without fuel, so that every part may still be decided. Yards lie 5 to 120 km from the store.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from random import Random
from time import perf_counter

from measure import Case, Table

from ashcomb.plans.fate_build import FateAsk, Operation, build
from ashcomb.plans.fate_choice import choose
from ashcomb.plans.fate_kinds import PieceClass
from ashcomb.plans.fate_prices import Prices, price_list
from ashcomb.plans.fate_problem import Group, Option, Problem
from ashcomb.plans.fate_solve import restricted, solve
from ashcomb.plans.figures import Figures
from ashcomb.plans.holdings import Holding
from ashcomb.records.situation import situation_of
from ashcomb.science.packing import Box, UnitSpec, pack
from ashcomb.science.pallet import PalletSpec
from ashcomb.sources.profile import load_profile

YARD = 43
PROFILE = load_profile("orrow-vale")
TEN_MINUTES = 600.0


def operation(hives: int, seed: int) -> Operation:
    """An invented operation; about 36 pieces a hive."""
    rng = Random(seed)
    items: list[Holding] = []
    for number in range(hives):
        site, owner = f"Y{number // YARD}", f"Y{number // YARD}-{number}"
        supers, comb = rng.choice((1, 1, 2)), "plastic" if rng.random() < 0.1 else "wood"
        parts = [
            (PieceClass("box", "wood", "brood"), 2, 4.6),
            (PieceClass("frame", "wood", "brood", scale=rng.random() < 0.3), 18, 0.8),
            (PieceClass("box", "wood", "super"), supers, 4.6), (PieceClass("frame", comb, "super"), 9 * supers, 0.7),
            (PieceClass("lid", "wood"), 1, 2.4), (PieceClass("floor", "wood"), 1, 2.1),
            (PieceClass("excluder", "metal"), 1, 0.7),
        ]  # fmt: skip
        items += [Holding(owner, piece, count, (owner,), site, mass, 0.0, "", False) for piece, count, mass in parts]
    km = {site: rng.uniform(5, 120) for site in sorted({item.place for item in items})}
    return Operation(tuple(items), frozenset(), {}, km, "HS")


def tables() -> Iterator[Table]:
    """Time against the time for the smallest operation; notes carry gaps, bounds and cost ratios."""
    prices = price_list(situation_of([]), date(2031, 5, 1))
    yield _deciding(prices)
    yield _packing()
    yield _rules_of_thumb(prices)


def _deciding(prices: Prices) -> Table:
    table = Table("Deciding an operation to a proven gap of at most 1 %", [], rounds=3)
    for hives, more in ((120, False), (1_200, False), (1_200, True)):
        made, ask = operation(hives, 1), FateAsk(pallets=hives)
        pieces = sum(item.count for item in made.items)

        def run(made: Operation = made, ask: FateAsk = ask, more: bool = more) -> object:
            return choose(made, PROFILE, prices, ask, more=more)

        name = f"{hives:,} hives{', with next best, other ways, swings' if more else ''}"
        table.cases.append(Case(name, run, pieces))
        if not more:
            table.notes.append(
                f"{name}: {pieces:,} pieces, gap {choose(made, PROFILE, prices, ask, more=False).gap:.3%}"
            )
    large = operation(100_000, 1)
    begun = perf_counter()
    found = choose(large, PROFILE, prices, FateAsk(pallets=100_000), more=False, seconds=TEN_MINUTES)
    pieces = sum(item.count for item in large.items)
    table.notes.append(f"100,000 hives, once: {pieces:,} pieces in {perf_counter() - begun:.1f} s, gap {found.gap:.3%}")
    return table


def _packing() -> Table:
    rng = Random(7)
    table = Table("Packing boxes for a plant", [], rounds=3)
    for number, spread, heights in ((92, (11.5, 14.0), (250,)), (2_000, (9.0, 14.0), (250,)),
                                    (2_000, (8.0, 24.0), (250, 170))):  # fmt: skip
        boxes = [Box(str(n), round(rng.uniform(*spread), 1), rng.choice(heights)) for n in range(number)]

        def run(boxes: list[Box] = boxes) -> object:
            return pack(boxes, UnitSpec(25), PalletSpec(6, 1849, 1000))

        chosen = pack(boxes, UnitSpec(25), PalletSpec(6, 1849, 1000)).chosen
        name = f"{number:,} boxes, {len(heights)} heights, {spread[0]:g} to {spread[1]:g} kg"
        table.cases.append(Case(name, run, number))
        table.notes.append(f"{name}: {len(chosen.pallets)} pallets, bound {chosen.bound}")
    return table


def _rules_of_thumb(prices: Prices) -> Table:
    """100 seeded operations with prices drawn from their ranges: cost of each rule as a ratio to the least."""
    ratios: dict[str, list[float]] = {"burn everything": [], "irradiate everything": [], "piece by piece": []}
    problems = [_drawn(seed, prices) for seed in range(100)]
    for problem in problems:
        best = solve(problem, 1e-3)
        for name, keep in _RULES.items():
            other = solve(restricted(problem, keep), 1e-3)
            if best and other:
                ratios[name].append(other.bill.cents / best.bill.cents)
    notes = [
        f"{name}: {statistics.median(found):.3f} of the least in the median, {max(found):.3f} at worst, never below "
        f"{min(found):.3f} ({len(found)} operations)" for name, found in ratios.items() if found
    ]  # fmt: skip
    cases = [Case("least cost", lambda: solve(problems[0], 1e-3))]
    cases += [Case(name, lambda keep=keep: solve(restricted(problems[0], keep), 1e-3)) for name, keep in _RULES.items()]
    return Table("Rules of thumb on 100 seeded operations", cases, rounds=3, notes=notes)


def _drawn(seed: int, prices: Prices) -> Problem:
    rng = Random(seed)
    sourced = {item: replace(p, value=rng.uniform(p.low, p.high)) for item, p in prices.sourced.items()}
    drawn = Prices(sourced, prices.currency, prices.words)
    made = operation(rng.choice((14, 43, 129)), seed)
    return build(made, PROFILE, drawn, FateAsk(pallets=60), Figures(PROFILE)).problem


def _burn(_: Group, option: Option) -> bool:
    return option.method == "burn"


def _send(group: Group, option: Option) -> bool:
    return option.method == ("gamma" if any(o.method == "gamma" for o in group.options) else "burn")


def _by_piece(group: Group, option: Option) -> bool:
    """What a price list says for each piece alone, blind to lots, trips, slots and what lots share."""
    return option == min(group.options, key=lambda o: o.cents)


_RULES = {"burn everything": _burn, "irradiate everything": _send, "piece by piece": _by_piece}
