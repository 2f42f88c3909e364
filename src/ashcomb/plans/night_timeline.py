"""Who does what when in one night: one crew's steps, hive by hive, with clock times.

A team seals all its hives, pours all, waits from its last pour, listens to all, tops up the share that is still heard,
waits again and listens to those only. The slowest team decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import pairwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Minutes of each step for one hive, and the share of hives (0 to 1) that is expected to need a second dose."""

    seal: Fraction
    pour: Fraction
    wait: Fraction
    listen: Fraction
    topup: Fraction
    share: Fraction

    def topups(self, hives: int) -> int:
        """Hives of one team that are expected to need a second dose, rounded up."""
        return math.ceil(hives * self.share)

    def minutes(self, hives: int) -> Fraction:
        """Minutes that one team needs for so many hives; 0 for none."""
        if not hives:
            return Fraction(0)
        again = self.topups(hives)
        second = again * (self.topup + self.listen) + self.wait if again else Fraction(0)
        return hives * (self.seal + self.pour + self.listen) + self.wait + second


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One hive in the night. sealed, poured: when it is done.  may_listen: not before.  listen: its planned turn."""

    hive: str
    seal_from: datetime
    sealed: datetime
    pour_from: datetime
    poured: datetime
    may_listen: datetime
    listen: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class TopUp:
    """Time kept for a second dose to one hive that is still heard; which one is known only at the hive."""

    pour_from: datetime
    poured: datetime
    may_listen: datetime
    listen: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamNight:
    """The night of one team. finish: when its last listening ends."""

    team: int
    minutes: Fraction
    rows: tuple[Row, ...]
    topups: tuple[TopUp, ...]
    finish: datetime


def shared_out(hives: Sequence[str], teams: int) -> tuple[tuple[str, ...], ...]:
    """The hives in their order, in `teams` runs of neighbours whose sizes differ by one at most; no team is empty."""
    used = min(max(teams, 1), len(hives)) or 1
    small, larger = divmod(len(hives), used)
    ends = [0]
    for team in range(used):
        ends.append(ends[-1] + small + (team < larger))
    return tuple(tuple(hives[a:b]) for a, b in pairwise(ends))


def crew_minutes(hives: int, teams: int, pace: Pace) -> Fraction:
    """Minutes of the slowest of `teams` teams that share so many hives."""
    return pace.minutes(-(-hives // max(teams, 1)))


def team_night(team: int, hives: Sequence[str], start: datetime, pace: Pace) -> TeamNight:
    """Every step of one team with its clock times, from `start` (an aware moment) on."""
    count, again = len(hives), pace.topups(len(hives))
    pour = count * pace.seal
    listen = pour + count * pace.pour + pace.wait
    second = listen + count * pace.listen
    last = second + again * pace.topup + pace.wait
    rows = tuple(
        Row(
            hive=hive,
            seal_from=later(start, n * pace.seal),
            sealed=later(start, (n + 1) * pace.seal),
            pour_from=later(start, pour + n * pace.pour),
            poured=later(start, pour + (n + 1) * pace.pour),
            may_listen=later(start, pour + (n + 1) * pace.pour + pace.wait),
            listen=later(start, listen + n * pace.listen),
        )
        for n, hive in enumerate(hives)
    )
    topups = tuple(
        TopUp(
            pour_from=later(start, second + n * pace.topup),
            poured=later(start, second + (n + 1) * pace.topup),
            may_listen=later(start, second + (n + 1) * pace.topup + pace.wait),
            listen=later(start, last + n * pace.listen),
        )
        for n in range(again)
    )
    minutes = pace.minutes(count)
    return TeamNight(team=team, minutes=minutes, rows=rows, topups=topups, finish=later(start, minutes))


def later(moment: datetime, minutes: Fraction | float) -> datetime:
    """So many minutes later as they pass, in the moment's own zone, across any change of the clocks."""
    return (moment.astimezone(UTC) + timedelta(minutes=float(minutes))).astimezone(moment.tzinfo)
