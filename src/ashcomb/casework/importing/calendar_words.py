"""Names of months, weekdays and seasons in English and German, with their usual short forms."""

from __future__ import annotations

_MONTHS = (
    "january jan januar jänner", "february feb februar", "march mar märz mrz", "april apr", "may mai",
    "june jun juni", "july jul juli", "august aug", "september sep sept", "october oct oktober okt",
    "november nov", "december dec dezember dez",
)  # fmt: skip
_WEEKDAYS = (
    "monday mon montag mo", "tuesday tue tues dienstag di", "wednesday wed mittwoch mi",
    "thursday thu thur thurs donnerstag do",
    "friday fri freitag fr", "saturday sat samstag sa", "sunday sun sonntag so",
)  # fmt: skip

MONTHS: dict[str, int] = {word: number for number, words in enumerate(_MONTHS, 1) for word in words.split()}
WEEKDAYS: dict[str, int] = {word: number for number, words in enumerate(_WEEKDAYS) for word in words.split()}
# First month of each season of three whole months in the northern hemisphere; the southern lies six months off.
SEASONS: dict[str, int] = {"spring": 3, "summer": 6, "autumn": 9, "fall": 9, "winter": 12,
                           "frühling": 3, "frühjahr": 3, "sommer": 6, "herbst": 9}  # fmt: skip
