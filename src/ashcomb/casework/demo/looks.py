"""Two seasons of looks into hives, the find in A07, and its samples, results, milestones and papers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from random import Random

from ashcomb.casework.demo.places import FIRM_YARDS, INDEX
from ashcomb.casework.demo.stock import CONDEMNED, Stock
from ashcomb.casework.demo.workbook import Cell, Row, Sheet, as_text, written_day

FOUND = "A07-05"
FOUND_AT = datetime(2031, 5, 6, 10, 40)
ORDER = "OVB-2031-014"
_ROUNDS = tuple((date(*first), date(*last)) for first, last in (
    ((2029, 4, 20), (2029, 5, 26)), ((2029, 8, 27), (2029, 9, 24)), ((2030, 4, 16), (2030, 5, 24)),
    ((2030, 8, 26), (2030, 9, 24)), ((2031, 4, 8), (2031, 5, 3))))  # fmt: skip
_SHARE = 0.6  # of a yard's hives that are opened in one round
_CELLS = {"A07-05": 23, "A07-03": 140, "A07-12": 4, "A07-24": 9, "A07-28": 61, "A07-40": 210}


def inspections(rng: Random, stock: tuple[Stock, ...]) -> Sheet:
    """Sheet of looks. Many a “none seen” of the yearly rounds was three brood frames of ten, bees not shaken off."""
    head = ("Hive number", "Inspected on", "Findings", "Frames present", "Brood frames seen", "Shaken",
            "Diseased cells", "Ropiness", "Light", "Inspected by", "Comment")  # fmt: skip
    rows = [*_yearly(rng, stock), *_find(rng, stock)]
    return Sheet("Inspections", head, tuple(rows), blank=1500)


def _yearly(rng: Random, stock: tuple[Stock, ...]) -> Iterator[Row]:
    for first, last in _ROUNDS:
        for yard in FIRM_YARDS:
            day = first + timedelta(rng.randint(0, (last - first).days))
            quick = yard.mark == INDEX or rng.random() < 0.4
            who = rng.choice(("Jon Pell", "Tess Arbery", "Ilko Venn"))
            written = written_day(rng, day)
            for hive in stock:
                if hive.yard == yard.mark and hive.since <= day and hive.holds != "dead-out" and rng.random() < _SHARE:
                    yield (
                        hive.mark,
                        written,
                        "none seen",
                        *_frames(rng, hive, quick),
                        None,
                        None,
                        "daylight",
                        who,
                        None,
                    )


def _frames(rng: Random, hive: Stock, quick: bool) -> tuple[Cell, Cell, Cell]:
    """Brood frames present, seen, and shaken: three of all and none shaken on a quick round."""
    if quick:
        return hive.brood, min(3, hive.brood), 0
    seen = rng.randint(max(1, hive.brood - 3), hive.brood)
    return hive.brood, as_text(rng, seen), rng.randint(seen // 2, seen)


def _find(rng: Random, stock: tuple[Stock, ...]) -> Iterator[Row]:
    """6 May 2031: the suspect hive. 7 May: the firm looks at all of A07; 13 May: the officer, every frame shaken."""
    yard = [hive for hive in stock if hive.yard == INDEX]
    present = {hive.mark: hive.brood for hive in yard}
    n = present[FOUND]
    yield (FOUND, FOUND_AT, "suspect", n, n, n, _CELLS[FOUND], "yes", "daylight", "Tess Arbery",
           "Sunken cappings, one drew a thread")  # fmt: skip
    for day, who, word in (
        (date(2031, 5, 7), "Runa Fennick", "suspect"),
        (date(2031, 5, 13), "Nell Varga", "clinical"),
    ):
        for hive in yard:
            n, sick = hive.brood, hive.mark in CONDEMNED
            cells = _CELLS.get(hive.mark) or rng.randint(5, 60) if sick else 0
            signs = word if sick else "none seen"
            yield hive.mark, day, signs, n, n, n, cells, "yes" if sick else "no", "daylight", who, None


def samples() -> Sheet:
    """Sheet of samples: an old pool of honey from A24, and the larvae of the suspect hive."""
    rows: tuple[Row, ...] = (
        ("OV-0093", "A24-01; A24-02; A24-03", "honey", date(2029, 9, 20), "Ilko Venn", "tape 118"),
        ("OV-0117", FOUND, "larvae with signs", datetime(2031, 5, 6, 11, 20), "Tess Arbery", "tape 204"),
    )
    return Sheet("Samples", ("Sample no", "Hive numbers", "Material", "Sampled on", "Taken by", "Seal"), rows)


def results() -> Sheet:
    """Sheet of laboratory results."""
    rows: tuple[Row, ...] = (
        ("OV-0093", "4 October 2029", "Vale laboratory", "culture", "not detected", "VL-29-0812"),
        ("OV-0117", datetime(2031, 5, 12, 15, 0), "Vale laboratory", "culture and PCR", "positive", "VL-31-0377"),
    )
    return Sheet("Results", ("Sample no", "Reported on", "Lab", "Test", "Outcome", "Report no"), rows)


def milestones() -> Sheet:
    """Sheet of the events from which clocks run."""
    rows: tuple[Row, ...] = (
        ("suspected", FOUND_AT, INDEX, FOUND, None, "Told to Nell Varga by telephone at 11:05"),
        ("sample taken", datetime(2031, 5, 6, 11, 20), INDEX, FOUND, "OV-0117", None),
        ("confirmed", datetime(2031, 5, 12, 15, 0), INDEX, FOUND, "VL-31-0377", None),
        ("notified", datetime(2031, 5, 12, 16, 20), INDEX, None, "FD-31-02", "In writing, with the laboratory report"),
        ("order served", datetime(2031, 5, 13, 16, 30), INDEX, None, ORDER, None),
    )
    return Sheet("Milestones", ("Event", "Date", "Yard", "Hive no", "Document no", "Remarks"), rows)


def notices() -> Sheet:
    """Sheet of papers: the standstill, and the order to destroy the 14 hives that are named in it."""
    office = "Orrow Vale bee health office"
    rows: tuple[Row, ...] = (
        ("OVB-2031-011", "standstill", datetime(2031, 5, 6, 16, 0), INDEX, None, office, None,
         "Nothing in, nothing out"),
        (ORDER, "destruction order", datetime(2031, 5, 13, 16, 30), INDEX, "; ".join(CONDEMNED), office, "2031-05-20",
         "Destroy the hives named, with bees and combs"),
    )  # fmt: skip
    head = ("Number", "Kind", "Issued", "Yard", "Hive numbers", "Authority", "Ends", "Conditions")
    return Sheet("Notices", head, rows)
