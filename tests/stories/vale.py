"""Orrow Vale as records: the invented firm Fennick & Dole, Ada Crome's two hives, and the moves of 2030.

Open steppe around 46.000 N 66.500 E, a local grid in kilometres, UTC+5. No place, firm or outbreak of this name exists.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from typing import Any

from ashcomb.kernel.ids import uuid7
from ashcomb.kernel.time import Span
from ashcomb.records.case import CaseHead, Milestone
from ashcomb.records.columns import Record
from ashcomb.records.looks import Inspection
from ashcomb.records.movements import ExtractionLot, Move
from ashcomb.records.places import Apiary, Hive, Keeper, Premises
from ashcomb.records.situation import Situation, situation_of
from ashcomb.sources.profile import CodeProfile, read_profile

ZONE = "Etc/GMT-5"  # UTC+5 the year round
PLACE = timezone(timedelta(hours=5))
YARDS = {
    "A07": (10.0, 10.0), "A03": (11.2, 10.9), "A11": (8.4, 10.0), "A12": (10.0, 12.1), "A19": (13.0, 6.0),
    "A22": (16.0, 18.0), "A15": (22.0, 4.0), "A20": (25.0, 9.0), "A09": (14.0, 21.0), "A26": (30.0, 17.0),
    "A28": (31.0, 2.0),
}  # fmt: skip
MOVES: tuple[tuple[str, str, str, str, str, str, str], ...] = (
    ("m1", "2030-08-20", "A07", "HH", "wet supers", "L1", "document"),
    ("m2", "2030-08-22", "HH", "A15", "wet supers", "L1", "document"),
    ("m3", "2030-08-22", "HH", "A03", "wet supers", "L1", "document"),
    ("m4", "2030-10-01", "A15", "A20", "hives", "", "document"),
    ("m5", "2030-07-01", "A07", "A19", "brood frames", "", "document"),
    ("m6", "2030-06-15", "A19", "A22", "hives", "", "document"),
    ("m7", "2030-09-10", "A19", "H01", "nucleus", "", "document"),
    ("m8", "2030-04-10", "A26", "A07", "hives", "", "document"),
    ("m9", "2030-03-02", "D1", "A26", "used boxes", "", "document"),
    ("m10", "2030-05-01", "A28", "A26", "hives", "", "document"),
    ("m11", "2030-06-01/2030-07-31", "A07", "A09", "hives", "", "memory"),
)

_made = 0


def record(cls: type[Record], happened: str, **fields: Any) -> Any:
    """A record of that kind, dated as ISO text; id and `noted` count up in the order of making."""
    global _made
    _made += 1
    envelope = {"noted": _made, "received": _made, "by": "JM", "id": uuid7(_made, _made.to_bytes(10, "big"))}
    return cls(**{**envelope, "happened": Span.parse(happened), **fields})


def places() -> list[Record]:
    """Case, keepers, the named yards, Ada's apiary, the abandoned one, the honey house and the dealer."""
    yard = [
        record(Apiary, "2025-03-01", mark=mark, keeper="FD", state="kept", x_km=x, y_km=y)
        for mark, (x, y) in YARDS.items()
    ]
    return [
        record(CaseHead, "2031-05-06", mark="OV-31-01", timezone=ZONE, index="A07", infectious_from="2030-04-10",
               keeper="FD", officer="J. Marr", grid_lat=46.0, grid_lon=66.5),
        record(Keeper, "2020-01-01", mark="FD", name="Fennick & Dole"),
        record(Keeper, "2028-04-01", mark="AC", name="Ada Crome"),
        *yard,
        record(Apiary, "2028-04-01", mark="H01", name="Ada's garden", keeper="AC", state="kept", x_km=12.4, y_km=11.8),
        record(Apiary, "2019-01-01", mark="N01", state="abandoned", x_km=9.2, y_km=9.4),
        record(Premises, "2020-01-01", mark="HH", name="Honey house", type="honey house", keeper="FD"),
        record(Premises, "2020-01-01", mark="D1", name="Dealer", type="dealer"),
    ]  # fmt: skip


def moves() -> list[Record]:
    """The eleven moves and the one extraction lot."""
    lot = record(ExtractionLot, "2030-08-21", mark="L1", house="HH", apiaries=("A07",))
    return [lot] + [
        record(Move, day, mark=mark, source=source, target=target, what=what, lot=lot_mark, evidence=grade)
        for mark, day, source, target, what, lot_mark, grade in MOVES
    ]


def hives(apiary: str, count: int) -> list[Record]:
    """That many hives of an apiary, A07-01 and on."""
    return [
        record(Hive, "2030-03-01", mark=f"{apiary}-{number:02d}", apiary=apiary, holds="colony", boxes=2)
        for number in range(1, count + 1)
    ]


def looks(apiary: str, count: int, day: str, **seen: Any) -> list[Record]:
    """Looks into the first `count` hives of an apiary, none with signs unless said."""
    given = {"signs": "none seen", "brood_frames": 8, "frames_seen": 8, "frames_shaken": 8, **seen}
    return [
        record(Inspection, day, hive=f"{apiary}-{number:02d}", inspector="JM", **given)
        for number in range(1, count + 1)
    ]


def milestone(event: str, happened: str, **fields: Any) -> Record:
    """An event from which clocks run."""
    made: Record = record(Milestone, happened, event=event, **fields)
    return made


def vale(*more: Record) -> Situation:
    """The situation of the vale: places and moves, and whatever is added."""
    return situation_of([*places(), *moves(), *more])


def at(text: str) -> datetime:
    """A local moment of the vale from ISO text."""
    return datetime.fromisoformat(text).replace(tzinfo=PLACE)


def day(text: str) -> date:
    """A day from ISO text."""
    return date.fromisoformat(text)


def profile(name: str, text: str = "") -> CodeProfile:
    """An invented code profile; `text` is the body of its file after the head."""
    head = "" if "[profile]" in text else f'[profile]\nname = "{name} (invented)"\n'
    return read_profile(head + text, name)


def clock(key: str, starts: str, amount: int, unit: str, meaning: str = "due", **more: Any) -> str:
    """The text of one clock of an invented profile."""
    rows = {"title": key.replace("_", " ").capitalize(), "starts": starts, "amount": amount, "unit": unit,
            "meaning": meaning, "text": f"Invented rule {key}.", "status": "project choice", **more}  # fmt: skip
    lines = [f"{name} = {str(item).lower() if isinstance(item, bool) else repr(item)}" for name, item in rows.items()]
    return f"\n[clocks.{key}]\n" + "\n".join(lines).replace("'", '"') + "\n"
