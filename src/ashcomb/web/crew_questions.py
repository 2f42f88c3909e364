"""The pages about the work of crews, follow-up rounds and the proof of freedom."""

from __future__ import annotations

from ashcomb.web import crew_replies as replies
from ashcomb.web.asked import Field
from ashcomb.web.question import Question

LEVEL = Field("level", "Level", "choice", default="apiary",
              options=(("apiary", "apiary"), ("firm", "firm"), ("zone", "zone"), ("hive", "hive by hive")))  # fmt: skip
MARK = Field("mark", "Apiary or keeper", help="empty: the index apiary, or its keeper", marks="apiary")
COMING = Field("introduction", "New introductions", "number", "chance a year for one hive; empty: the program's")
MOVING = Field("moving", "Things move in and out again", "flag")
FROM = Field("first", "First day", "day", "empty: tomorrow, or today for the calendar")
METHODS = (("look", "look at the brood"), ("culture", "culture of bees"), ("pcr", "PCR of bees"),
           ("debris", "PCR of debris"), ("honey", "culture of honey"), ("dog", "dog"),
           ("kit", "field kit after a look"), ("milk", "milk test after a look"))  # fmt: skip
EVERY = Field("every_day", "Rest days are worked too", "flag")

CREW_QUESTIONS: tuple[Question, ...] = (
    Question(
        "methods", "Methods", "What each way of looking and testing finds, and how many hives it needs.",
        replies.methods,
        (Field("apiary", "Apiary", help="empty: the index apiary", marks="apiary"),
         Field("hives", "Hives", "whole", "empty: those of the apiary"),
         Field("infected", "Infected hives that must not be missed", "whole", default="1"),
         Field("visible", "Share of infected hives that show signs", "number", default="1"),
         Field("pool", "Hives tested together", "whole", default="1")),
    ),
    Question(
        "survey", "Survey", "How large a survey must be: at random, in two stages, where the risk is first.",
        replies.survey,
        (Field("apiaries", "Apiaries", help="marks, comma between; empty: all"),
         Field("infected", "Infected apiaries that must not be missed", "whole", default="1"),
         Field("hives", "Infected hives in each", "whole", default="1"),
         Field("method", "Method", "choice", default="look", options=METHODS),
         Field("visible", "Share of infected hives that show signs", "number", default="1")),
    ),
    Question(
        "visits", "Visits", "In which order the crews look, and what each visit would settle. Takes up to a minute.",
        replies.visits,
        (FROM, Field("days", "Working days", "whole", default="5"),
         Field("apiaries", "Apiaries", help="marks, comma between; empty: all"), EVERY),
        waits=True,
    ),
    Question(
        "calendar", "Calendar", "Nights, pits, fires, store and plant in one calendar. Takes some seconds.",
        replies.calendar,
        (FROM, Field("days", "Days", "whole", default="7"), Field("teams", "Teams at night", "whole", default="1"),
         Field("store", "Into the hold store, no fire", "flag"),
         Field("split", "Nights", help="hives of each night, like A07=7+7; empty: one night"),
         Field("off", "Who is off", help="like JP=2031-05-16, comma between"),
         Field("no_fire", "No fire on", help="days like 2031-05-16, comma between"),
         Field("plant", "Irradiation plant"),
         Field("slots", "Hours at the plant", help="like 2031-05-20T10:00, comma between"), EVERY),
        waits=True,
    ),
    Question(
        "rounds", "Rounds", "When to look again and how often, so that the proof reaches its target.", replies.rounds,
        (LEVEL, MARK, Field("new_case", "Imagine a new case on", "day"), COMING, MOVING),
    ),
    Question(
        "proof", "Proof", "How sure everything so far makes us, and what would raise it.", replies.proof,
        (LEVEL, MARK, COMING, MOVING), draws=replies.freedom_curve,
    ),
)  # fmt: skip
