"""One world of the trial: a true outbreak under other laws than the engine's, its first case, and what is on record.

Laws of the truth
- Rates: each drawn anew over its sourced range, even in its logarithm, the background at its lowest: infection comes
  from hives, and from one or two infected from outside in the first season. The engine knows none of that.
- Robbing falls as 1 / (1 + (d / range)^2) (the engine: exp(-d / range)), the range drawn from 0.5 to 2 km.
- Signs come by the lognormal law (the engine: gamma); broodless months differ from the engine's by up to a month; the
  share and times of remission are drawn over their ranges.
- Supers of a lot come back from places near each other in the stack (the engine: fully mixed). Tools carry it, and help
  among neighbours, without any record; recorded contacts are lost, misdated by up to three weeks, or known by month.
- Keepers notice signs with a chance that is drawn (of a full look, times of an unnoted one); the engine takes the
  sourced value of a look whose frames were not noted. Visits are partly not on record.
- The first look that notices signs is the first case; on that day the search begins, and time stands still.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from verification.field_trial import record
from verification.field_trial.contacts import Contacts, contacts
from verification.field_trial.laws import FITTED_LOOK, KIND, TRIAL, Assumptions, between, drawn_rates
from verification.field_trial.region import Region, region

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.observation import alike, onset_quantiles, remission, worth
from ashcomb.outbreak.pressure import exponential_fall, fat_tail_fall, near_apiaries
from ashcomb.outbreak.scene import FOREVER, Event, Floats, Ints, Look, Scene, Stay
from ashcomb.outbreak.season import brood_clock
from ashcomb.outbreak.simulate import Outbreak, Simulator
from ashcomb.sources.library import value

SECOND_OCTOBER = 570
CLOCK_DAYS = 5 * 366
FIRST_DAY = date(2023, 4, 1)


@dataclass(frozen=True)
class World:
    """One outbreak at the moment of its first case.

    now: time of the search.  index: the first case.  standing (n): apiary of each colony now, -1 if it lives no more.
    infected, signs (n): the truth now; signs beside the first case.  notice: true chance that the officer's look finds
    signs that are there.  told: the scene as on record.  full: with the true contacts, moves, dates and looks.
    lawful: full, with the true laws and the true worth of looks.  fitted: told, with the fat tail of robbing and the
    worth of a keeper's look as they are on average in such worlds.  theta: true rates.
    """

    seed: int
    now: float
    index: int
    xy: Floats
    owner: Ints
    standing: Ints
    infected: np.ndarray
    signs: np.ndarray
    notice: float
    told: Scene
    full: Scene
    lawful: Scene
    fitted: Scene
    theta: Floats


@dataclass
class _Laws:
    theta: Floats
    fall: object
    cutoff: float
    brood: Floats
    quantile: Floats
    remission: Floats
    notice: float
    keeper: float


def world(seed: int, trial: Assumptions = TRIAL, searched: bool = True) -> World:
    """The world of a seed. searched: only one with `fewest_signs` hives with visible signs beside the first case.

    Outbreaks without a first case, or with too few signs, are thrown away and drawn again from the same seed.
    """
    for ground in range(20):
        rng = np.random.Generator(np.random.Philox(np.random.SeedSequence(seed, spawn_key=(ground,))))
        place = region(rng, trial)
        made = contacts(rng, place, trial)
        stays = record.true_stays(place)
        for _ in range(30):
            found = _attempt(seed, rng, trial, (place, made, stays), trial.fewest_signs if searched else 0)
            if found is not None:
                return found
    raise RuntimeError(f"no outbreak of seed {seed}")


def _attempt(
    seed: int, rng: np.random.Generator, trial: Assumptions, ground: tuple[Region, Contacts, list[Stay]], fewest: int
) -> World | None:
    place, made, stays = ground
    laws = _laws(rng, trial)
    near = near_apiaries(place.xy, laws.cutoff, laws.fall)
    events = made.true + _introductions(rng, place, trial)
    parts = (laws.brood, laws.quantile, laws.remission)
    truth = build_scene(SECOND_OCTOBER, _colonies(place, 0.0), Records(stays, near, events, (), (), *parts))
    outbreak = Simulator(truth, laws.theta).run(rng)
    if (outbreak.onset < SECOND_OCTOBER).sum() <= fewest:
        return None
    looks = record.looks_of_keepers(rng, place, trial, laws.keeper)
    first = _first_find(rng, outbreak, looks, laws.remission)
    if first is None:
        return None
    now = np.floor(first.time) + 0.9
    standing = np.array([place.place(j, now) if place.lives(j, now) else -1 for j in range(len(place.first))])
    signs = shown(outbreak.onset, outbreak.turn, outbreak.length, laws.remission, now) & (standing >= 0)
    signs[first.colony] = False
    if signs.sum() < fewest:
        return None
    before = [look for look in looks if look.time < first.time]
    return _told(seed, rng, trial, laws, place, made, outbreak, events, before, first, now, standing, signs)


def _laws(rng: np.random.Generator, trial: Assumptions) -> _Laws:
    low, high = value("disease.robbing_range_km").low, value("disease.robbing_range_km").high
    last = int(rng.integers(trial.brood_starts[0], trial.brood_starts[1] + 1))
    first = int(rng.integers(trial.brood_stops[0], trial.brood_stops[1] + 1))
    keys = ("disease.remission_share", "outbreak.remission_within_days", "outbreak.remission_least_days",
            "outbreak.remission_most_days")  # fmt: skip
    cutoff = value("outbreak.robbing_cutoff_km")
    best, unnoted = value("surveillance.look_sensitivity"), value("outbreak.unnoted_look_worth")
    notice = between(rng, (best.low, best.high))
    return _Laws(
        theta=drawn_rates(rng, trial),
        fall=fat_tail_fall(between(rng, (low, high))),
        cutoff=between(rng, (cutoff.low, cutoff.high)),
        brood=brood_clock(FIRST_DAY, CLOCK_DAYS, first, last).grid,
        quantile=onset_quantiles("lognormal"),
        remission=np.array([between(rng, (value(key).low, value(key).high)) for key in keys]),
        notice=notice,
        keeper=notice * float(np.exp(rng.uniform(*np.log([unnoted.low, unnoted.high])))),
    )


def _introductions(rng: np.random.Generator, place: Region, trial: Assumptions) -> list[Event]:
    many = int(rng.integers(int(trial.introductions[0]), int(trial.introductions[1]) + 1))
    days = rng.integers(10, 190, many)
    hives = [int(rng.choice([j for j in range(len(place.first)) if place.lives(j, day)])) for day in days]
    return [
        Event(KIND["whole colony"], day + 0.4, day + 0.4, 1.0, [], [j], 1.0) for day, j in zip(days, hives, strict=True)
    ]


def _colonies(place: Region, before: float) -> Colonies:
    n = len(place.first)
    arrays = [np.array(x, dtype=float) for x in (place.first, place.gone, place.dead)]
    return Colonies(*arrays, np.full(n, before), np.array(place.beside, dtype=np.int64))


def shown(onset: Floats, turn: Floats, length: Floats, remission: Floats, at: float) -> np.ndarray:
    """Whether signs can be seen at a time, elementwise: after the onset and not in a remission."""
    share, within, least, most = remission
    begins = onset + within * turn / share
    away = (turn < share) & (begins <= at) & (at < begins + least + (most - least) * length)
    return (onset <= at) & ~away


def _first_find(rng: np.random.Generator, truth: Outbreak, looks: list[Look], remission: Floats) -> Look | None:
    for look in looks:
        j = look.colony
        if truth.onset[j] <= look.time and rng.random() < look.worth:
            one = [x[j : j + 1] for x in (truth.onset, truth.turn, truth.length)]
            if shown(*one, remission, look.time)[0]:
                return look
    return None


def _told(seed: int, rng: np.random.Generator, trial: Assumptions, laws: _Laws, place: Region, made: Contacts,
          outbreak: Outbreak, events: list[Event], before: list[Look], first: Look, now: float,
          standing: Ints, signs: np.ndarray) -> World:  # fmt: skip
    n = len(place.first)
    noticed = _found(first, worth(None, None, None))
    unnoted = record.noted_looks(rng, place, before, trial, worth(None, None, None), alike(None, None))
    known = [record.within_life(e, place) for e in record.noted_contacts(rng, made, trial, now)]
    clock = brood_clock(FIRST_DAY, CLOCK_DAYS, int(value("outbreak.broodless_first_month").value),
                        int(value("outbreak.broodless_last_month").value)).grid  # fmt: skip
    cutoff, reach = value("outbreak.robbing_cutoff_km").value, value("disease.robbing_range_km").value
    thought = near_apiaries(place.xy, cutoff, exponential_fall(reach))
    ours = (clock, onset_quantiles(), remission())
    theirs = (laws.brood, laws.quantile, laws.remission)
    real = near_apiaries(place.xy, laws.cutoff, laws.fall)
    past = [event for event in events if event.earliest < now and event.kind != KIND["whole colony"]]
    stays = record.true_stays(place)
    all_looks = [look._replace(worth=worth(None, None, None), alike=alike(None, None)) for look in before]

    noted = record.noted_stays(rng, place, trial, now)
    fitted = [look._replace(worth=FITTED_LOOK, alike=0.0) for look in unnoted]
    fat = near_apiaries(place.xy, cutoff, fat_tail_fall(reach))

    def scene(stays: list[Stay], near: tuple, events: list[Event], looks: list[Look], laws: tuple) -> Scene:
        slots = [Look(j, now, 0.0, 1e-9, False) for j in range(n)]
        colonies = _colonies(place, value("outbreak.infected_before").value)
        colonies.dead[colonies.dead > now] = FOREVER
        colonies.gone[colonies.gone > now] = FOREVER
        return build_scene(int(np.ceil(now)), colonies, Records(stays, near, events, [*looks, *slots], (), *laws))

    return World(
        seed=seed, now=now, index=first.colony, xy=place.xy, owner=place.owner, standing=standing,
        infected=(outbreak.time <= now) & (standing >= 0), signs=signs, notice=laws.notice,
        told=scene(noted, thought, known, [*unnoted, noticed], ours),
        full=scene(stays, thought, past, [*all_looks, noticed], ours),
        lawful=scene(stays, real, past, [*before, _found(first, laws.keeper)], theirs),
        fitted=scene(noted, fat, known, [*fitted, noticed], ours),
        theta=laws.theta,
    )  # fmt: skip


def _found(first: Look, worth: float) -> Look:
    return first._replace(worth=worth, false=value("outbreak.case_false").value, found=True)
