"""The pages that answer a question: each is a form and the one use case that answers it."""

from __future__ import annotations

from ashcomb.sources.profile import profile_ids
from ashcomb.web import replies
from ashcomb.web.asked import Field
from ashcomb.web.crew_questions import CREW_QUESTIONS
from ashcomb.web.fate_questions import FATE_QUESTIONS
from ashcomb.web.fire_questions import FIRE_QUESTIONS
from ashcomb.web.question import Question

APIARY = Field("apiary", "Apiary", help="empty: the index apiary", marks="apiary")
HIVES = Field("hives", "Hives", help="marks, comma between; empty: all condemned hives")
FIRST = Field("first", "First day", "day", "empty: start of the risk window")
LAST = Field("last", "Last day", "day", "empty: today")
DAY = Field("day", "Day", "day", "empty: today")
PROFILES = tuple((name, name) for name in profile_ids())


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
        *FIRE_QUESTIONS,
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
        *FATE_QUESTIONS,
    )
}  # fmt: skip
