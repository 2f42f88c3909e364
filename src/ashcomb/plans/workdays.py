"""The working calendar of a profile: rest days, public holidays, and counting in working days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import holidays

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True)
class Calendar:
    """Which days rest. rest_days: weekdays, Monday is 0.  region: of the public holidays, or ''.  own: further days."""

    rest_days: tuple[int, ...]
    region: str
    own: frozenset[date]

    def rest(self, day: date) -> str:
        """Why that day is no working day, in words, or '' if it is one; raises UserError for an unknown region."""
        if day in self.own:
            return "rest day of the profile"
        holiday = _public(self.region, day.year).get(day, "") if self.region else ""
        if holiday:
            return holiday
        return f"{day:%A}" if day.weekday() in self.rest_days else ""

    def count(self, start: date, number: int) -> tuple[date, tuple[str, ...]]:
        """The `number`-th working day after `start`, which is day 0, and the weekdays that were skipped as holidays.

        number: 0 or more; 0 gives `start` itself.  A holiday on a day that rests anyway is not named.
        """
        day, skipped = start, []
        while number > 0:
            day += timedelta(days=1)
            why = self.rest(day)
            number -= not why
            if why and day.weekday() not in self.rest_days:
                skipped.append(f"{day_words(day)} ({why})")
        return day, tuple(skipped)

    def slide(self, day: date) -> date:
        """That day, or the next working day if it rests."""
        return self.count(day, 1)[0] if self.rest(day) else day


def calendar_of(profile: CodeProfile) -> Calendar:
    """The working calendar of a profile; raises UserError when the region of its holidays is not known."""
    calendar = Calendar(
        profile.rest_days, profile.holiday_region, frozenset(date.fromisoformat(day) for day in profile.holidays)
    )
    calendar.rest(date(2000, 1, 1))
    return calendar


@cache
def _public(region: str, year: int) -> dict[date, str]:
    country, _, part = region.partition("-")
    try:
        return dict(holidays.country_holidays(country, subdiv=part or None, years=year))
    except NotImplementedError:
        raise UserError(
            f"No list of public holidays is known for the region “{region}”.",
            "Correct holiday_region in the profile (NZ, US-CA …), or leave it empty and list the days under holidays.",
        ) from None
