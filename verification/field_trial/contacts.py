"""What went between hives: the true contacts of two seasons, and how each would stand in a complete record."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from verification.field_trial.laws import KIND, Assumptions
from verification.field_trial.region import Region

from ashcomb.outbreak.scene import Event

Gifts = list[tuple[int, float, float | None]]


@dataclass
class Contacts:
    """true: as they were.  noted: as a complete record knows them; of a lot only who gave and who got."""

    true: list[Event] = field(default_factory=list)
    noted: list[Event] = field(default_factory=list)

    def one(self, kind: str, time: float, donors: list[int], takers: list[int], objects: float = 1.0,
            noted: bool = True) -> None:  # fmt: skip
        """Objects of some donors in equal shares."""
        gives: Gifts = [(i, 1.0 / len(donors), None) for i in donors]
        event = Event(KIND[kind], time, time, objects, gives, takers)
        self.true.append(event)
        if noted:
            self.noted.append(event)


def contacts(rng: np.random.Generator, place: Region, trial: Assumptions) -> Contacts:
    """All contacts of two seasons."""
    made = Contacts()
    for begins, _ in trial.seasons:
        for keeper in range(len(place.firm)):
            _nuclei(rng, place, trial, made, keeper, begins)
            _swaps(rng, place, trial, made, keeper, begins)
            _tools(rng, place, trial, made, keeper, begins)
            for first, last in ((88, 112), (128, 155)) if place.firm[keeper] else ((100, 140),):
                _extraction(rng, place, trial, made, keeper, begins + int(rng.integers(first, last)))
        _trade(rng, place, trial, made, begins)
        _never_told(rng, place, trial, made, begins)
    return made


def _nuclei(
    rng: np.random.Generator, place: Region, trial: Assumptions, made: Contacts, keeper: int, begins: float
) -> None:
    mine = place.of(keeper, begins + 20)
    for donor in rng.choice(mine, rng.binomial(len(mine), trial.nuclei), replace=False) if mine else []:
        day = int(begins + rng.integers(30, 70))
        if place.lives(int(donor), day):
            here = place.place(int(donor), day)
            there = int(rng.choice(np.flatnonzero(place.owner == keeper))) if rng.random() < 0.4 else here
            made.one("nucleus", day + 0.5, [int(donor)], [place.add(there, day)])


def _swaps(
    rng: np.random.Generator, place: Region, trial: Assumptions, made: Contacts, keeper: int, begins: float
) -> None:
    for _ in range(rng.poisson(trial.frame_swaps * len(place.of(keeper, begins + 20)))):
        day = int(begins + rng.integers(5, 110))
        mine = place.of(keeper, day)
        if not mine:
            continue
        donor = mine[int(rng.integers(len(mine)))]
        places = place.grid[mine, day]
        away = rng.random() < trial.swap_away
        others = [j for j, p in zip(mine, places, strict=True) if j != donor and (p != place.grid[donor, day]) == away]
        if others:
            made.one("brood frames", day + 0.5, [donor], [others[int(rng.integers(len(others)))]])


def _tools(
    rng: np.random.Generator, place: Region, trial: Assumptions, made: Contacts, keeper: int, begins: float
) -> None:
    for _ in range(rng.poisson(trial.tool_contacts * len(place.of(keeper, begins + 20)))):
        day = int(begins + rng.integers(5, 180))
        mine = place.of(keeper, day)
        if len(mine) > 1:
            k = int(rng.integers(len(mine)))
            taker = mine[(k + 1 + int(rng.integers(min(len(mine) - 1, trial.tool_reach)))) % len(mine)]
            made.one("tools", day + 0.5, [mine[k]], [taker], noted=False)


def _extraction(
    rng: np.random.Generator, place: Region, trial: Assumptions, made: Contacts, keeper: int, day: float
) -> None:
    """Supers are pulled by apiary, go through the shed in lots, and come back wet to hives of the same keeper.

    True: each hive gets supers that lay near each other in the stack.  Noted: who gave to the lot and who got from it.
    """
    mine = [j for j in place.of(keeper, day) if rng.random() < trial.pulled]
    order = rng.permutation(len(place.owner))
    takers = sorted((j for j in place.of(keeper, day + 3)), key=lambda j: order[place.grid[j, int(day) + 3]])
    begun = 0
    for first in range(0, len(mine), trial.lot_hives):
        donors = mine[first : first + trial.lot_hives]
        stack = np.repeat(donors, trial.supers)
        stack = stack[np.argsort(np.arange(len(stack)) + rng.normal(0, trial.stack_mixing, len(stack)))]
        gets = takers[begun : begun + len(donors)]
        begun += len(donors)
        shares: Gifts = [(i, 1.0 / len(donors), day + 0.5) for i in donors]
        if gets:
            made.noted.append(Event(KIND["wet supers"], day + 3.5, day + 3.5, trial.supers, shares, gets))
        for k, taker in enumerate(gets):
            came = [int(i) for i in stack[trial.supers * k : trial.supers * (k + 1)]]
            gives: Gifts = [(i, 1.0 / len(came), day + 0.5) for i in came]
            made.true.append(Event(KIND["wet supers"], day + 3.5, day + 3.5, trial.supers, gives, [taker]))


def _trade(rng: np.random.Generator, place: Region, trial: Assumptions, made: Contacts, begins: float) -> None:
    for kind, many in (("package", trial.packages), ("used boxes", trial.used_boxes)):
        for _ in range(rng.poisson(many)):
            day = int(begins + rng.integers(15, 90))
            seller, buyer = rng.choice(len(place.firm), 2, replace=False)
            donors, takers = place.of(int(seller), day), place.of(int(buyer), day)
            if not donors or not takers:
                continue
            chosen = [int(i) for i in rng.choice(donors, min(3, len(donors)), replace=False)]
            if kind == "package":
                there = int(rng.choice(np.flatnonzero(place.owner == buyer)))
                made.one(kind, day + 0.5, chosen, [place.add(there, day)])
            else:
                made.one(kind, day + 0.5, chosen[:1], [int(rng.choice(takers))])


def _never_told(rng: np.random.Generator, place: Region, trial: Assumptions, made: Contacts, begins: float) -> None:
    """Help among neighbours, gifts, stolen frames: contacts that no record ever had."""
    for _ in range(rng.poisson(trial.never_told * len(place.first))):
        day, donor = int(begins + rng.integers(5, 150)), int(rng.integers(len(place.first)))
        if place.lives(donor, day):
            far = np.hypot(*(place.xy - place.xy[place.place(donor, day)]).T)
            there = int(rng.choice(np.flatnonzero(far <= trial.never_told_km)))
            others = [j for j in place.at(there, day) if j != donor]
            if others:
                kind = str(rng.choice(["brood frames", "dry supers", "feed"]))
                made.one(kind, day + 0.5, [donor], [int(rng.choice(others))], noted=False)
