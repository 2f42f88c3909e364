"""What moved in two seasons: the eleven moves that carry the trace, among some two hundred ordinary ones."""

from __future__ import annotations

from datetime import date
from random import Random

from ashcomb.casework.demo.ordinary import Trip, habitual, lots, pastures, spring
from ashcomb.casework.demo.places import INDEX
from ashcomb.casework.demo.stock import Stock
from ashcomb.casework.demo.workbook import Row, Sheet, as_text, written_day

LOT = "L30-07"
SEASONS = (2029, 2030)


def traced(stock: tuple[Stock, ...]) -> dict[str, Trip]:
    """The eleven moves m1 to m11 that carry the trace from and to A07."""
    moved = tuple(hive.mark for hive in stock if hive.yard == "A15" and hive.holds == "colony")[-6:]
    words = "“June or July, when the road was mended”, the driver remembers"
    return {
        "m1": Trip(date(2030, 8, 20), INDEX, "HH", "wet supers", 28, lot=LOT),
        "m2": Trip(date(2030, 8, 22), "HH", "A15", "wet supers", 16, lot=LOT),
        "m3": Trip(date(2030, 8, 22), "HH", "A03", "wet supers", 12, lot=LOT, told="22.08.2030"),
        "m4": Trip(date(2030, 10, 1), "A15", "A20", "hives", 6, moved, told="1 October 2030"),
        "m5": Trip(date(2030, 7, 1), INDEX, "A19", "brood frames", 4, told="1 Jul 2030", evidence="seen"),
        "m6": Trip(date(2030, 6, 15), "A19", "A22", "hives", 8),
        "m7": Trip(date(2030, 9, 10), "A19", "H01", "nucleus", 1, evidence="seen", note="Sold to Ada Crome"),
        "m8": Trip(date(2030, 4, 10), "A26", INDEX, "hives", 4, told="2030-04-10"),
        "m9": Trip(date(2030, 3, 2), "D1", "A26", "used boxes", 24, told="2 March 2030", note="No history given"),
        "m10": Trip(date(2030, 5, 1), "A28", "A26", "hives", 1, told="1 May 2030"),
        "m11": Trip(date(2030, 7, 31), INDEX, "A09", "hives", 3, told="June or July 2030", evidence="memory",
                    note=words),
    }  # fmt: skip


def movement_sheets(rng: Random, stock: tuple[Stock, ...]) -> tuple[Sheet, Sheet, Sheet]:
    """Sheets of moves, extraction lots and cleanings."""
    story = traced(stock)
    late = Trip(date(2030, 9, 2), "A05", "HH", "wet supers", 14, lot="L30-08", note="Stored dry, none sent out")
    ordinary: list[Trip] = [late, *spring(rng)]
    batches: list[Row] = []
    for year in SEASONS:
        for lot, day, trips in lots(rng, year):
            ordinary += trips
            batches.append(_lot_row(rng, lot, day, trips))
        ordinary += [*pastures(rng, year, stock), *habitual(rng, year)]
    batches.append(_lot_row(rng, LOT, date(2030, 8, 21), [story["m1"]]))
    batches.append(_lot_row(rng, "L30-08", date(2030, 9, 3), [late]))
    ordinary.sort(key=lambda trip: trip.day)
    marked = {f"r{n:03d}": trip for n, trip in enumerate(ordinary, start=1)} | story
    rows = tuple(_move_row(rng, mark, trip) for mark, trip in sorted(marked.items(), key=lambda item: item[1].day))
    head = ("Move no", "Moved on", "From yard", "To yard", "Goods", "Hive numbers", "Number sent", "Number received",
            "Batch", "Evidence", "Remarks")  # fmt: skip
    extraction = Sheet("Extraction lots", ("Lot no", "Date", "Shed", "Yards", "Supers", "Honey"), tuple(batches))
    return Sheet("Moves", head, rows, blank=90), extraction, _cleanings()


def _move_row(rng: Random, mark: str, trip: Trip) -> Row:
    arrived = as_text(rng, trip.count) if trip.evidence != "memory" else None
    return (mark, trip.told or written_day(rng, trip.day), trip.source, trip.target, trip.what,
            "; ".join(trip.hives) or None, as_text(rng, trip.count), arrived, trip.lot, trip.evidence,
            trip.note)  # fmt: skip


def _lot_row(rng: Random, lot: str, day: date, trips: list[Trip]) -> Row:
    donors = [trip for trip in trips if trip.target == "HH"]
    supers = sum(trip.count for trip in donors)
    return (lot, written_day(rng, day), "HH", "; ".join(trip.source for trip in donors), supers, 11 * supers)


def _cleanings() -> Sheet:
    rows: tuple[Row, ...] = (
        (date(2029, 9, 14), "HH", "extractor stripped, hot water and soda, floor hosed"),
        (date(2030, 3, 15), "HH", "extractor stripped, hot water and soda, floor hosed"),
        ("17 Aug 2030", "HH", "extractor and tanks, hot water and soda"),
        ("27.08.2030", "HH", "extractor and tanks, hot water and soda"),
        (date(2030, 10, 21), "S1", "swept, scraped and limewashed"),
    )
    return Sheet("Cleanings", ("Date", "Place", "Method"), rows)
