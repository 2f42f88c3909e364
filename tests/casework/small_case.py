"""A small case for tests of the engine: two apiaries of six hives, a swap of frames, a find. Draws in seconds."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

from ashcomb.casework.case import DEMO_CLOCK, Case, new_case
from ashcomb.casework.hand import fixed_hand
from ashcomb.kernel.time import Span, zone

MOMENT = datetime(2031, 5, 14, 15, 0, tzinfo=zone("UTC"))


def make_small(folder: Path) -> Path:
    """The case in a new folder, its clock standing on 14 May 2031."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / DEMO_CLOCK).write_text(MOMENT.isoformat(), "utf-8")
    with new_case(folder, fixed_hand("EV", MOMENT), mark="S-1", timezone="UTC", profile="orrow-vale", index="A1",
                  infectious_from="2030-05-01", keeper="F", grid_lat=46.0, grid_lon=66.5) as case:  # fmt: skip
        case.write(_records(case), "all")
    return folder


def _records(case: Case) -> list:
    made = [case.make("keeper", _day("2020-01-01"), mark="F", name="Firm")]
    for n, apiary in enumerate(("A1", "A2"), 1):
        made.append(case.make("apiary", _day("2020-01-01"), mark=apiary, keeper="F", x_km=0.5 * n, y_km=0.0))
        made += [case.make("hive", _day("2028-05-01"), mark=f"{apiary}-{k}", apiary=apiary, holds="colony",
                           place=f"row 1, number {k}") for k in range(1, 7)]  # fmt: skip
    made.append(case.make("move", _day("2030-06-20"), mark="m1", source="A1", target="A2", what="brood frames",
                          hives=("A1-1", "A2-1"), count_out=3))  # fmt: skip
    for hive, when, signs in (("A1-1", "2031-05-06", "clinical"), ("A1-2", "2031-05-06", "none seen"),
                              ("A2-2", "2031-05-07", "none seen"), ("A1-1", "2030-09-02", "none seen")):  # fmt: skip
        made.append(case.make("inspection", _day(when), hive=hive, signs=signs, brood_frames=8, frames_seen=8,
                              frames_shaken=8, inspector="EV"))  # fmt: skip
    return made


def _day(text: str) -> Span:
    return Span.day(date.fromisoformat(text))
