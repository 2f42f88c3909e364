"""A reason against a fire, and the hours for which it is weighed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Level = Literal["no-go", "caution"]


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason against a fire (no-go) or for care (caution)."""

    level: Level
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Index:
    """One index of the weather of a fire. value: None where it cannot be worked out.  words: what it says or lacks."""

    name: str
    value: float | None
    words: str
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """The hours of the planned fire, and now; aware moments in the zone of the place. by_day: the sun is up in all."""

    now: datetime
    begins: datetime
    ends: datetime
    by_day: bool = True
