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
class Hours:
    """The hours of the planned fire, and now; aware moments in the zone of the place."""

    now: datetime
    begins: datetime
    ends: datetime
