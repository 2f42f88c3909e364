"""The invented Orrow Vale: firm yards, neighbours, premises and keepers, on a local grid in kilometres."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random

from ashcomb.casework.demo.workbook import Row, Sheet, written_day

FIRM, NEIGHBOUR = "FD", "AC"
INDEX = "A07"


@dataclass(frozen=True, slots=True)
class Yard:
    """One apiary: mark, name, grid position in km, number of hives on its list, and the day since when it is in use."""

    mark: str
    name: str
    x_km: float
    y_km: float
    hives: int
    since: date = date(2027, 4, 1)
    keeper: str = FIRM


FIRM_YARDS = (
    Yard("A01", "Alder Cut", 4.5, 27.0, 45),
    Yard("A02", "Bracken Foot", 8.0, 24.5, 38),
    Yard("A03", "Thistle Bank", 11.2, 10.9, 40),
    Yard("A04", "Coldwell", 1.5, 21.0, 46),
    Yard("A05", "Marl Lane", 18.5, 21.5, 52),
    Yard("A06", "Long Furrow", 22.0, 15.5, 44),
    Yard("A07", "Windmill Rise", 10.0, 10.0, 42),
    Yard("A08", "Two Oaks", 27.0, 21.5, 41),
    Yard("A09", "Reed Mere", 14.0, 21.0, 36),
    Yard("A10", "Gorse End", 33.5, 9.5, 48),
    Yard("A11", "Sallow Dip", 8.4, 10.0, 39),
    Yard("A12", "Upper Ley", 10.0, 12.1, 45),
    Yard("A13", "Kiln Field", 24.0, 25.0, 30, date(2030, 3, 20)),
    Yard("A14", "Skylark Down", 36.0, 14.5, 47),
    Yard("A15", "Fallow Ford", 22.0, 4.0, 50),
    Yard("A16", "Birch Row", 28.5, 5.5, 43),
    Yard("A17", "Hazel Hollow", 35.5, 22.0, 40),
    Yard("A18", "Lower Tarn", 17.0, 27.5, 42),
    Yard("A19", "Mill Race", 13.0, 6.0, 44),
    Yard("A20", "East Clover", 25.0, 9.0, 46),
    Yard("A21", "Dun Common", 39.5, 6.0, 38),
    Yard("A22", "Old Orchard", 16.0, 18.0, 48, date(2029, 4, 12)),
    Yard("A23", "Grey Stile", 31.0, 27.0, 43),
    Yard("A24", "Sainfoin Bottom", 38.0, 28.5, 45),
    Yard("A25", "Quarry Top", 11.5, 31.0, 37),
    Yard("A26", "Cartway", 30.0, 17.0, 52),
    Yard("A27", "Rushy Meadow", 21.5, 31.5, 42),
    Yard("A28", "South Gate", 31.0, 2.0, 37, date(2029, 5, 1)),
)
ADA = Yard("H01", "Ada's garden", 12.4, 11.8, 2, date(2026, 5, 3), NEIGHBOUR)
ABANDONED = Yard("N01", "behind the old dairy", 9.2, 9.4, 0, date(2024, 6, 1), "")
YARDS = {yard.mark: yard for yard in (*FIRM_YARDS, ADA, ABANDONED)}
_LANDOWNERS = {
    "A07": (
        "Hanne Brill",
        "Orrow 4107",
        "22:30",
        "Track from the mill; gate code at the farm; last 200 m soft when wet",
    ),
    "A03": ("Hanne Brill", "Orrow 4107", "22:30", "Same farm as A07, second gate"),
    "A19": ("Piet Sandow", "Orrow 4119", None, "Cross the ford; not after heavy rain"),
}
_ELSEWHERE = ("Gate on the lane", "Ask at the farm", "Field track, dry weather only", "Hard track to the hives", None)


def apiaries(rng: Random) -> Sheet:
    """Sheet of all apiaries: 28 of the firm, Ada Crome's, and the abandoned one."""
    head = ("Yard", "Yard name", "Owner", "Status", "x km", "y km", "Accuracy m", "Established", "Farmer",
            "Farmer phone", "Leave by", "Directions")  # fmt: skip
    rows: list[Row] = []
    for yard in YARDS.values():
        farmer, phone, curfew, track = _LANDOWNERS.get(yard.mark, (None, None, None, rng.choice(_ELSEWHERE)))
        if yard is ABANDONED:
            track = "Three old boxes seen over the fence; nobody answers"
        state = "abandoned" if yard is ABANDONED else "kept"
        rows.append((yard.mark, yard.name, yard.keeper or None, state, yard.x_km, yard.y_km, 5,
                     written_day(rng, yard.since), farmer, phone, curfew, track))  # fmt: skip
    return Sheet("Apiaries", head, tuple(rows), blank=11)


def premises() -> Sheet:
    """Sheet of the places that are no apiary but handle hive parts."""
    head = ("Code", "Name", "Kind", "Owner", "x km", "y km", "Known since", "Access")
    since = date(2026, 3, 1)
    rows: tuple[Row, ...] = (
        ("HH", "Honey house at Fenside", "honey house", FIRM, 20.0, 14.0, since, "Yard lights on a switch by the door"),
        ("S1", "Super barn", "store", FIRM, 19.6, 13.4, since, None),
        ("HS", "Hold store, the old dairy shed", "store", FIRM, 20.3, 13.7, since, "Locked; key with the leader"),
        ("D1", "Corley, dealer in used gear", "dealer", None, 48.0, 3.0, since, None),
        ("Q1", "Tillet queens", "other", None, 44.0, 33.0, since, None),
        ("IP", "Wexley irradiation plant", "irradiation plant", None, 92.0, 41.0, since, "Deliveries 07:00 to 15:00"),
        ("LAB", "Vale laboratory", "laboratory", None, 71.0, 55.0, since, None),
    )
    return Sheet("Premises", head, rows)


def keepers() -> Sheet:
    """Sheet of keepers."""
    head = ("Keeper", "Name", "Address", "Phone", "Reg no", "Known since")
    rows: tuple[Row, ...] = (
        (FIRM, "Fennick & Dole", "Honey house, Fenside, Orrow Vale", "Orrow 4100", "OV-0028", "3 March 2021"),
        (NEIGHBOUR, "Ada Crome", "2 Well Lane, Upper Ley", "Orrow 4231", "OV-0311", "2026-04-20"),
    )
    return Sheet("Keepers", head, rows)
