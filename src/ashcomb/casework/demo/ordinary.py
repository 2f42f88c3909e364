"""Ordinary moves of two seasons, drawn so that they change no answer for A07.

Nothing ordinary ever comes to A07 or leaves it, nothing comes to A26 before its hives went to A07, and nothing leaves a
place once the disease may have reached it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from ashcomb.casework.demo.places import FIRM_YARDS, INDEX, YARDS
from ashcomb.casework.demo.stock import Stock
from ashcomb.casework.demo.workbook import Cell

REACHED = {
    "A07": date(2030, 4, 10), "A09": date(2030, 6, 1), "A19": date(2030, 7, 1), "HH": date(2030, 8, 20),
    "A03": date(2030, 8, 22), "A15": date(2030, 8, 22), "H01": date(2030, 9, 10), "A20": date(2030, 10, 1),
}  # fmt: skip
_FED_INDEX = {"A26": date(2030, 4, 10), "D1": date(2030, 3, 2)}


@dataclass(frozen=True, slots=True)
class Trip:
    """One move. told: the day as somebody wrote it, where it is not simply a day."""

    day: date
    source: str
    target: str
    what: str
    count: int
    hives: tuple[str, ...] = ()
    lot: str | None = None
    told: Cell = None
    evidence: str = "document"
    note: str | None = None


def _harmless(trip: Trip, slack: int = 14) -> bool:
    """Whether the trip, even `slack` days off, can neither spread from A07 nor lead to it."""
    early, late = trip.day - timedelta(slack), trip.day + timedelta(slack)
    places = [YARDS[mark] for mark in (trip.source, trip.target) if mark in YARDS]
    return (
        trip.target not in (INDEX, "D1")
        and trip.source != INDEX
        and (trip.target not in _FED_INDEX or early > _FED_INDEX[trip.target])
        and (trip.source not in REACHED or late < REACHED[trip.source])
        and all(yard.since < early for yard in places)
    )


def _day(rng: Random, first: date, last: date) -> date:
    return first + timedelta(rng.randint(0, (last - first).days))


def lots(rng: Random, year: int) -> Iterator[tuple[str, date, list[Trip]]]:
    """Extraction lots before mid August: supers come in from two yards and go out wet to two others."""
    for number in range(1, 7):
        lot, day = f"L{year % 100}-{number:02d}", date(year, 7, 1) + timedelta(6 * number - 6 + rng.randint(0, 3))
        yards = [yard.mark for yard in rng.sample(FIRM_YARDS, 12)]
        into = [Trip(day - timedelta(1), y, "HH", "wet supers", rng.randint(10, 24), lot=lot) for y in yards[:6]]
        into = [trip for trip in into if _harmless(trip)][:2]
        share = sum(trip.count for trip in into) // 2
        out = [Trip(day + timedelta(1), "HH", y, "wet supers", share, lot=lot) for y in yards[6:]]
        yield lot, day, [*into, *[trip for trip in out if _harmless(trip)][:2]]


def pastures(rng: Random, year: int, stock: tuple[Stock, ...]) -> Iterator[Trip]:
    """Hives that go to a summer pasture and come home again, by their marks."""
    homes = rng.sample(FIRM_YARDS, 12)
    for home, away in zip(homes[:6], homes[6:], strict=True):
        hives = [h.mark for h in stock if h.yard == home.mark and h.since < date(year, 5, 1) and h.holds == "colony"]
        marks = tuple(hives[: rng.randint(6, 10)])
        out = Trip(_day(rng, date(year, 5, 25), date(year, 6, 12)), home.mark, away.mark, "hives", len(marks), marks)
        back = Trip(_day(rng, date(year, 8, 24), date(year, 9, 8)), away.mark, home.mark, "hives", len(marks), marks)
        if marks and _harmless(out) and _harmless(back):
            yield from (out, back)


# What, from (a place, or "" for any yard), months of the year, most pieces, how many to draw a season.
_HABITS = (
    ("nucleus", "", (5, 6), 3, 16), ("brood frames", "", (5, 7), 4, 8), ("queens", "Q1", (5, 8), 6, 14),
    ("dry supers", "S1", (4, 6), 20, 20), ("feed", "S1", (9, 10), 12, 12), ("tools", "", (4, 9), 2, 4),
)  # fmt: skip


def habitual(rng: Random, year: int) -> Iterator[Trip]:
    yards = [yard.mark for yard in FIRM_YARDS]
    for what, place, (first, last), most, wanted in _HABITS:
        drawn = 0
        while drawn < wanted:
            day = _day(rng, date(year, first, 1), date(year, last, 28))
            source, target = place or rng.choice(yards), rng.choice(yards)
            told, evidence = None, "document"
            if rng.random() < 0.06:
                told, evidence = f"about {day.day} {day:%B %Y}", "memory"
            trip = Trip(day, source, target, what, rng.randint(1, most), told=told, evidence=evidence)
            if source != target and _harmless(trip):
                drawn += 1
                yield trip


def spring(rng: Random) -> Iterator[Trip]:
    """The season of 2031, until the standstill."""
    yards = [yard.mark for yard in FIRM_YARDS if yard.mark != INDEX]
    for target in rng.sample(yards, 10):
        yield Trip(_day(rng, date(2031, 4, 5), date(2031, 5, 3)), "S1", target, "dry supers", rng.randint(8, 20))
