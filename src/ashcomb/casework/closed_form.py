"""How likely each living hive is infected, by the closed form: its exposure, then looks and tests; no contacts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.tracing import trace_of
from ashcomb.kernel.errors import UserError
from ashcomb.plans.assessed import Assessment, Chance, completed, from_exposures
from ashcomb.plans.evidence import findings
from ashcomb.plans.exposures import exposures
from ashcomb.plans.figures import Figures
from ashcomb.plans.looks import standing
from ashcomb.plans.positions import anchor_of, distance_m, position_of
from ashcomb.plans.season import Season, season_of
from ashcomb.records.places import Apiary
from ashcomb.records.state import cases, condemned, hive_places, suspects

SIGNS, EXPOSED, ZONE, NOTHING = 3, 2, 1, 0  # rows of plans.visit_stops.CLASSES


@dataclass(frozen=True, slots=True)
class Assessed:
    """chances: of every living hive that may be looked at.  risk: class of each apiary.  hives: by apiary.

    since: day from which each apiary may have been exposed.  waiting: cases and suspects, which no crew opens again.
    """

    chances: dict[str, Chance]
    risk: dict[str, int]
    hives: dict[str, tuple[str, ...]]
    since: dict[str, date]
    waiting: tuple[str, ...]


def assessed(case: Case, apiaries: Iterable[str] = (), given: Assessment | None = None) -> Assessed:
    """Chances today for the living hives of these apiaries, or of all. Raises UserError for an unknown apiary.

    given: chances to take in place of the closed form; a hive that they lack, or rate below the least, gets the least.
    """
    situation, today = case.situation(), case.now().date()
    known = situation.by_mark(Apiary)
    wanted = list(apiaries) or sorted(known)
    unknown = [mark for mark in wanted if mark not in known]
    if unknown:
        raise UserError(f"“{unknown[0]}” is not a known apiary.", "Choose one that is in the records.")
    figures = Figures(case.profile())
    season = season_of(figures, case.head.grid_lat)
    sick = set(cases(situation)) | set(suspects(situation)) | set(condemned(situation))
    hives = {mark: tuple(h for h in standing(situation, mark, today) if h not in sick) for mark in wanted}
    reached = reached_since(case)
    chances: dict[str, Chance] = {}
    least = float(figures.ours("visits.least_chance"))
    for mark in wanted:
        if given is not None:
            chances |= {hive: given[hive] for hive in hives[mark] if hive in given and given[hive].infected > least}
        elif mark in reached and hives[mark]:
            chances |= _chances(case, mark, hives[mark], reached, figures, season)
    whole = completed(chances, [h for each in hives.values() for h in each], least)
    return Assessed(whole, _risks(case, hives, whole, sick, figures), {m: h for m, h in hives.items() if h}, reached,
                    tuple(sorted(sick)))  # fmt: skip


def reached_since(case: Case) -> dict[str, date]:
    """From when on each place may have been exposed: by the trace, or by a case of its own."""
    situation = case.situation()
    reached = dict(trace_of(case).exposed)
    places = hive_places(situation, case.now().date())
    for hive, when in cases(situation).items():
        if hive in places:
            reached[places[hive]] = min(reached.get(places[hive], when.first), when.first)
    return reached


def _chances(
    case: Case, apiary: str, hives: tuple[str, ...], reached: dict[str, date], figures: Figures, season: Season
) -> dict[str, Chance]:
    situation, today = case.situation(), case.now().date()
    exposed = [e for e in exposures(situation, apiary, reached[apiary], reached, today) if e.hive in hives]
    seen = findings(situation, figures, hives, min(e.since.first for e in exposed), today, season)
    return from_exposures(exposed, seen.by_hive, season, today)


def _risks(
    case: Case, hives: dict[str, tuple[str, ...]], chances: dict[str, Chance], sick: set[str], figures: Figures
) -> dict[str, int]:
    situation = case.situation()
    known, places = situation.by_mark(Apiary), hive_places(situation, case.now().date())
    with_signs = {places[hive] for hive in sick if hive in places}
    exposed, radius = float(figures.ours("visits.exposed_chance")), figures.maybe("zone.radius_km")
    found = {}
    for mark, own in hives.items():
        if mark in with_signs:
            found[mark] = SIGNS
        elif max((chances[hive].infected for hive in own), default=0.0) >= exposed:
            found[mark] = EXPOSED
        else:
            near = radius is not None and _within(case, known[mark], known[case.head.index], float(radius) * 1000)
            found[mark] = ZONE if near else NOTHING
    return found


def _within(case: Case, place: Apiary, index: Apiary, metres: float) -> bool:
    here, there = position_of(place), position_of(index)
    line = distance_m(here, there, anchor_of(case.head)) if here and there else None
    return line is not None and line <= metres
