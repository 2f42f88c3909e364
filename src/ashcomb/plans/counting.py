"""How a clock of a profile is counted from its start event to a day or an hour."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from ashcomb.kernel.time import Span, add_months, day_words, moment_words
from ashcomb.plans.workdays import Calendar
from ashcomb.sources.profile import ClockRule

PASSING = {"minutes": timedelta(minutes=1), "hours": timedelta(hours=1)}
CIVIL = {"days": 1, "weeks": 7}


@dataclass(frozen=True, slots=True)
class Moment:
    """Where a count ends. day: the civil day.  at: the aware moment; for a whole day that is a limit, its close.

    whole: the day counts as a whole.  skipped: holidays left out of the count, in words.  slid: moved off a rest day.
    """

    day: date
    at: datetime
    whole: bool
    skipped: tuple[str, ...] = ()
    slid: bool = False

    def limit(self) -> str:
        """'end of Tue 13 May 2031' or 'Mon 19 May 2031 15:00', as the last moment."""
        ends_at_night = self.whole and self.at.date() > self.day
        return f"end of {day_words(self.day)}" if ends_at_night else moment_words(self.at)

    def start(self) -> str:
        """'Tue 15 Jul 2031' or 'Mon 19 May 2031 15:00', as the first moment."""
        return day_words(self.day) if self.whole else moment_words(self.at)


@dataclass(frozen=True, slots=True)
class Counter:
    """Counts in one place. closes: when its working day ends, 17:00 or 24:00."""

    calendar: Calendar
    place: ZoneInfo
    closes: str = "24:00"

    def limit(self, rule: ClockRule, amount: int, event: Span) -> Moment:
        """The last moment, `amount` units of the rule after the event; an uncertain day counts from its first."""
        return self._count(rule, amount, event.first, event.minute, 0, last=True)

    def start(self, rule: ClockRule, amount: int, event: Span) -> Moment:
        """The first moment, `amount` units of the rule after the event; an uncertain day counts from its last."""
        return self._count(rule, amount, event.last, event.minute, 1440, last=False)

    def _count(self, rule: ClockRule, amount: int, day: date, minute: int | None, blank: int, last: bool) -> Moment:
        if rule.unit in PASSING:
            begin = self._at(day, blank if minute is None else minute)
            at = (begin.astimezone(UTC) + amount * PASSING[rule.unit]).astimezone(self.place)
            return self._slide(rule, Moment(at.date(), at, whole=False), last)
        if rule.unit in CIVIL and minute is not None:
            end = day + timedelta(days=amount * CIVIL[rule.unit])
            return self._slide(rule, Moment(end, self._at(end, minute), whole=False), last)
        if rule.unit == "working days":
            end, skipped = self.calendar.count(day, amount)
            return self._whole(end, last, self.closes, skipped)
        end = add_months(day, amount) if rule.unit == "months" else day + timedelta(days=amount * CIVIL[rule.unit])
        return self._slide(rule, self._whole(end, last), last)

    def _slide(self, rule: ClockRule, moment: Moment, last: bool) -> Moment:
        free = self.calendar.slide(moment.day) if rule.slides else moment.day
        return moment if free == moment.day else self._whole(free, last, self.closes, slid=True)

    def _whole(
        self, day: date, last: bool, closes: str = "24:00", skipped: tuple[str, ...] = (), slid: bool = False
    ) -> Moment:
        minute = int(closes[:2]) * 60 + int(closes[3:]) if last else 0
        return Moment(day, self._at(day, minute), whole=True, skipped=skipped, slid=slid)

    def _at(self, day: date, minute: int) -> datetime:
        day, minute = day + timedelta(days=minute // 1440), minute % 1440
        return datetime.combine(day, time(minute // 60, minute % 60), self.place)
