"""Scales that carry numbers to places on a drawing, and where their ticks stand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import ceil, floor, log10


@dataclass(frozen=True, slots=True)
class Scale:
    """Carries numbers from `low` to `high` onto `start` to `end` of the drawing; log: by their logarithm."""

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def __call__(self, value: float) -> float:
        """The place of a value; on a log scale everything below `low` stands at its start."""
        if self.log:
            share = (log10(max(value, self.low)) - log10(self.low)) / (log10(self.high) - log10(self.low))
        else:
            share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def ticks(self, most: int = 6) -> tuple[float, ...]:
        """Round numbers on the scale, at most about `most`; on a log scale the powers of ten."""
        if self.log:
            powers = range(ceil(log10(self.low) - 1e-9), floor(log10(self.high) + 1e-9) + 1)
            return tuple(10.0**power for power in powers)
        step = round_step((self.high - self.low) / most)
        first = ceil(self.low / step - 1e-9)
        return tuple(n * step for n in range(first, floor(self.high / step + 1e-9) + 1))


def round_step(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is not below `least` (above 0)."""
    power = 10.0 ** floor(log10(least))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= least * (1 - 1e-9))


def round_length(most: float) -> float:
    """The largest of 1, 2, 5 times a power of ten that is not above `most` (above 0): for scale bars."""
    power = 10.0 ** floor(log10(most))
    return next(step * power for step in (5, 2, 1) if step * power <= most * (1 + 1e-9))


@dataclass(frozen=True, slots=True)
class Clock:
    """Carries aware moments onto a drawing, in time as it passes."""

    begins: datetime
    ends: datetime
    start: float
    end: float

    def __call__(self, moment: datetime) -> float:
        """The place of a moment, not beyond the ends."""
        whole = (self.ends.astimezone(UTC) - self.begins.astimezone(UTC)).total_seconds()
        gone = (moment.astimezone(UTC) - self.begins.astimezone(UTC)).total_seconds()
        return self.start + min(max(gone / whole, 0.0), 1.0) * (self.end - self.start)

    def ticks(self, most: int = 10) -> tuple[datetime, ...]:
        """Round minutes of the local clock, at most about `most`."""
        minutes = (self.ends - self.begins) / timedelta(minutes=1)
        step = next((m for m in (5, 10, 15, 30, 60, 120, 180) if minutes / m <= most), 240)
        midnight = self.begins.replace(hour=0, minute=0, second=0, microsecond=0)
        first = ceil((self.begins - midnight) / timedelta(minutes=step))
        last = floor((self.ends - midnight) / timedelta(minutes=step))
        return tuple(midnight + timedelta(minutes=step * n) for n in range(first, last + 1))
