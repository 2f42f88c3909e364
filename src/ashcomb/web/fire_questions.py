"""The pages about the night, the petrol, the pit and the fire."""

from __future__ import annotations

from ashcomb.sources.library import profile_keys
from ashcomb.web import fire_replies as replies
from ashcomb.web.asked import Field
from ashcomb.web.question import Question

APIARY = Field("apiary", "Apiary", help="empty: the index apiary", marks="apiary")
HIVES = Field("hives", "Hives", help="marks, comma between; empty: all condemned hives")
DAY = Field("day", "Day", "day", "empty: today")
AGENT = Field("agent", "Agent", "choice", "none is chosen for you",
              options=tuple((agent, agent) for agent in profile_keys()["agents"]))  # fmt: skip
DOSE = Field("dose", "Petrol in each hive, mL", "number", "empty: what is recorded, then what the profile asks")
AIR = Field("temperature", "Air, °C", "number", "empty: the weather recorded nearest")
METER = (
    Field("meter", "Meter: percent of LEL", "number", "empty: not read yet"),
    Field("read_at", "Read at", "hour", default="00:00"), Field("reader", "Read by"), Field("witness", "Witness"),
)  # fmt: skip


def _metres(name: str, label: str, help_text: str = "empty: nobody measured it") -> Field:
    return Field(name, f"{label}, m", "number", help_text)


def _bearing(name: str, label: str) -> Field:
    return Field(name, f"{label}, degrees", "number", "0 is north, seen from the pit; for the drawing")


def _size(when_empty: str) -> tuple[Field, ...]:
    return (Field("length", "Pit floor length, m", "number", when_empty), Field("width", "Floor width, m", "number"),
            Field("depth", "Depth, m", "number"))  # fmt: skip


FIRE_QUESTIONS: tuple[Question, ...] = (
    Question(
        "agents", "Agents", "What the profile allows to kill with: amounts, waits, checks, and what comes after.",
        replies.agents, (APIARY, HIVES, DAY),
    ),
    Question(
        "night", "Night", "Window, crew timeline, curfew, fuel, roles, and what is not ready.", replies.night,
        (APIARY, HIVES, Field("day", "Night of", "day", "empty: today"), Field("teams", "Teams", "whole", default="1"),
         AGENT),
        draws=replies.night_drawn,
    ),
    Question(
        "waiting", "Waiting", "What petrol is still in dosed hives, and why only a meter clears.", replies.waiting,
        (APIARY, HIVES, DOSE, AIR, Field("wind", "Air over open comb, m/s", "number", "empty: a light wind"), *METER),
        draws=replies.waiting_drawn,
    ),
    Question(
        "pit", "Pit", "Size, honey, soil, digging and warnings for the real load.", replies.pit,
        (*_size("leave all three empty to have a pit chosen"),
         Field("slope", "Run of the walls to one of rise", "number", "0: upright", default="0"),
         Field("ground", "Digging", "choice", default="firm", options=(("soft", "soft"), ("firm", "firm"))),
         Field("soil", "Soil", "choice", default="loam",
               options=(("sand", "sand"), ("loam", "loam"), ("clay", "clay"))),
         Field("people", "Who dig", "whole", default="2"),
         _metres("well", "To the nearest well"), _metres("watercourse", "To the nearest water"),
         _metres("field_drain", "To the nearest field drain"), _metres("building", "To the nearest building"),
         _metres("groundwater", "Water below the floor", "below the ground if no pit is given"),
         Field("ground_slope", "Slope of the ground, %", "number", "empty: nobody measured it"),
         APIARY, HIVES, Field("entered", "Somebody climbs in", "flag"),
         Field("fed", "Combs go onto the fire few at a time", "flag"),
         Field("dark", "Dug at night", "flag"),
         Field("services_searched", "Buried services were searched for", "flag")),
        draws=replies.pit_drawn,
    ),
    Question(
        "firesite", "Fire site", "Heat of the load, distances around the pit, loadings, and flames away from petrol.",
        replies.firesite,
        (*_size("leave all three empty for the recorded pit"), APIARY, HIVES,
         Field("at_once", "Hives in one loading", "whole", "empty: the most that fit"), DOSE,
         Field("on_site", "Petrol in cans, L", "number", "empty: what the night would carry"), AIR,
         _metres("building", "Rim to the next building"), _metres("bare", "Bare earth around the rim"),
         _metres("room", "Room for people around it"), _metres("hives_away", "Rim to the nearest dosed hive"),
         Field("pit_is", "The pit is", "choice", "against the hives", options=(
             ("above", "above them"), ("level", "level with them"), ("below", "below them"))),
         Field("ground_slope", "Slope of the ground, %", "number", "empty: nobody measured it"),
         _bearing("wind_from", "Wind from"), _bearing("hives_deg", "Hives lie at"),
         _bearing("building_deg", "Building lies at"), _bearing("downhill", "Downhill"), _bearing("access", "Way in")),
        waits=True, draws=replies.firesite_drawn,
    ),
    Question(
        "burnday", "Burn day", "Whether anything recorded speaks against a fire, and the store plan if so.",
        replies.burnday,
        (APIARY, HIVES, DAY, Field("begins", "From", "hour", default="09:00"),
         Field("ends", "To", "hour", default="15:00"), *METER),
    ),
)  # fmt: skip
