"""The 1,200 hives of the firm with Ada Crome's two, and the counted parts of the 14 condemned hives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random

from ashcomb.casework.demo.places import ADA, FIRM_YARDS, INDEX, Yard
from ashcomb.casework.demo.workbook import Cell, Row, Sheet, as_text, decimal_comma, written_day

CONDEMNED = tuple(f"A07-{n:02d}" for n in (2, 3, 5, 8, 9, 12, 14, 17, 21, 24, 28, 31, 35, 40))
TRIPLES = frozenset(("A07-03", "A07-09", "A07-17", "A07-28", "A07-40"))  # three boxes of comb; the other nine have two
FRAMES_A_BOX = 9  # a ten-frame box run with nine
HONEY_KG = 240.0
NUMBERED = "A22"  # came to the firm with plain painted numbers, 2201 onwards
# Last hives on a yard's list that came with a move: how many, since when, and how the day is written.
ARRIVED: dict[str, tuple[int, date, str | None]] = {
    "A07": (4, date(2030, 4, 10), None),
    "A22": (8, date(2030, 6, 15), None),
    "A26": (1, date(2030, 5, 1), "1 May 2030"),
    "A09": (3, date(2030, 7, 31), "June or July 2030"),
}


@dataclass(frozen=True, slots=True)
class Stock:
    """One hive of the list. since: a day on which it is certainly in use.  told: that day as written, if in words."""

    mark: str
    yard: str
    stand: int
    since: date
    holds: str
    boxes: int
    brood: int
    told: str | None = None


def all_hives(rng: Random) -> tuple[Stock, ...]:
    """The hives of every yard: 1,200 in 28 yards of the firm, then two of Ada Crome's."""
    firm = [hive for yard in FIRM_YARDS for hive in _yard_hives(rng, yard)]
    ada = [
        Stock("H01-01", ADA.mark, 1, ADA.since, "colony", 2, 8),
        Stock("H01-02", ADA.mark, 2, date(2030, 9, 10), "nucleus", 1, 4),
    ]
    return (*firm, *ada)


def _yard_hives(rng: Random, yard: Yard) -> list[Stock]:
    arrived, day, told = ARRIVED.get(yard.mark, (0, date.min, None))
    found = []
    for stand in range(1, yard.hives + 1):
        mark = f"{2200 + stand}" if yard.mark == NUMBERED else f"{yard.mark}-{stand:02d}"
        came = stand > yard.hives - arrived
        since = day if came else max(yard.since, date(rng.choice((2027, 2028)), rng.choice((4, 5)), rng.randint(1, 28)))
        holds = "colony" if came else _content(rng, yard, stand)
        boxes = 3 if mark in TRIPLES else 2 if mark in CONDEMNED else {"colony": rng.choice((2, 2, 2, 3))}.get(holds, 1)
        brood = {"colony": rng.randint(8, 10), "nucleus": 4}.get(holds, 0)
        found.append(Stock(mark, yard.mark, stand, since, holds, boxes, brood, told if came else None))
    return found


def _content(rng: Random, yard: Yard, stand: int) -> str:
    if yard.mark in ("A03", INDEX) or stand < yard.hives - 10:
        return "colony"
    return rng.choices(("colony", "nucleus", "dead-out"), (0.84, 0.12, 0.04))[0]


def hive_list(rng: Random, stock: tuple[Stock, ...]) -> Sheet:
    """Sheet of all hives. Yard A22's plain numbers stand as numbers, as a spreadsheet stores what looks like one."""
    head = ("Hive no", "Yard", "Row", "Stock", "Hive type", "No of boxes", "Brood frames", "Since")
    rows: list[Row] = []
    for hive in stock:
        mark: Cell = int(hive.mark) if hive.yard == NUMBERED else hive.mark
        row, place = divmod(hive.stand - 1, 8)
        pattern = "Langstroth 8 deep" if hive.yard == NUMBERED else "Langstroth 10 deep"
        rows.append((mark, hive.yard, f"row {row + 1}, number {place + 1} from the gate", hive.holds, pattern,
                     as_text(rng, hive.boxes), hive.brood, hive.told or written_day(rng, hive.since)))  # fmt: skip
    return Sheet("Hives", head, tuple(rows), blank=600)


def component_list(rng: Random) -> Sheet:
    """Sheet of the parts of the 14 condemned hives: 33 boxes, 297 frames, 14 lids, floors and excluders, 240 kg honey.

    Masses and honey are written with a decimal comma. All weights are invented for the demo.
    """
    head = ("Hive number", "Item", "Quantity", "Hive type", "Material", "Weight kg", "Honey kg", "Count date")
    rows: list[Row] = []
    for mark, honey in zip(CONDEMNED, _honey(rng), strict=True):
        boxes = 3 if mark in TRIPLES else 2
        parts: tuple[tuple[str, int, str, float], ...] = (
            ("box", boxes, "wood", 4.6),
            ("frame", boxes * FRAMES_A_BOX, "wood", 0.8),
            ("lid", 1, "wood", 2.4),
            ("floor", 1, "wood", 2.1),
            ("excluder", 1, "metal", 0.7),
        )
        for item, count, material, mass in parts:
            sweet = decimal_comma(honey) if item == "frame" else None
            rows.append((mark, item, as_text(rng, count), "Langstroth 10 deep", material, decimal_comma(mass), sweet,
                         "13 May 2031"))  # fmt: skip
    return Sheet("Components", head, tuple(rows), blank=35)


def _honey(rng: Random) -> list[float]:
    """Honey in each condemned hive, in kg to one place, in all exactly `HONEY_KG`."""
    weights = [(3 if mark in TRIPLES else 2) * rng.uniform(0.7, 1.3) for mark in CONDEMNED]
    tenths = [int(HONEY_KG * 10 * weight / sum(weights)) for weight in weights]
    tenths[-1] += round(HONEY_KG * 10) - sum(tenths)
    return [tenth / 10 for tenth in tenths]
