"""One chain of the sampler: its first history, its plan of visits, its draws and its sums of chances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from ashcomb.outbreak.convergence import Counts, Tally
from ashcomb.outbreak.layout import (
    AGAIN,
    ANEW,
    BRANCHES,
    DOUBTS,
    DUOS,
    EACH,
    LIKELY,
    LOCAL,
    MOST_DOUBTS,
    MOST_TICKETS,
    MOST_YARDS,
    MOVES,
    NEXT_LIKELY,
    NEXT_YARD,
    OFTEN,
    PAIRS,
    STRIDE,
    STRONG,
    TICKETS,
    TURN,
    YARDS,
    Packed,
    State,
    small_pairs,
)
from ashcomb.outbreak.rates import PRESSURES, Rates
from ashcomb.outbreak.scene import BEFORE, NEVER, NO, PRESSURE, Floats, Ints, Scene
from ashcomb.outbreak.season import BroodClock

PIECES = 64  # sums of chances are kept for so many pieces of a chain at most, then joined two by two
_OFTEN, _LIKELY, _TICKET, _SHARE = 0.5, 0.04, 0.05, 4.0
_MOVES, _LOCAL = 0.02, 1.0  # births or deaths a sweep for each ticket; beside infected ones, for each of them
_SMALL = 2000.0  # colonies; in larger scenes births are rarer, as memory picked at random costs most there
_VAIN = 100  # colonies grown in vain for one that stays, at most
_ANEW, _AGAIN = 0.02, 6  # share of all other work; for each pair at most
_EVERY = 4  # sweeps to a visit of the likelier ones of the rare colonies
_MOST_VISITS = 4  # to one that lacks draws, a sweep
_EACH = 4  # sweeps to a visit of an infected one of the rare colonies, which branches grow anew as well
_TURNS, _MOST_TURNS = 2, 8  # visits to a known case a sweep, for another source, at least and at most
_QUICK = 4  # entries of an apiary among the yards up to which all of it grows anew each time
_FALL = 0.5  # what had more branches keeps that share of them at least: it is slow by nature
_FEEDS, _MOST_FEEDS = 400.0, 16.0  # entries for the share of draws in which a case came from there; at most
_PARTS, _LEAST = 4, 0.5  # entries among the yards for a branch a sweep; branches a sweep, at least
_MARGIN = 1.5  # of the size aimed at: sizes are estimates
_STRONG = 0.15  # chance of one giver to infect one receiver
_REMOTE = 1e-3  # chance of infection below which nobody asks what came with it


def _none() -> Ints:
    return np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class Plan:
    """Who is visited how often. often: colonies visited in every sweep.  tickets (n): of the others, for births.

    moves: births or deaths a sweep; local: the same beside infected colonies.  stride: every how manieth sweep visits
    all.  strong: events of which a giver and a receiver come and go together; pairs: such moves a sweep.
    yards: apiaries whose branches grow anew, each as often as it is listed (see `_listed`); branches: such moves a
    sweep.
    likely: colonies visited in turn, each as often as it is listed; again: such visits a sweep.
    duos: see `duos_of`; anew: such moves a sweep.  doubts: colonies of `often` that lack draws; each comes or goes with
    a branch, as often in a sweep as it is listed.  each: every how manieth of the other infected ones is visited in a
    sweep.
    """

    often: Ints
    tickets: Ints
    moves: int
    stride: int
    local: int = 0
    strong: Ints = field(default_factory=_none)
    pairs: int = 0
    yards: Ints = field(default_factory=_none)
    branches: int = 0
    likely: Ints = field(default_factory=_none)
    again: int = 0
    duos: Ints = field(default_factory=_none)
    anew: int = 0
    doubts: Ints = field(default_factory=_none)
    each: int = 1


def first_plan(scene: Scene) -> Plan:
    """A plan for the pilot: every colony in every sweep, and a branch for each apiary."""
    tickets = np.ones(len(scene.first), dtype=np.int64)
    often = np.array(sorted(findings(scene)), dtype=np.int64)
    tickets[often] = 0
    yards = np.arange(len(scene.near_ptr) - 1)
    return Plan(often, tickets, 0, 1, yards=yards, branches=len(yards))


def plan_of(scene: Scene, theta: Floats, chance: Floats, stride: int, yards: Ints | None = None) -> Plan:
    """A plan after rates (see `Rates.vector`) and rough chances of infection (n). stride: at most.

    Colonies with a finding, or with a chance of a half or more, are visited in every sweep, and some times more among
    the branches. Births pick the others, likely ones up to four times as often. Sweeps over all take a small part of
    the time. yards: apiaries whose branches grow anew; all, if none are given.
    """
    often = chance >= _OFTEN
    often[list(findings(scene))] = True
    tickets = np.where(often, 0, np.clip(chance / _TICKET, 1.0, MOST_TICKETS)).astype(np.int64)
    rare = float(chance[~often].sum())
    less = min(1.0, _SMALL / max(len(chance), 1))
    moves, local = int(np.ceil(_MOVES * less * float(tickets.sum()))), int(np.ceil(_LOCAL * less * rare))
    strong = strong_events(scene, theta, chance)
    pairs = -(-len(strong) // 32)
    yards = np.arange(len(scene.near_ptr) - 1) if yards is None else yards
    branches = len(yards)
    yards = _listed(yards, np.full(len(yards), _PARTS), len(scene.near_ptr) - 1)
    likely, known = np.flatnonzero((chance >= _LIKELY) & ~often), np.flatnonzero(often)
    each = 3.0 * (int(often.sum()) + rare) + moves + local + 2.0 * pairs + 4.0 * branches + 0.25 * len(likely)
    stride = int(np.clip(_SHARE * len(chance) / max(each, 1.0), 1, stride))
    duos = duos_of(scene, strong)
    anew = int(np.clip(_ANEW * each, len(duos), _AGAIN * len(duos)))
    named, turns = np.concatenate([likely, known]), _turns(len(chance), len(known))[0]
    likely = _in_turn(named, np.where(np.arange(len(named)) < len(likely), 1, turns))
    return Plan(known, tickets, moves, stride, local, strong, pairs, yards, branches, likely,
                -(-len(likely) // _EVERY), duos, anew, each=_EACH)  # fmt: skip


def lacking(sizes: Floats, aim: float, ahead: float, kept: float = 1.0) -> Floats:
    """By how much draws must come faster in what is ahead (against what is past), to reach a size.

    sizes: effective sizes so far, of which the share `kept` counts on.
    """
    return np.maximum(_MARGIN * aim - kept * sizes, 0.0) / (ahead * np.maximum(sizes, 1e-300))


class Lacks(NamedTuple):
    """What the draws so far lack.

    places (apiaries), colonies (n): see `lacking`.  cases (n): of those visited often, what the apiaries lack that may
    have infected them. Such an apiary stays infected until the case finds another source, which is a visit's to find.
    feeds (apiaries): share of the draws in which it infected a known case. Most of its size hangs on a few long spells,
    and before the first it looks quick; so this share tells how many branches it needs at least.
    """

    places: Floats
    colonies: Floats | None = None
    cases: Floats | None = None
    feeds: Floats | None = None


def weighed(plan: Plan, lacks: Lacks) -> Plan:
    """The plan with more branches in slow apiaries, fewer in quick ones, and more visits to slow colonies."""
    places, colonies, cases, feeds = lacks
    yards, times = np.unique(plan.yards % len(places), return_counts=True)
    times = np.rint(times * np.maximum(places[yards], _FALL))
    least = np.zeros(len(yards)) if feeds is None else np.minimum(np.rint(_FEEDS * feeds[yards]), _MOST_FEEDS)
    times = np.clip(np.maximum(times, least), _PARTS * _LEAST, MOST_YARDS).astype(np.int64)
    if colonies is not None:
        plan = _visited(plan, colonies, np.zeros(len(colonies)) if cases is None else cases)
    return replace(plan, yards=_listed(yards, times, len(places)), branches=-(-int(times.sum()) // _PARTS))


def _visited(plan: Plan, colonies: Floats, cases: Floats) -> Plan:
    """The plan with more visits, see `weighed`."""
    often, listed = plan.often, np.bincount(plan.likely, minlength=len(colonies))
    slow = colonies > 1.0
    most = min(_EVERY * _MOST_VISITS, max(len(colonies) // max(int(slow.sum()), 1), 2))
    more = np.clip(np.rint(np.maximum(listed, 1) * colonies), 2, most)
    entries = np.where(slow, more, listed > 0).astype(np.int64)
    turns = np.rint(listed[often] * np.maximum(cases[often], _FALL))
    turns = np.clip(turns, *_turns(len(colonies), len(often))).astype(np.int64)
    entries[often] = np.maximum(np.where(slow[often], entries[often], 0), turns)
    named = np.flatnonzero(entries)
    likely = _in_turn(named, entries[named])
    listed = np.bincount(plan.doubts, minlength=len(colonies))[often]
    more = np.clip(np.rint(np.maximum(listed, 1) * colonies[often]), 1, MOST_DOUBTS)
    doubts = np.repeat(often, np.where(slow[often], more, listed).astype(np.int64))
    return replace(plan, likely=likely, again=-(-len(likely) // _EVERY), doubts=doubts)


def _turns(colonies: int, often: int) -> tuple[int, int]:
    """Entries of a known case among those visited in turn, at least and at most."""
    most = min(_EVERY * _MOST_TURNS, 2 * colonies // max(often, 1))
    return min(_EVERY * _TURNS, most), most


def _listed(yards: Ints, times: Ints, places: int) -> Ints:
    """Entries for branches: apiaries, each so many times, plus `places` where all that one caught grows anew.

    Quick apiaries lose by growing anew in part. Slow ones need it: an early infection may be held by a known case.
    """
    named = _in_turn(np.arange(len(yards)), times)
    turn = np.zeros(len(named), dtype=np.int64)
    order = np.argsort(named, kind="stable")
    turn[order] = np.arange(len(named)) - np.repeat(np.cumsum(times) - times, times)
    whole = (turn % 2 == 0) | (times[named] <= _QUICK)
    return yards[named] + np.where(whole, places, 0)


def _in_turn(things: Ints, times: Ints) -> Ints:
    """Each thing so many times, those of one thing as far from each other as may be."""
    turn = (np.arange(times.sum()) - np.repeat(np.cumsum(times) - times, times) + 0.5) / np.repeat(times, times)
    return np.repeat(things, times)[np.argsort(turn, kind="stable")]


def useful(chains: Sequence[Chain]) -> Ints:
    """Apiaries in which, so far in all chains, branches did not grow in vain too often."""
    grew = sum(chain.state.wholes("grew") for chain in chains)
    return np.flatnonzero(grew <= _VAIN * (sum(chain.state.wholes("stayed") for chain in chains) + 1))


class Blocks(NamedTuple):
    """For each apiary (p) its block: the rare colonies that ever stood there and can be infected, by offsets.

    moved (p): how many of them, the first, stood elsewhere too.  span (p): of the others the longest time in which they
    can be infected, days; dawn (p): the greatest -log of the chance that they were not before.  gift_ptr (p + 1):
    events to which the others came; gift_event, gift_from: each with the offset of its receivers in `gift`.
    """

    block_ptr: Ints
    block: Ints
    moved: Ints
    span: Floats
    dawn: Floats
    gift_ptr: Ints
    gift_event: Ints
    gift_from: Ints
    gift: Ints


def blocks_of(scene: Scene, tickets: Ints) -> Blocks:
    """The blocks of all apiaries. tickets (n): 0 for colonies that are not rare."""
    places = len(scene.near_ptr) - 1
    can = (tickets > 0) & ((scene.infectable > scene.first) | (scene.before > 0.0))
    pairs = np.unique(np.stack([scene.stay_place, scene.stay_of], axis=1), axis=0)
    place, colony = pairs[can[pairs[:, 1]]].T
    alone = (np.diff(scene.stay_ptr) == 1)[colony]
    order = np.lexsort((colony, alone, place))
    here, who = place[alone], colony[alone]
    span, dawn = np.zeros(places), np.zeros(places)
    np.maximum.at(span, here, (scene.infectable - scene.first)[who])
    np.maximum.at(dawn, here, -np.log1p(-scene.before[who]))
    counts = np.diff(scene.in_ptr)[who]
    taker, at = np.repeat(who, counts), np.repeat(here, counts)
    inner = np.arange(len(taker)) - np.repeat(np.cumsum(counts) - counts, counts)
    event = scene.in_event[scene.in_ptr[taker] + inner]
    sorting = np.lexsort((taker, event, at))
    at, event, taker = at[sorting], event[sorting], taker[sorting]
    begins = np.flatnonzero(np.diff(at, prepend=-1) | np.diff(event, prepend=-1))
    all_of = np.arange(places + 1)
    return Blocks(
        np.searchsorted(place[order], all_of), colony[order], np.bincount(place[~alone], minlength=places), span, dawn,
        np.searchsorted(at[begins], all_of), event[begins], np.append(begins, len(at)), taker,
    )  # fmt: skip


def strong_events(scene: Scene, theta: Floats, chance: Floats) -> Ints:
    """Events with few givers and receivers, one of whom is likely to infect another, and that may have done it."""
    found = []
    for e in np.flatnonzero(small_pairs(scene)):
        gives = slice(scene.give_ptr[e], scene.give_ptr[e + 1])
        givers, takers = scene.give[gives], scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]
        share = float(scene.give_share[gives].max()) * theta[len(PRESSURES) + scene.event_kind[e]]
        likely = -np.expm1(scene.event_objects[e] * np.log1p(-min(share, 1.0 - 1e-15))) >= _STRONG
        if likely and max(chance[givers].max(), chance[takers].max()) > _REMOTE:
            found.append(e)
    return np.array(found, dtype=np.int64)


def duos_of(scene: Scene, strong: Ints) -> Ints:
    """Pairs of a known case and another at strong events: the other, the case, and the event or, where the case gives,
    -1; shape (pairs, 3).
    """
    cases, found = findings(scene), []
    for e in strong:
        for i in scene.give[scene.give_ptr[e] : scene.give_ptr[e + 1]]:
            for j in scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]:
                if j in cases and i not in cases:
                    found.append((i, j, e))
                elif i in cases and j not in cases:
                    found.append((j, i, -1))
    return np.array(found, dtype=np.int64).reshape(-1, 3)


@dataclass
class Chain:
    """One chain with its own stream of randomness. pieces: what it drew, with the sweeps that lie behind each draw.

    tallies: of pieces of `span` sweeps, the first first.
    """

    scene: Scene
    memory: Packed
    rates: Rates
    gen: np.random.Generator
    pieces: list[tuple[Ints, Floats, Ints, Floats, Floats, Ints]] = field(default_factory=list)
    sweeps: int = 0
    tallies: list[Tally] = field(default_factory=list)
    span: int = 16

    def __post_init__(self) -> None:
        from ashcomb.outbreak.kernel_kept import rebuild

        self.theta = self.rates.vector()
        self.theta[0] = max(self.theta[0], 1e-15)
        self.bounds = self.rates.bounds()
        self.state = start(self.scene, self.gen)
        self.opened = np.flatnonzero(self.scene.event_to > self.scene.event_from)
        rebuild(*self.memory, self.state.mem, self.state.pos, self.theta)

    def pilot(self, sweeps: int) -> tuple[Floats, Counts]:
        """Visits every colony so many times and forgets what it drew; returns the sums of the second half."""
        self.follow(first_plan(self.scene))
        self.run(sweeps - sweeps // 2, sweeps - sweeps // 2)
        self.tallied()
        self.run(sweeps // 2, sweeps // 2)
        self.pieces.clear()
        self.sweeps = 0
        return self.tallied()[:2]

    def follow(self, plan: Plan) -> None:
        """From now on visits after this plan."""
        n, state = len(plan.often), self.state
        tickets = np.repeat(np.arange(len(plan.tickets)), plan.tickets)
        state.floats("weight")[:] = plan.tickets / max(len(tickets), 1)
        state.wholes("tickets")[: len(tickets)] = tickets
        state.wholes("often")[:n] = plan.often
        numbers = state.wholes("plan")
        state.wholes("strong")[: len(plan.strong)] = plan.strong
        numbers[OFTEN], numbers[MOVES], numbers[STRIDE], numbers[TURN] = n, plan.moves, plan.stride, 0
        numbers[STRONG], numbers[PAIRS], numbers[LOCAL] = len(plan.strong), plan.pairs, plan.local
        numbers[TICKETS], numbers[BRANCHES], numbers[YARDS] = len(tickets), plan.branches, len(plan.yards)
        numbers[LIKELY], numbers[AGAIN], numbers[DUOS] = len(plan.likely), plan.again, len(plan.duos)
        numbers[ANEW], numbers[NEXT_YARD], numbers[NEXT_LIKELY], numbers[DOUBTS] = plan.anew, 0, 0, len(plan.doubts)
        numbers[EACH] = plan.each
        state.wholes("doubt")[: len(plan.doubts)] = plan.doubts
        state.wholes("duo")[: plan.duos.size] = plan.duos.ravel()
        state.wholes("likely")[: len(plan.likely)] = plan.likely
        state.wholes("yards")[: len(plan.yards)] = plan.yards
        for name, values in blocks_of(self.scene, plan.tickets)._asdict().items():
            (state.floats if name in ("span", "dawn") else state.wholes)(name)[: len(values)] = values
        self.rebuild()

    def rebuild(self) -> None:
        """Computes anew all that is kept ready."""
        from ashcomb.outbreak.kernel_kept import rebuild

        rebuild(*self.memory, self.state.mem, self.state.pos, self.theta)

    def tallied(self) -> Tally:
        """Sums of chances, visits, and sweeps infected since the last call."""
        kept = self.state.floats("tally"), self.state.wholes("visits"), self.state.wholes("stood")
        found = kept[0].copy(), kept[1].astype(np.int32), kept[2].astype(np.int32)
        for field_ in kept:
            field_[:] = 0
        return found

    def go_on(self, until: int, thin: int) -> None:
        """Draws until so many sweeps, in whole pieces, and keeps the sums of each."""
        while self.sweeps < until:
            if len(self.tallies) == PIECES:
                halves = zip(self.tallies[::2], self.tallies[1::2], strict=True)
                self.tallies = [(a[0] + b[0], a[1] + b[1], a[2] + b[2]) for a, b in halves]
                self.span *= 2
            self.run(self.span, min(thin, self.span))
            self.tallies.append(self.tallied())

    def run(self, sweeps: int, thin: int) -> None:
        """So many sweeps, with a draw after every `thin`."""
        from ashcomb.outbreak.kernel_record import advance

        left, resume = max(1, sweeps // thin), False
        room = 4 * len(self.theta) + 64 * left + 4 * int((self.state.wholes("source") > NO).sum() + 16) * left
        while left > 0:
            whole, part = np.empty((room, 3), dtype=np.int64), np.empty((room, 4))
            ends, rates = np.empty(left, dtype=np.int64), np.empty((left, len(self.theta)))
            dates = np.empty((left, len(self.opened)))
            made = advance(*self.memory, self.state.mem, self.state.pos, self.theta, self.bounds, left, thin, whole,
                           part, ends, rates, dates, self.opened, resume, self.gen)  # fmt: skip
            rows = ends[made - 1] if made else 0
            at = (self.sweeps + thin * np.arange(1, made + 1)).astype(np.int64)
            self.pieces.append(
                (whole[:rows].astype(np.int32), part[:rows].copy(), ends[:made], rates[:made], dates[:made], at)
            )
            self.sweeps += made * thin
            left -= made
            room, resume = (room if made else 2 * room), True


def start(scene: Scene, gen: np.random.Generator) -> State:
    """A first history: every colony with a positive finding is infected early enough to show it, no other is."""
    state = State(scene)
    open_days = scene.event_to - scene.event_from
    state.floats("when")[:] = scene.event_from + gen.random(len(open_days)) * open_days
    for j, at in findings(scene).items():
        _infect(scene, state, j, at, gen)
    return state


def findings(scene: Scene) -> dict[int, float]:
    """Colonies with a positive finding of their own, and its first time; of a pool the first member stands for all."""
    found: dict[int, float] = {}
    owner = np.repeat(np.arange(len(scene.first)), np.diff(scene.look_ptr))
    for k in np.flatnonzero(scene.look_found):
        found[int(owner[k])] = min(found.get(int(owner[k]), np.inf), float(scene.look_time[k]))
    for p in np.flatnonzero(scene.pool_found):
        members = scene.pool[scene.pool_ptr[p] : scene.pool_ptr[p + 1]]
        if len(members) and not any(int(j) in found for j in members):
            found[int(members[0])] = float(scene.pool_time[p])
    return found


def _infect(scene: Scene, state: State, j: int, at: float, gen: np.random.Generator) -> None:
    first, last = scene.first[j], min(at, scene.infectable[j])
    if last <= first:
        if scene.before[j] <= 0.0:
            return
        time, source = first, BEFORE
    else:
        time, source = max(first, last - 20.0 - gen.random() * 200.0), PRESSURE
    begun, wait = _brood(scene, time), _brood(scene, at) - _brood(scene, time)
    steps = len(scene.quantile) - 1
    chance = max(int(np.searchsorted(scene.quantile, wait, side="right")) - 1, 0) / steps * gen.random()
    delay = float(np.interp(chance * steps, np.arange(steps + 1), scene.quantile))
    state.floats("time")[j], state.wholes("source")[j], state.floats("chance")[j] = time, source, chance
    state.floats("onset")[j] = _day_of(scene, begun + delay)


def _brood(scene: Scene, day: float) -> float:
    return float(np.interp(day, np.arange(len(scene.brood)), scene.brood))


def _day_of(scene: Scene, brood: float) -> float:
    if not brood <= scene.brood[-1]:
        return NEVER
    return float(BroodClock(scene.brood).day_of(brood))
