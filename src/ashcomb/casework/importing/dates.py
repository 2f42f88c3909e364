"""Days as people write them, read into a span of days; nothing that can mean two days is guessed."""

from __future__ import annotations

import re
import unicodedata
from datetime import date, time, timedelta

from ashcomb.casework.importing.calendar_words import MONTHS, WEEKDAYS
from ashcomb.casework.importing.periods import HOW, day_of, part_of_month, season, whole_month, whole_year
from ashcomb.casework.importing.result import UnreadableError
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.sources.library import value

_WORD = r"[^\W\d_]+\.?"
_WEEKDAY = re.compile(rf"^({_WORD}),?\s+(?=\d|{_WORD}\s+\d)")
_CLOCK = re.compile(
    r"(?:\s*,\s*|\s+|(?<=\d)t)(?:(?:at|um)\s+)?(\d{1,2})(?:[:h](\d{2})(?::\d{2}(?:\.\d+)?)?)?\s*(am|pm|uhr|h)?$"
)
_ABOUT = re.compile(r"^(?:about|around|approx\.?|approximately|circa|ca\.?|c\.|~|≈|roughly|etwa|um)\s*")
_ISO = re.compile(r"^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$")
_DOTS = re.compile(r"^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})$")
SLASHES = re.compile(r"(?<![\d/-])(\d{1,2})([/-])(\d{1,2})\2(\d{4})(?![\d/-])")
_DAY_WORD = re.compile(rf"^(\d{{1,2}})(?:st|nd|rd|th)?\.?[\s-]*(?:of\s+)?({_WORD})[\s,-]*(\d{{4}})$")
_WORD_DAY = re.compile(rf"^({_WORD})[\s-]*(\d{{1,2}})(?:st|nd|rd|th)?(?:\s*,\s*|\s+)(\d{{4}})$")
_RANGE = re.compile(r"\s+(?:to|until|till|or|and|bis|oder)\s+|\s*[–—]\s*|\s+-\s+|(?<=[^\W\d])\s?[/-]\s?(?=[^\W\d])"
                    r"|(?:(?<=^\d)|(?<=^\d\d))-(?=\d{1,2}\.?\s+[^\W\d])")  # fmt: skip
_SHORT_YEAR = re.compile(r"^\d{1,2}([./-])\s?\d{1,2}\1\s?'?\d{2}$|[a-z]\.?[\s-]*'?\d{2}$")
_NO_YEAR = re.compile(rf"^(?:\d{{1,2}}\.?\s?{_WORD}|{_WORD}\s?\d{{1,2}}|{_WORD}|\d{{1,2}}[./]\d{{1,2}}\.?)$")


def read_days(text: str, order: str = "", southern: bool = False) -> Span:
    """The span of days that a text names, with the hour if it gives one.

    order: 'day first' or 'month first' settles 5/6/2030; without it such a day is refused.  southern: whether the
    seasons are those of the southern hemisphere.  About D is D ± 7 days; early, mid, late are days 1–10, 11–20, 21–end;
    a season is three whole months (meteorological).  Raises UnreadableError saying what is wrong.
    """
    clean = re.sub(r"\s+", " ", unicodedata.normalize("NFKC", text)).strip().casefold()
    try:
        return Span.parse(clean.upper())
    except UserError:
        pass
    about = _ABOUT.match(clean)
    body, at = _split_clock(clean[about.end() :] if about else clean, text)
    span = _read(body, text, order, southern)
    if at is not None:
        if about or not span.certain:
            raise UnreadableError(
                f"“{text}” gives an hour, but no one known day.", "Leave out the hour, or give the day."
            )
        return Span.day(span.first, at)
    if about:
        margin = timedelta(days=value("importing.about_days").value)
        return Span(span.first - margin, span.last + margin)
    return span


def _split_clock(body: str, text: str) -> tuple[str, time | None]:
    found = _CLOCK.search(body)
    if not found or (found[2] is None and found[3] is None):
        return body, None
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3] in ("am", "pm"):
        if not 1 <= hour <= 12:
            raise UnreadableError(f"“{text}” has no such hour.", "Write the hour like 22:07.")
        hour = hour % 12 + (12 if found[3] == "pm" else 0)
    if hour > 23 or minute > 59:
        raise UnreadableError(f"“{text}” has no such hour.", "Write the hour like 22:07, from 00:00 to 23:59.")
    return body[: found.start()], time(hour, minute)


def _read(body: str, text: str, order: str, southern: bool) -> Span:
    single = _single(body, text, order, southern)
    if single is not None:
        return single
    words = re.sub(r"^(?:between|from|von|zwischen)\s+", "", body)
    parts = _RANGE.split(words)
    if len(parts) == 2 and all(parts):
        return _interval(parts[0], parts[1], text, order, southern)
    if _SHORT_YEAR.search(body):
        raise UnreadableError(f"“{text}” has a year of two digits.", "Write the year with four digits.")
    if _NO_YEAR.match(body):
        raise UnreadableError(f"“{text}” has no year.", "Write the year with it.")
    raise UnreadableError(f"“{text}” is not a date.", HOW)


def _interval(left: str, right: str, text: str, order: str, southern: bool) -> Span:
    """'June or July 2030', '20 to 25 Aug 2030': what the left side lacks, it takes from the right side."""
    end = _single(right, text, order, southern)
    if end is None:
        raise UnreadableError(f"“{text}” is not a date.", HOW)
    tails = ["", *(f" {right[m.start() :].strip()}" for m in reversed(list(re.finditer(r"(?<!\S)\S", right))))]
    for tail in tails:
        start = _single(left + tail, text, order, southern)
        if start is not None:
            if end.last < start.first:
                raise UnreadableError(f"“{text}” ends before it begins.", "Write the year on both sides.")
            return Span(start.first, end.last)
    raise UnreadableError(f"“{text}” is not a date.", HOW)


def _single(body: str, text: str, order: str, southern: bool) -> Span | None:
    """One day, month, part of a month, season or year; None if it is none of these."""
    weekday = _WEEKDAY.match(body)
    if weekday and weekday[1].rstrip(".") in WEEKDAYS:
        span = _single(body[weekday.end() :], text, order, southern)
        if span and span.certain and span.first.weekday() != WEEKDAYS[weekday[1].rstrip(".")]:
            raise UnreadableError(f"“{text}”: that day is a {span.first:%A}.", "Check day and weekday.")
        return span
    found = _day(body, text, order)
    if found is not None:
        return Span.day(found)
    return (
        whole_month(body, text) or part_of_month(body, text) or season(body, text, southern) or whole_year(body, text)
    )


def _day(body: str, text: str, order: str) -> date | None:
    if found := _ISO.match(body):
        return day_of(int(found[1]), int(found[2]), int(found[3]), text)
    if found := _DOTS.match(body):
        return day_of(int(found[3]), int(found[2]), int(found[1]), text)
    if found := SLASHES.fullmatch(body):
        return _ordered(int(found[1]), int(found[3]), int(found[4]), text, order)
    if (found := _DAY_WORD.match(body)) and (month := MONTHS.get(found[2].rstrip("."))):
        return day_of(int(found[3]), month, int(found[1]), text)
    if (found := _WORD_DAY.match(body)) and (month := MONTHS.get(found[1].rstrip("."))):
        return day_of(int(found[3]), month, int(found[2]), text)
    return None


def _ordered(one: int, two: int, year: int, text: str, order: str) -> date:
    """A day written with slashes: the order is clear where one number exceeds 12 or both are equal."""
    clear = "day first" if one > 12 else "month first" if two > 12 else order or ("day first" if one == two else "")
    if not clear:
        raise UnreadableError(
            f"ambiguous: “{text}” is {one} of month {two} or {two} of month {one}; the column does not show which.",
            "Say dates = \"day first\" or dates = \"month first\" for this sheet in the mapping.",
        )  # fmt: skip
    if order and clear != order and one != two and max(one, two) <= 31:
        raise UnreadableError(
            f"“{text}” does not fit the mapping, which says {order}.", "Correct the date or the mapping."
        )
    day, month = (one, two) if clear == "day first" else (two, one)
    return day_of(year, month, day, text)
