"""What was done: notices, the night, pit and fire, hold store, treatment, shipping, weather and crew."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.records.columns import Record, Type, col, kind
from ashcomb.records.pieces import Owned

NOTICES = ("standstill", "destruction order", "zone order", "permit", "fire permit", "release", "other")
KILL_STEPS = ("prepared", "sealed", "dosed", "listened: buzzing", "listened: quiet", "topped up", "dead confirmed")
PIT_STATES = ("planned", "consented", "dug", "lit", "ash", "covered", "checked")
METHODS = ("irradiated", "wax dipped", "hypochlorite", "scorched", "heated", "rendered", "extracted", "buried", "kept")
ROLES = ("leader", "sealer", "pourer", "listener", "smoker keeper", "scribe", "fire watch", "driver")
_HIVE = {"refers": ("hive",), "also": ("hive number", "hive no", "number", "no")}
_APIARY = {"refers": ("apiary",), "also": ("yard", "site")}


@kind(
    "notice", "Notices", also=("orders", "permits"), happened="Served on", happened_also=("date", "issued"), key="mark"
)
@dataclass(frozen=True, slots=True, kw_only=True)
class Notice(Record):
    """A notice, order or permit that somebody served or got."""

    mark: str = col(Type.MARK, "Notice", "Number of the paper", required=True, also=("number", "no", "document"))
    type: str = col(Type.CHOICE, "Type", "What it is", required=True, options=NOTICES, also=("kind",))
    apiary: str = col(Type.MARK, "Apiary", "What it binds", **_APIARY)
    hives: tuple[str, ...] = col(
        Type.MARKS, "Hives", "Hives that it names", refers=("hive",), also=("hive numbers", "hive nos", "hive marks")
    )
    issued_by: str = col(Type.TEXT, "Issued by", "Who", also=("authority",))
    until: str = col(Type.TEXT, "Until", "Day it ends, or empty when it ends in writing only", also=("ends", "expires"))
    text: str = col(Type.TEXT, "Text", "What it says", also=("conditions", "note"))


@kind("kill", "Kills", also=("night log",), happened="Date", happened_also=("when", "time"))
@dataclass(frozen=True, slots=True, kw_only=True)
class Kill(Record):
    """One step in the killing of one colony, with its hour: sealed, dosed, listened, topped up, dead confirmed."""

    hive: str = col(Type.MARK, "Hive", "Which hive", required=True, **_HIVE)
    step: str = col(
        Type.CHOICE, "Step", "What was done or heard", required=True, options=KILL_STEPS, also=("what", "action")
    )
    agent: str = col(Type.TEXT, "Agent", "Petrol, sulphur dioxide, as ordered …")
    amount_ml: float | None = col(Type.NUMBER, "Amount mL", "Dose", unit="mL", low=0, also=("dose", "ml", "dose ml"))
    person: str = col(Type.TEXT, "Person", "Who did or heard it", also=("by", "name"))


@kind("pit", "Pits", happened="Date", key="")
@dataclass(frozen=True, slots=True, kw_only=True)
class Pit(Record):
    """A pit and what state it reached: planned, consented, dug, lit, ash, covered, checked."""

    mark: str = col(Type.MARK, "Pit", "Pit mark", required=True, also=("pit no",))
    apiary: str = col(Type.MARK, "Apiary", "Where", required=True, **_APIARY)
    state: str = col(Type.CHOICE, "State", "What it reached", required=True, options=PIT_STATES)
    length_m: float | None = col(Type.NUMBER, "Length m", "Floor length", unit="m", low=0, also=("length",))
    width_m: float | None = col(Type.NUMBER, "Width m", "Floor width", unit="m", low=0, also=("width",))
    depth_m: float | None = col(Type.NUMBER, "Depth m", "Depth", unit="m", low=0, also=("depth",))
    cover_m: float | None = col(
        Type.NUMBER, "Cover m", "Settled soil over the ash", unit="m", low=0, also=("cover", "soil")
    )
    person: str = col(Type.TEXT, "Person", "Who", also=("by",))
    note: str = col(Type.TEXT, "Note", "Anything else", also=("notes", "remarks"))


@kind("burn", "Burns", also=("burn tally", "destroyed"), happened="Burned on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class Burn(Owned):
    """Pieces of one kind went into the fire, counted."""

    pit: str = col(Type.MARK, "Pit", "Which pit")
    found_in: str = col(Type.TEXT, "Found in", "Where stray pieces were found")


@kind("treatment", "Treatments", also=("wax log", "dip log"), happened="Done on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment(Owned):
    """Pieces were treated instead of burned: by what, how hot, how long, as it was written."""

    method: str = col(Type.CHOICE, "Method", "How", required=True, options=METHODS)
    temperature_c: float | None = col(
        Type.NUMBER, "Temperature C", "Lowest bath temperature", unit="degC", also=("temperature", "temp")
    )
    minutes: float | None = col(Type.NUMBER, "Minutes", "Time at it", unit="min", low=0, also=("time", "time min"))
    percent: float | None = col(Type.NUMBER, "Percent", "Strength of the solution", unit="percent", low=0, high=100)
    consignment: str = col(Type.MARK, "Consignment", "Consignment it went with", refers=("consignment",))
    as_written: str = col(Type.TEXT, "As written", "What the log says, letter by letter", also=("log", "entry"))
    operator: str = col(Type.TEXT, "Operator", "Who", also=("by",))


@kind("consignment", "Consignments", happened="Sent on", happened_also=("date",), key="mark")
@dataclass(frozen=True, slots=True, kw_only=True)
class Consignment(Record):
    """Units of one lot that went to a plant together."""

    mark: str = col(Type.MARK, "Consignment", "Number", required=True, also=("number", "no"))
    lot: str = col(Type.MARK, "Lot", "Lot at the plant", required=True)
    plant: str = col(Type.MARK, "Plant", "Where to", refers=("premises",))
    boxes: int = col(Type.WHOLE, "Boxes", "Boxes in it", required=True, low=0)
    units: int = col(Type.WHOLE, "Units", "Units in it", required=True, low=0)
    mass_kg: float | None = col(Type.NUMBER, "Mass kg", "All of it", unit="kg", low=0, also=("mass", "weight"))
    seals: str = col(Type.TEXT, "Seals", "Seal numbers")


@kind("certificate", "Certificates", happened="Issued on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate(Record):
    """What a plant certifies for one lot of a consignment."""

    consignment: str = col(Type.MARK, "Consignment", "Which consignment", required=True, refers=("consignment",))
    lot: str = col(Type.MARK, "Lot", "Which lot", required=True)
    run: str = col(Type.TEXT, "Run", "Run number of the plant", also=("run no",))
    units_received: int | None = col(Type.WHOLE, "Units received", "By the plant", low=0)
    units_returned: int | None = col(Type.WHOLE, "Units returned", "To us", low=0)
    min_dose_kgy: float | None = col(
        Type.NUMBER, "Minimum dose kGy", "Least absorbed dose", unit="kGy", low=0, also=("min dose", "dmin")
    )
    max_dose_kgy: float | None = col(
        Type.NUMBER, "Maximum dose kGy", "Greatest absorbed dose", unit="kGy", low=0, also=("max dose", "dmax")
    )
    signed: str = col(Type.TEXT, "Signed by", "Who at the plant")


@kind(
    "weather",
    "Weather",
    ahead=True,
    also=("weather log", "forecast"),
    happened="Time",
    happened_also=("date", "when", "valid at"),
)
@dataclass(frozen=True, slots=True, kw_only=True)
class Weather(Record):
    """Weather observed or forecast for one hour, and the official word on fire."""

    place: str = col(Type.MARK, "Place", "Where", refers=("apiary", "premises"), also=("apiary", "station"))
    forecast: bool | None = col(Type.FLAG, "Forecast", "Forecast, not observed")
    temperature_c: float | None = col(
        Type.NUMBER, "Temperature C", "Air", unit="degC", low=-60, high=60, also=("temperature", "temp")
    )
    rh_percent: float | None = col(
        Type.NUMBER, "Humidity %", "Relative humidity", unit="percent", low=0, high=100, also=("rh", "humidity")
    )
    wind_kmh: float | None = col(
        Type.NUMBER, "Wind km/h", "At 10 m, mean", unit="km/h", low=0, high=300, also=("wind",)
    )
    gust_kmh: float | None = col(
        Type.NUMBER, "Gust km/h", "Gusts", unit="km/h", low=0, high=400, also=("gust", "gusts")
    )
    rain_mm: float | None = col(
        Type.NUMBER, "Rain mm", "In that hour", unit="mm", low=0, also=("rain", "precipitation")
    )
    rain_24h_mm: float | None = col(Type.NUMBER, "Rain 24 h mm", "In the day before", unit="mm", low=0)
    storm: bool | None = col(
        Type.FLAG, "Storm or front", "Thunderstorm or front within 12 h", also=("front", "thunder")
    )
    fire_ban: bool | None = col(Type.FLAG, "Fire ban", "Fires are banned", also=("ban", "total fire ban"))
    rating: str = col(Type.TEXT, "Fire danger rating", "Official rating, as published", also=("rating", "fire danger"))
    drought_factor: float | None = col(Type.NUMBER, "Drought factor", "Official or computed", unit="1", low=0, high=10)
    curing_percent: float | None = col(
        Type.NUMBER, "Grass curing %", "Share of dead grass", unit="percent", low=0, high=100, also=("curing",)
    )
    mixing_m: float | None = col(
        Type.NUMBER, "Mixing height m", "Height to which smoke mixes", unit="m", low=0, also=("mixing height",)
    )
    transport_m_s: float | None = col(
        Type.NUMBER, "Transport wind m/s", "Mean wind below that height", unit="m/s", low=0, also=("transport wind",)
    )


@kind("crew", "Crew", also=("people", "team"), happened="With us since", happened_required=False, key="mark")
@dataclass(frozen=True, slots=True, kw_only=True)
class CrewMember(Record):
    """Somebody who works on the case, and what they may do."""

    mark: str = col(Type.MARK, "Person", "Initials or short name", required=True, also=("initials", "short name", "id"))
    name: str = col(Type.TEXT, "Name", "Full name", required=True, personal=True)
    phone: str = col(Type.TEXT, "Phone", "Telephone", personal=True, also=("telephone", "mobile"))
    roles: tuple[str, ...] = col(Type.MARKS, "Roles", "What they may do", also=("role", "skills"))


@kind(
    "duty",
    "Night duties",
    ahead=True,
    also=("assignments", "rota"),
    happened="Night of",
    happened_also=("date", "night"),
)
@dataclass(frozen=True, slots=True, kw_only=True)
class Duty(Record):
    """Who does what in one night."""

    person: str = col(Type.MARK, "Person", "Who", required=True, refers=("crew",), also=("who", "name"))
    role: str = col(Type.CHOICE, "Role", "Does what", required=True, options=ROLES)
    team: int | None = col(Type.WHOLE, "Team", "In which team", low=1, high=20)
    apiary: str = col(Type.MARK, "Apiary", "Where", **_APIARY)
