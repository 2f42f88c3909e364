"""What reaches the officer: moves and contacts lost, misdated or known by month, looks of keepers partly noted."""

from __future__ import annotations

import numpy as np
from verification.field_trial.contacts import Contacts
from verification.field_trial.laws import Assumptions, between
from verification.field_trial.region import Region

from ashcomb.outbreak.scene import FOREVER, Event, Look, Stay

MONTH = 30


def true_stays(place: Region) -> list[Stay]:
    """Where every colony stood."""
    return [stay for j in range(len(place.first)) for stay in _stays(place, j, set())]


def noted_stays(rng: np.random.Generator, place: Region, trial: Assumptions, now: float) -> list[Stay]:
    """Stays without the moves that nobody noted; where a hive stands now is seen, and holds since its last."""
    share = between(rng, trial.lost_moves)
    lost = {trip for trip in range(place.trips) if rng.random() < share}
    stays = []
    for j in range(len(place.first)):
        kept = _stays(place, j, lost)
        kept = [stay for stay in kept if stay.first <= now]
        if kept:
            kept[-1] = kept[-1]._replace(place=place.place(j, now), last=FOREVER)
        stays += kept
    return stays


def _stays(place: Region, colony: int, lost: set[int]) -> list[Stay]:
    moves = [move for move in sorted(place.moves[colony], key=lambda m: m.day) if move.trip not in lost]
    ends = [*(float(move.day) for move in moves[1:]), FOREVER]
    return [Stay(colony, m.place, m.day, end) for m, end in zip(moves, ends, strict=True) if end > m.day]


def noted_contacts(rng: np.random.Generator, made: Contacts, trial: Assumptions, now: float) -> list[Event]:
    """The complete record without what is lost, some of it with wrong dates or only the month; none after now."""
    lost = between(rng, trial.lost)
    found = []
    for event in made.noted:
        at = event.earliest
        if at < now and rng.random() >= lost:
            if rng.random() < trial.misdated:
                event = _shifted(event, np.floor(between(rng, trial.wrong_days)) * rng.choice([-1.0, 1.0]))
            elif rng.random() < trial.by_month:
                begins = np.floor(at / MONTH) * MONTH
                event = event._replace(earliest=begins, latest=begins + MONTH)
            found.append(event)
    return [_before(event, now) for event in found]


def _shifted(event: Event, days: float) -> Event:
    gives = [(donor, share, None if time is None else time + days) for donor, share, time in event.gives]
    return event._replace(earliest=event.earliest + days, latest=event.latest + days, gives=gives)


def _before(event: Event, now: float) -> Event:
    """No date of the record lies after today."""
    last = now - 0.5
    gives = [(donor, share, None if time is None else min(time, last)) for donor, share, time in event.gives]
    return event._replace(earliest=min(event.earliest, last), latest=min(event.latest, last), gives=gives)


def within_life(event: Event, place: Region) -> Event:
    """Clips the dates to the life of a single receiver, so that a wrong day does not lose the contact."""
    if len(event.takes) != 1:
        return event
    j = event.takes[0]
    first, last = place.first[j] + 0.5, min(place.dead[j], place.gone[j]) - 0.5
    return event._replace(earliest=min(max(event.earliest, first), last), latest=min(max(event.latest, first), last))


def looks_of_keepers(rng: np.random.Generator, place: Region, trial: Assumptions, worth: float) -> list[Look]:
    """Every look of every keeper at every hive opened, in order of time; findings not yet drawn."""
    found = []
    for keeper in range(len(place.firm)):
        every = between(rng, trial.look_every)
        for here in np.flatnonzero(place.owner == keeper):
            for begins, ends in trial.seasons:
                day = begins + rng.uniform(5, every)
                while day < ends:
                    at = np.floor(day) + 0.75
                    opened = [j for j in place.at(int(here), np.floor(day)) if rng.random() < trial.looked_at]
                    found += [Look(j, at, worth, 0.0, False) for j in opened]
                    day += every * rng.uniform(0.7, 1.3)
    return sorted(found, key=lambda look: look.time)


def noted_looks(
    rng: np.random.Generator, place: Region, looks: list[Look], trial: Assumptions, worth: float, alike: float
) -> list[Look]:
    """The looks that were noted, by visit: some have no record at all. worth, alike: what the engine makes of them."""
    lost = between(rng, trial.lost_looks)
    gone: dict[tuple[int, float], bool] = {}
    kept = []
    for look in looks:
        visit = (int(place.grid[look.colony, int(look.time)]), look.time)
        if visit not in gone:
            gone[visit] = bool(rng.random() < lost)
        if not gone[visit]:
            kept.append(look._replace(worth=worth, alike=alike))
    return kept
