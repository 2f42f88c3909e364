"""A case of the invented Orrow Vale in a temporary folder: yard A07 before its night, and what came after."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

from tests.stories import vale, vale_night

from ashcomb.casework.case import Case, new_case
from ashcomb.casework.hand import fixed_hand
from ashcomb.records.acts import Notice, Pit, Weather
from ashcomb.records.case import CaseHead, Milestone
from ashcomb.records.columns import Record
from ashcomb.records.looks import Inspection, LabResult, Sample
from ashcomb.records.places import Hive

PLACE = timezone(timedelta(hours=5))
SICK = {"A07-05": 23, "A07-03": 140, "A07-12": 10}  # diseased cells
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


def finds() -> list[Record]:
    """Signs in three hives of A07, a sample with its result, the standstill, and the looks at the others."""
    looks = [
        vale.record(Inspection, "2031-05-13", hive=mark, signs="clinical" if mark in SICK else "none seen",
                    brood_frames=10, frames_seen=3, frames_shaken=3, cells=SICK.get(mark, 0), ropy=mark in SICK,
                    light="daylight", inspector="Nell Varga")
        for mark in vale_night.MARKS[:13]
    ]  # fmt: skip
    return [
        *looks,
        vale.record(Sample, "2031-05-06T11:20", mark="OV-0117", hives=("A07-05",), material="larvae", taken_by="BT"),
        vale.record(LabResult, "2031-05-12T15:00", sample="OV-0117", method="culture", outcome="positive",
                    document="VL-31-0377", laboratory="Vale laboratory"),
        vale.record(Milestone, "2031-05-06T10:40", event="suspected", apiary="A07", hive="A07-05"),
        vale.record(Notice, "2031-05-06T16:00", mark="S-11", type="standstill", apiary="A07",
                    issued_by="District office"),
        vale.record(Pit, "2031-05-14", mark="P1", apiary="A07", state="planned", length_m=3.0, width_m=1.5,
                    depth_m=1.2),
        vale.record(Weather, "2031-05-14T20:00", place="A07", forecast=True, wind_kmh=9.0, gust_kmh=14.0, rain_mm=0.0,
                    fire_ban=False, rating="moderate"),
    ]  # fmt: skip
