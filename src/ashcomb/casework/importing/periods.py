"""Days, months, parts of months, seasons and years: whether there is such a thing, and from when to when it lasts."""

from __future__ import annotations

import re
from datetime import date, timedelta

from ashcomb.casework.importing.calendar_words import MONTHS, SEASONS
from ashcomb.casework.importing.result import UnreadableError
from ashcomb.kernel.time import Span, add_months
from ashcomb.sources.library import value

FIRST_YEAR, LAST_YEAR = 1900, 2199
HOW = "Write it like 2030-08-20, 20 Aug 2030, June 2030 or “June or July 2030”."
_WORD = r"[^\W\d_]+\.?"
_MONTH = re.compile(rf"^(?:({_WORD})[\s,-]*|(\d{{1,2}})[/.])(\d{{4}})$")
_ISO_MONTH = re.compile(r"^(\d{4})-(\d{2})$")
_PART = re.compile(r"^(early|beginning of|start of|mid|middle of|late|end of)[\s-]+(.+)$")
_SEASON = re.compile(rf"^({_WORD})(?:\s+of)?\s+(\d{{4}})(?:\s?[/–-]\s?(\d{{4}}|\d{{2}}))?$")


def day_of(year: int, month: int, day: int, text: str) -> date:
    """The day of year, month and day, if there is such a day; raises UnreadableError saying what there is."""
    check_year(year, text)
    if not 1 <= month <= 12:
        raise UnreadableError(f"“{text}”: there is no month {month}.", HOW)
    last = last_day(year, month)
    if not 1 <= day <= last.day:
        raise UnreadableError(f"“{text}”: {last:%B %Y} has no day {day}; it has {last.day} days.", "Correct the day.")
    return date(year, month, day)


def check_year(year: int, text: str) -> None:
    """Refuses a year that nobody means."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise UnreadableError(f"“{text}” lies in the year {year}.", "Check the year.")


def last_day(year: int, month: int) -> date:
    """The last day of a month."""
    return add_months(date(year, month, 1), 1) - timedelta(days=1)


def whole_month(body: str, text: str) -> Span | None:
    """'June 2030', '06/2030' or '2030-06' as an interval; None if it is none."""
    if found := _ISO_MONTH.match(body):
        year, month = int(found[1]), int(found[2])
    elif found := _MONTH.match(body):
        year = int(found[3])
        month = int(found[2]) if found[2] else MONTHS.get(found[1].rstrip("."), 0)
        if found[1] and not month:
            return None
    else:
        return None
    return Span(day_of(year, month, 1, text), last_day(year, month))


def part_of_month(body: str, text: str) -> Span | None:
    """'Early June 2030' as an interval; None if it is none."""
    found = _PART.match(body)
    whole = whole_month(found[2], text) if found else None
    if not found or not whole:
        return None
    early, mid = (int(value(f"importing.{name}_last_day").value) for name in ("early", "mid"))
    first = whole.first
    if found[1].startswith(("early", "beg", "start")):
        return Span(first, first.replace(day=early))
    if found[1].startswith("mid"):
        return Span(first.replace(day=early + 1), first.replace(day=mid))
    return Span(first.replace(day=mid + 1), whole.last)


def season(body: str, text: str, southern: bool) -> Span | None:
    """'Summer 2030' as three whole months; one that crosses the year's end needs both years. None if it is none."""
    found = _SEASON.match(body)
    start = SEASONS.get(found[1]) if found else None
    if not found or start is None:
        return None
    year = int(found[2])
    check_year(year, text)
    month = (start + 5) % 12 + 1 if southern else start
    second = (year // 100 * 100 + int(found[3]) if len(found[3]) == 2 else int(found[3])) if found[3] else None
    if (month == 12) != (second is not None) or (second is not None and second != year + 1):
        do = f"Write {found[1]} {year}/{(year + 1) % 100:02d}, or the months." if month == 12 else "Write one year."
        raise UnreadableError(f"ambiguous: “{text}” does not say in which year it lies.", do)
    begin = date(year, month, 1)
    return Span(begin, add_months(begin, 3) - timedelta(days=1))


def whole_year(body: str, text: str) -> Span | None:
    """'2030' as an interval; None if it is none."""
    if not re.fullmatch(r"\d{4}", body):
        return None
    check_year(int(body), text)
    return Span(date(int(body), 1, 1), date(int(body), 12, 31))
