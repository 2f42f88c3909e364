"""A case of the invented Orrow Vale in a temporary folder: yard A07 before its night, and what came after."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

from tests.stories import vale, vale_night

from ashcomb.casework.case import Case, new_case
from ashcomb.casework.hand import fixed_hand
from ashcomb.records.case import CaseHead
from ashcomb.records.columns import Record
from ashcomb.records.looks import Inspection
from ashcomb.records.places import Hive

PLACE = timezone(timedelta(hours=5))
EVENING = datetime(2031, 5, 14, 17, 30, tzinfo=PLACE)


def case_of(folder: Path, records: Iterable[Record], moment: datetime = EVENING, title: str = "Windmill Rise") -> Case:
    """A case with these records (case heads among them are left out), opened at that moment."""
    case = new_case(folder, fixed_hand("Nell Varga", moment), mark="OV-31-01", timezone=vale.ZONE, profile="orrow-vale",
                    title=title, index="A07", infectious_from="2030-04-10", keeper="FD", officer="J. Marr",
                    authority="Orrow Vale bee health office", grid_lat=46.0, grid_lon=66.5)  # fmt: skip
    kept = [record for record in records if not isinstance(record, CaseHead)]
    case.write([replace(record, received=case.hand.now_ms()) for record in kept], "records of the test")
    return case


def night_records(*more: Record, crew: bool = True) -> list[Record]:
    """Yard, parts and papers of A07 and the moves of the vale."""
    people = vale_night.crew() if crew else []
    return [*vale_night.yard(), *vale_night.parts(), *vale_night.papers(), *people, *vale.moves(), *more]


def small_keeper(*more: Record) -> list[Record]:
    """Ada Crome's garden: two hives, one of them with signs."""
    hive = {"apiary": "H01", "brood_frames": 8}
    return [
        vale.record(Hive, "2028-04-01", mark="H01-01", holds="colony", boxes=2, **hive),
        vale.record(Hive, "2030-09-10", mark="H01-02", holds="nucleus", boxes=1, **hive),
        vale.record(Inspection, "2031-05-10", hive="H01-01", signs="suspect", brood_frames=8, frames_seen=8,
                    frames_shaken=8, cells=3, ropy=True, inspector="Ada Crome"),
        *more,
    ]  # fmt: skip
