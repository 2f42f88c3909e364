"""The clock and the source of randomness of this machine: handed down from here, read nowhere else."""

from __future__ import annotations

import secrets
import socket
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from ashcomb.kernel.ids import uuid7


@dataclass(frozen=True, slots=True)
class Hand:
    """Who writes, on what device, with which clock and randomness.

    now_ms: UTC milliseconds.  random_bytes: n -> n bytes nobody can foresee.
    """

    by: str
    device: str
    now_ms: Callable[[], int]
    random_bytes: Callable[[int], bytes] = secrets.token_bytes

    def new_id(self) -> str:
        """A new record id."""
        return uuid7(self.now_ms(), self.random_bytes(10))

    def salt(self) -> str:
        """A new salt for a personal value: 128 random bits as hexadecimal."""
        return self.random_bytes(16).hex()

    def now(self, zone: ZoneInfo) -> datetime:
        """The present moment in a time zone."""
        return datetime.fromtimestamp(self.now_ms() / 1000, UTC).astimezone(zone)


def this_hand(by: str) -> Hand:
    """The hand of whoever sits at this machine."""
    return Hand(by, socket.gethostname(), lambda: time.time_ns() // 1_000_000)


def fixed_hand(by: str, moment: datetime, device: str = "demo") -> Hand:
    """A hand whose clock starts at `moment` and goes on by a millisecond a reading: for the demo."""
    count = iter(range(1 << 40))
    start = round(moment.timestamp() * 1000)
    return Hand(by, device, lambda: start + next(count))
