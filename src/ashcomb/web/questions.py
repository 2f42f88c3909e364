"""The pages that answer a question: each is a form and the one use case that answers it."""

from __future__ import annotations

from ashcomb.sources.profile import profile_ids
from ashcomb.web import replies
from ashcomb.web.asked import Field
from ashcomb.web.crew_questions import CREW_QUESTIONS
from ashcomb.web.question import Question

APIARY = Field("apiary", "Apiary", help="empty: the index apiary", marks="apiary")
HIVES = Field("hives", "Hives", help="marks, comma between; empty: all condemned hives")
FIRST = Field("first", "First day", "day", "empty: start of the risk window")
LAST = Field("last", "Last day", "day", "empty: today")
DAY = Field("day", "Day", "day", "empty: today")
PROFILES = tuple((name, name) for name in profile_ids())


def _metres(name: str, label: str, help_text: str = "empty: nobody measured it") -> Field:
    return Field(name, f"{label}, m", "number", help_text)


QUESTIONS: dict[str, Question] = {
    question.name: question
    for question in (
        Question("status", "Status", "What is due, what state everything is in, what stands in the way.",
                 replies.status),
        Question(
            "dates", "Dates", "What is due and when, each with its start event and rule.", replies.dates,
            (Field("compare", "Compare with profile", "choice", "what would change", options=PROFILES),),
        ),
        Question(
            "trace", "Trace", "Where it can have gone and come from, along chains of dated moves.", replies.trace,
            (Field("unit", "Trace from", help="empty: the index apiary", marks="apiary"), FIRST, LAST),
        ),
        Question(
            "zone", "Zone", "Which apiaries lie inside the zone, and which on its line.", replies.zone,
            (Field("centres", "Centres", help="marks, comma between; empty: the index apiary"),
             Field("km", "Radii, km", help="comma between; empty: those of the profile"),
             Field("former_since", "Also around sites left for a centre since", "day")),
        ),
        Question("worth", "Worth of looks", "What the looks at an apiary were worth.", replies.worth,
                 (APIARY, FIRST, LAST)),
        Question(
            "follow", "Follow-up", "What suspicion is left in exposed hives, and when to look next.", replies.follow,
            (APIARY,),
        ),
        Question(
            "free", "Freedom", "How sure a round of looks makes it that an apiary is free, and what would raise it.",
            replies.free,
            (APIARY, FIRST, LAST, Field("design", "Infected hives that must not be missed", "whole", "empty: 1")),
        ),
        Question(
            "night", "Night", "Window, crew timeline, curfew, fuel, roles, and what is not ready.", replies.night,
            (APIARY, HIVES, Field("day", "Night of", "day", "empty: today"),
             Field("teams", "Teams", "whole", default="1"),
             Field("agent", "Agent", help="as the profile names it; none is chosen for you")),
        ),
        Question(
            "pit", "Pit", "Size, honey, soil, digging and warnings for the real load.", replies.pit,
            (Field("length", "Floor length, m", "number", required=True),
             Field("width", "Floor width, m", "number", required=True),
             Field("depth", "Depth, m", "number", required=True),
             Field("slope", "Run of the walls to one of rise", "number", "0: upright", default="0"),
             Field("ground", "Digging", "choice", default="firm", options=(("soft", "soft"), ("firm", "firm"))),
             Field("soil", "Soil", "choice", default="loam",
                   options=(("sand", "sand"), ("loam", "loam"), ("clay", "clay"))),
             Field("people", "Who dig", "whole", default="2"),
             _metres("well", "To the nearest well"), _metres("watercourse", "To the nearest water"),
             _metres("building", "To the nearest building"), _metres("groundwater", "Dry ground below the floor"),
             APIARY, HIVES, Field("entered", "Somebody climbs in", "flag"),
             Field("fed", "Combs go onto the fire few at a time", "flag"),
             Field("services_searched", "Buried services were searched for", "flag")),
            waits=True,
        ),
        Question(
            "burnday", "Burn day", "Whether anything recorded speaks against a fire, and the store plan if so.",
            replies.burnday,
            (APIARY, HIVES, DAY, Field("begins", "From", "hour", default="09:00"),
             Field("ends", "To", "hour", default="15:00"),
             Field("meter", "Meter: percent of LEL", "number", "empty: not read yet"),
             Field("read_at", "Read at", "hour", default="00:00"), Field("reader", "Read by"),
             Field("witness", "Witness")),
        ),
        Question("balance", "Mass balance", "Where every piece went, hive by hive.", replies.balance, (HIVES,)),
        Question(
            "pack", "Packing", "Units, stacks and pallets for the irradiation plant.", replies.pack,
            (Field("boxes", "Boxes", help="how many x how heavy in kg, comma between: 62x11.5, 30x14.0", required=True),
             Field("size", "Outside, mm", help="length x width x height", default="514x412x250"),
             Field("singles", "The plant takes single boxes only", "flag")),
            waits=True,
        ),
        Question("certificates", "Certificates", "The plant's certificates against what was sent.",
                 replies.certificates),
        Question("treatments", "Treatments", "Recorded dips and soaks against the profile.", replies.treatments),
        Question("release", "Release", "Which gates stand between an apiary and its release.", replies.release,
                 (APIARY, DAY)),
        Question(
            "hobby", "Keeper of few hives", "What to do with each hive of a small keeper, and when.", replies.hobby,
            (Field("keeper", "Keeper", marks="keeper"), Field("apiary", "Apiary", marks="apiary")), waits=True,
        ),
        Question(
            "verify", "Seals", "Whether any record was altered since it was sealed.", replies.verify,
            (Field("seal", "Seal printed on a paper", help="empty: the chain alone is checked"),),
        ),
        *CREW_QUESTIONS,
    )
}  # fmt: skip
