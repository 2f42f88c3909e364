"""From the records to the scene that the outbreak engine works on, with the words behind every number of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import add_months, day_words
from ashcomb.kernel.words import several
from ashcomb.outbreak.build import YEARS_BEYOND, Records, build_scene
from ashcomb.outbreak.observation import LAWS, onset_quantiles
from ashcomb.outbreak.pressure import Fall, exponential_fall, fat_tail_fall, near_apiaries
from ashcomb.outbreak.scene import Ints, Scene
from ashcomb.outbreak.season import brood_clock
from ashcomb.plans.figures import Figures
from ashcomb.plans.scene_events import Carried, events_of
from ashcomb.plans.scene_ground import Ground, ground_of
from ashcomb.plans.scene_looks import Told, known_cases, looks_of, pools_of
from ashcomb.plans.scene_notes import Notes
from ashcomb.plans.season import Season, season_of
from ashcomb.records.places import Apiary, Hive
from ashcomb.records.situation import Situation
from ashcomb.records.state import cases
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced
from ashcomb.sources.profile import CodeProfile

DISTANCES = ("exponential", "fat tail")
ASSUMPTIONS = (
    "The numbers advise where to look first; they never shorten what the law asks, clear no hive, judge nobody.",
    "Only recorded moves count; every gap in the records is a gap here, and infection by no record is “background”.",
    "Objects that no record ties to a hive come from any hive of their place, and reach any hive where they arrive.",
    "A hive that left without its mark was as likely infected as those that still stand where it stood.",
    "What a shed carries from one extraction lot to the next is not modelled; lots and stores mix what they hold.",
    "Stands that follow each other in a row touch; a move on a day counts at noon, a look without an hour after it.",
)
_VALUES = (
    "assess.history_months", "outbreak.infected_before", "outbreak.dead_out_infected", "outbreak.outside_infected",
    "disease.robbing_range_km", "outbreak.robbing_cutoff_km", "outbreak.suspicion_false", "outbreak.case_false",
    "assess.ropy_false", "surveillance.unshaken_worth", "outbreak.diseased_frames", "outbreak.unnoted_look_worth",
    "assess.poor_light_worth", "assess.arrival_slack_days", "disease.onset_gamma_shape", "disease.onset_gamma_scale",
    "disease.onset_least_days", "disease.remission_share",
)  # fmt: skip


@dataclass(frozen=True)
class Staged:
    """The scene of a case with its words. day: the day it ends with.  events, looks, pools: in the scene's own order.

    cases: numbers of the known cases.  left_out, guessed: sentences.  keeper: of each apiary.  used: sourced values.
    """

    scene: Scene
    ground: Ground
    day: date
    events: tuple[Carried, ...]
    looks: tuple[Told, ...]
    pools: tuple[Told, ...]
    cases: Ints
    left_out: tuple[str, ...]
    guessed: tuple[str, ...]
    keeper: dict[str, str]
    season: Season
    used: tuple[Sourced, ...]

    @property
    def hives(self) -> tuple[str, ...]:
        """Mark of each colony."""
        return self.ground.hives

    @property
    def places(self) -> tuple[str, ...]:
        """Mark of each place."""
        return self.ground.places

    @property
    def day0(self) -> date:
        """First day of the history."""
        return self.ground.day0


def staged(
    situation: Situation, profile: CodeProfile, day: date, onset: str = "gamma", distance: str = "exponential"
) -> Staged:
    """The scene until the end of a day. onset: one of LAWS.  distance: one of DISTANCES.

    Raises UserError for an unknown law or a case without hives. Whatever cannot be placed is left out and told.
    """
    if onset not in LAWS:
        raise UserError(f"“{onset}” is no law of onset.", f"Choose among: {', '.join(LAWS)}.")
    if distance not in DISTANCES:
        raise UserError(f"“{distance}” is no law of distance.", f"Choose among: {', '.join(DISTANCES)}.")
    if not situation.rows(Hive):
        raise UserError("No hive is on record.", "Import the list of hives first.")
    figures, notes = Figures(profile), Notes()
    day0 = _first_day(situation, day)
    horizon = (day - day0).days + 1
    season = season_of(figures, situation.case.grid_lat if situation.case else None)
    _empty_apiaries(situation, notes)
    ground = ground_of(situation, day0, horizon, notes)
    events, carried = events_of(situation, ground, notes)
    looks, seen = looks_of(situation, ground, figures, season, notes)
    pools, tested = pools_of(situation, ground, figures, notes)
    near = near_apiaries(ground.xy_km, value("outbreak.robbing_cutoff_km").value, _fall(distance))
    brood = brood_clock(day0, horizon + YEARS_BEYOND, *_broodless(season)).grid
    records = Records(ground.stays, near, events, looks, pools, brood, onset_quantiles(onset))
    scene = build_scene(horizon, ground.colonies, records)
    apiaries = situation.by_mark(Apiary)
    return Staged(
        scene=scene, ground=ground, day=day, events=tuple(carried), looks=tuple(seen), pools=tuple(tested),
        cases=np.array(known_cases(situation, ground, day), dtype=np.int64), left_out=notes.left_out,
        guessed=notes.guessed, keeper={mark: apiary.keeper for mark, apiary in apiaries.items()}, season=season,
        used=(*(value(key) for key in _VALUES), *figures.taken),
    )  # fmt: skip


def _first_day(situation: Situation, day: date) -> date:
    """So many months before the first find, or before the day if nothing was found."""
    first = min((span.first for span in cases(situation).values() if span.first <= day), default=day)
    return add_months(min(first, day), -int(value("assess.history_months").value))


def _fall(distance: str) -> Fall:
    reach = value("disease.robbing_range_km").value
    return exponential_fall(reach) if distance == "exponential" else fat_tail_fall(reach)


def _broodless(season: Season) -> tuple[int, int]:
    """First and last month without brood, or 0 and 0."""
    first, last = season.last % 12 + 1, (season.first - 2) % 12 + 1
    return (0, 0) if first == season.first else (first, last)


def _empty_apiaries(situation: Situation, notes: Notes) -> None:
    held = {hive.apiary for hive in situation.rows(Hive)}
    for mark in sorted(situation.by_mark(Apiary)):
        if mark not in held:
            notes.out("Apiaries without any hive on the list, whatever may stand there", mark)


def history_words(stage: Staged) -> str:
    """What the scene holds, in one sentence."""
    scene = stage.scene
    moves, looks = several(len(scene.event_kind), "move"), several(len(scene.look_time), "look")
    held = f"{several(len(stage.hives), 'hive')}, {looks}, {several(len(scene.pool_time), 'test')}"
    return f"{held} and {moves} that can carry it, from {day_words(stage.day0)} to {day_words(stage.day)}."


def day_of(stage: Staged, at: float) -> date:
    """The day of a time of the scene."""
    return stage.day0 + timedelta(days=int(at))
