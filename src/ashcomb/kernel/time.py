"""Days that may be uncertain, and civil time. Nothing here reads a clock.

A `Span` is an interval of days in which something happened on one day: 20 August 2030, or "June or July".
A known day may carry a clock time. Text form is ISO 8601: 2030-08-20, 2030-08-20T14:30, 2030-06-01/2030-07-31.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from ashcomb.kernel.errors import UserError

EPOCH = date(1970, 1, 1)
_ISO = re.compile(r"^(\d{4}-\d{2}-\d{2})(?:T(\d{2}:\d{2}))?(?:/(\d{4}-\d{2}-\d{2}))?$")


@dataclass(frozen=True, slots=True)
class Span:
    """The day on which something happened, known to lie from `first` to `last`, both included.

    minute: minutes after local midnight (0 to 1439) when day and hour are known, else None.
    """

    first: date
    last: date
    minute: int | None = None

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError(f"a span cannot end ({self.last}) before it begins ({self.first})")
        if self.minute is not None and (self.first != self.last or not 0 <= self.minute < 1440):
            raise ValueError("an hour belongs to one known day and lies from 00:00 to 23:59")

    @classmethod
    def day(cls, day: date, at: time | None = None) -> Span:
        """One known day, with its clock time if known."""
        return cls(day, day, None if at is None else at.hour * 60 + at.minute)

    @classmethod
    def parse(cls, text: str) -> Span:
        """The span of an ISO 8601 day, minute or interval of days; raises UserError for anything else."""
        found = _ISO.match(text.strip())
        if not found or (found[2] and found[3]):
            raise UserError(f"“{text}” is not a date.", "Write 2031-05-06, 2031-05-06T22:07 or 2031-06-01/2031-07-31.")
        try:
            first = date.fromisoformat(found[1])
            last = date.fromisoformat(found[3]) if found[3] else first
            at = time.fromisoformat(found[2]) if found[2] else None
            return cls(first, last, None if at is None else at.hour * 60 + at.minute)
        except ValueError as error:
            raise UserError(f"“{text}” is not a date: {error}.", "Check day and order.") from None

    @property
    def key(self) -> tuple[date, int, date]:
        """For sorting: first day, minute (an unknown hour first), last day."""
        return self.first, -1 if self.minute is None else self.minute, self.last

    def __lt__(self, other: Span) -> bool:
        return self.key < other.key

    @property
    def certain(self) -> bool:
        """Whether the day is known."""
        return self.first == self.last

    @property
    def clock(self) -> str:
        """The clock time as HH:MM, or '' when unknown."""
        return "" if self.minute is None else f"{self.minute // 60:02d}:{self.minute % 60:02d}"

    def __str__(self) -> str:
        if not self.certain:
            return f"{self.first}/{self.last}"
        return f"{self.first}T{self.clock}" if self.minute is not None else str(self.first)

    def words(self) -> str:
        """For people: '20 Aug 2030', '20 Aug 2030 14:30' or '1 Jun to 31 Jul 2030'."""
        if not self.certain:
            return f"{day_words(self.first)} to {day_words(self.last)}"
        return f"{day_words(self.first)} {self.clock}".strip()


def day_number(day: date) -> int:
    """Days since 1 January 1970."""
    return (day - EPOCH).days


def day_from_number(number: int) -> date:
    """The day that lies `number` days after 1 January 1970."""
    return EPOCH + timedelta(days=number)


def day_words(day: date) -> str:
    """'Tue 6 May 2031' – weekday first, because people check dates by the weekday."""
    return f"{day:%a} {day.day} {day:%b %Y}"


def moment_words(moment: datetime) -> str:
    """'Tue 6 May 2031 10:40' in the moment's own zone."""
    return f"{day_words(moment.date())} {moment:%H:%M}"


def zone_words(name: str) -> str:
    """A time zone for people: 'Etc/GMT-5' becomes 'UTC+05:00', because its sign reads the wrong way."""
    return f"UTC{datetime(2000, 1, 1, tzinfo=zone(name)).isoformat()[-6:]}" if name.startswith("Etc/") else name


def zone(name: str) -> ZoneInfo:
    """The IANA time zone of that name; raises UserError for an unknown one."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise UserError(f"“{name}” is not a time zone.", "Use an IANA name such as Europe/Berlin.") from None


def utc_ms(moment: datetime) -> int:
    """Whole milliseconds since 1970 of an aware moment; raises ValueError for a naive one."""
    if moment.tzinfo is None:
        raise ValueError("a moment needs a time zone")
    return round(moment.timestamp() * 1000)


def from_utc_ms(ms: int) -> datetime:
    """The UTC moment of that many milliseconds since 1970."""
    return datetime.fromtimestamp(ms / 1000, UTC)


def add_months(day: date, months: int) -> date:
    """The same day of the month, `months` later; clamped to the month's last day (31 Jan + 1 month = 28 or 29 Feb)."""
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    month += 1
    end = (date(year + (month == 12), month % 12 + 1, 1) - timedelta(days=1)).day
    return date(year, month, min(day.day, end))
