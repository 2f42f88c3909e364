"""How likely each hive of a reached place was infected there, by the way in which the disease may have come."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ashcomb.kernel.time import Span
from ashcomb.plans.looks import standing
from ashcomb.records.movements import Move
from ashcomb.records.situation import Situation
from ashcomb.science.exact import exact
from ashcomb.sources.library import value

# What came into a hive, the sourced chance for it, and how a paper says it.
ROUTES: dict[str, tuple[str, str]] = {
    "wet supers": ("disease.prior_wet_super", "got wet supers"),
    "brood frames": ("disease.brood_frame_swap", "got brood frames"),
    "package": ("disease.package_from_sick", "is a package from an exposed place"),
    "swarm": ("disease.package_from_sick", "is a swarm from an exposed place"),
    "hives": ("disease.prior_same_apiary", "came from an exposed apiary"),
    "nucleus": ("disease.prior_same_apiary", "is a nucleus from an exposed apiary"),
    "queens": ("disease.queen_only", "got a queen from an exposed place"),
}
SAME_APIARY = ("disease.prior_same_apiary", "stands in an exposed apiary")


@dataclass(frozen=True, slots=True)
class Exposure:
    """One hive and its chance of infection at exposure. since: when it was exposed.  route: how, in words.

    key: of the sourced value behind the chance, '' when somebody gave it.
    """

    hive: str
    since: Span
    prior: Fraction
    route: str
    key: str = ""


def exposures(
    situation: Situation, apiary: str, reached: date, sources: Mapping[str, date], today: date
) -> tuple[Exposure, ...]:
    """Every living hive of a reached apiary with its exposure; the worst of several ways counts.

    reached: first day on which the apiary may have been exposed.  sources: exposed places with their first day; a move
    that names hives of this apiary and left such a place on or after that day exposes them by its own route.
    A move that names no hive may have reached as many of them as things came, nobody knows which: each takes its share
    of that chance, else that of a neighbour. Unless another record of the same day, source and goods names the hives.
    The others are exposed as neighbours in the same apiary.
    """
    found: dict[str, Exposure] = {}
    hives = standing(situation, apiary, today)
    moves = [move for move in situation.rows(Move) if move.target == apiary and move.what in ROUTES]
    told_of = {(move.source, move.what, move.happened.first) for move in moves if move.hives}
    for move in moves:
        if move.source not in sources or move.happened.last < sources[move.source]:
            continue
        if not move.hives and (move.source, move.what, move.happened.first) in told_of:
            continue
        for hive in set(move.hives or hives) & set(hives):
            new = _by_move(hive, move, len(hives))
            found[hive] = max(found.get(hive, new), new, key=lambda exposure: exposure.prior)
    rest = Span.day(reached)
    return tuple(found.get(hive) or _by(hive, rest, *SAME_APIARY) for hive in hives)


def _by_move(hive: str, move: Move, hives: int) -> Exposure:
    key, words = ROUTES[move.what]
    told = move.mark or move.happened.words()
    if move.hives:
        return _by(hive, move.happened, key, f"{words} ({told})")
    came = max((count for count in (move.count_out, move.count_in) if count is not None), default=hives)
    share = Fraction(min(came, hives), hives)
    chance = share * exact(value(key).value) + (1 - share) * exact(value(SAME_APIARY[0]).value)
    return Exposure(hive, move.happened, chance, f"may be one of those that {words} ({told} names no hive)", key)


def _by(hive: str, since: Span, key: str, route: str) -> Exposure:
    return Exposure(hive, since, exact(value(key).value), route, key)
