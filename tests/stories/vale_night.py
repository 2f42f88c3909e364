"""The night, the fire and the papers of apiary A07 in the invented Orrow Vale."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from tests.stories.vale import ZONE, places, record

from ashcomb.plans.night import NightOrder
from ashcomb.records.acts import Burn, CrewMember, Duty, Notice
from ashcomb.records.case import ProfileConfirmed
from ashcomb.records.columns import Record
from ashcomb.records.places import Apiary, Component, Hive
from ashcomb.records.situation import Situation, situation_of
from ashcomb.sources.profile import CodeProfile, load_profile

NIGHT = "2031-05-14"
MARKS = tuple(f"A07-{number:02d}" for number in range(1, 15))
GATE = "row 2, number 14 from the gate"  # as long as places get: it must not push the sheet onto another
BOXES = dict(zip(MARKS, [2] * 9 + [3] * 5, strict=True))  # nine doubles and five triples: 33 boxes
FRAMES_A_BOX = 9  # 297 frames in 33 boxes
HONEY_KG = 240.0
CREW = {"leader": "AC", "smoker keeper": "BT", "scribe": "AC", "sealer": "JM", "pourer": "JM", "listener": "BT"}
ORROW: CodeProfile = load_profile("orrow-vale")


def yard() -> list[Record]:
    """A07 with its landowner and curfew, the fourteen hives and the places of the vale."""
    rest = [r for r in places() if not (isinstance(r, Apiary) and r.mark == "A07")]
    a07 = record(Apiary, "2025-03-01", mark="A07", keeper="FD", state="kept", x_km=10.0, y_km=10.0, landowner="R. Tull",
                 landowner_phone="555 0107", curfew="22:30")  # fmt: skip
    hives = [
        record(Hive, "2030-03-01", mark=m, apiary="A07", holds="colony", boxes=n, place=GATE) for m, n in BOXES.items()
    ]
    return [*rest, a07, *hives]


def parts(feeders: Iterable[str] = ()) -> list[Record]:
    """What the fourteen hives are made of: 33 boxes, 297 frames, 14 lids, 14 floors, 14 excluders."""
    found = []
    for mark, boxes in BOXES.items():
        numbers = {"box": boxes, "frame": boxes * FRAMES_A_BOX, "lid": 1, "floor": 1, "excluder": 1}
        for component, count in numbers.items():
            honey = HONEY_KG / len(BOXES) if component == "frame" else None
            found.append(record(Component, NIGHT, hive=mark, component=component, count=count, honey_kg=honey))
    return found + [record(Component, NIGHT, hive=mark, component="feeder", count=1) for mark in feeders]


def burned(component: str, counts: dict[str, int], found_in: str = "") -> list[Record]:
    """Pieces of one kind that went into the pit, by hive."""
    return [
        record(Burn, "2031-05-16", hive=mark, component=component, count=count, pit="P1", found_in=found_in)
        for mark, count in counts.items()
    ]


def crew(**changed: str) -> list[Record]:
    """Three people and their roles for one team; `changed` puts another person on a role (smoker_keeper="JM")."""
    people = [record(CrewMember, NIGHT, mark=mark, name=name)
              for mark, name in (("AC", "Ada Crome"), ("BT", "B. Tarn"), ("JM", "J. Marr"))]  # fmt: skip
    given = CREW | {role.replace("_", " "): person for role, person in changed.items()}
    return people + [record(Duty, NIGHT, person=person, role=role, apiary="A07") for role, person in given.items()]


def papers(profile: CodeProfile = ORROW) -> list[Record]:
    """The landowner's consent, the destruction order, the fire permit, and the confirmed profile."""
    return [
        record(Notice, "2031-05-13", mark="L-1", type="permit", apiary="A07", issued_by="R. Tull"),
        record(Notice, "2031-05-13", mark="D-1", type="destruction order", apiary="A07", issued_by="District office"),
        record(Notice, "2031-05-13", mark="F-1", type="fire permit", apiary="A07", until="2031-05-31"),
        record(ProfileConfirmed, "2031-05-12", profile=profile.id, digest=profile.digest, officer="J. Marr",
               role="apiary officer"),
    ]  # fmt: skip


def night(*more: Record) -> Situation:
    """Yard, parts and papers, and whatever is added."""
    return situation_of([*yard(), *parts(), *papers(), *more])


def order(hives: tuple[str, ...] = MARKS, teams: int = 1, agent: str = "petrol") -> NightOrder:
    """The night of Wednesday 14 May 2031 at the anchor of the vale."""
    return NightOrder(apiary="A07", hives=hives, day=date.fromisoformat(NIGHT), lat=46.0, lon=66.5, zone=ZONE,
                      teams=teams, agent=agent)  # fmt: skip
