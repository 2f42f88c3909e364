"""The pages about the fate of every piece, from the decision to the claim."""

from __future__ import annotations

from ashcomb.web import fate_replies as replies
from ashcomb.web.asked import Field
from ashcomb.web.question import Question

AGENT = Field(
    "agent",
    "Agent",
    help="that the plan reckons with; empty: the worst for combs, petrol, where the rules allow it. Chooses none",
)
DAY = Field("day", "Day", "day", "empty: today")
HIVES = Field("hives", "Hives", help="marks, comma between; empty: all condemned hives")

FATE_QUESTIONS: tuple[Question, ...] = (
    Question(
        "fate", "Fates", "What becomes of every piece: cheapest within the rules, why, and what else it could be.",
        replies.fate,
        (HIVES, AGENT, Field("leave", "Ways with leave", help="for which the officer gave leave, comma between"),
         Field("room", "Room in the hold store, boxes", "whole"), Field("labour", "Hours of work there are", "number"),
         Field("risk", "New cases to be expected at most", "number"),
         Field("pallets", "Pallets that the plant has slots for", "whole"),
         Field("more", "Also the next best, all burned, all irradiated, uncertain prices", "flag"),
         Field("every", "List every lot", "flag")),
        waits=True,
    ),
    Question("prepare", "Before the kill", "What must leave its hive before the kill, and by when.", replies.prepare,
             (AGENT, Field("day", "Day of the night", "day", "empty: the newest duty night"))),
    Question(
        "consign", "Consignment", "Units, pallets and hands of a consignment to an irradiation plant.",
        replies.consign,
        (Field("mark", "Number of the consignment"), AGENT,
         Field("singles", "The plant takes single boxes only", "flag")),
        waits=True,
    ),
    Question("holdstore", "Hold store", "What lies in the hold store, looks that are due, stock-take against the book.",
             replies.holdstore, (DAY,)),
    Question("claim", "Claim", "What was destroyed, valued by the price list of the day.", replies.claim,
             (HIVES, Field("scheme", "Scheme", help="empty: that of the insurance, else own prices"), DAY)),
)  # fmt: skip
