"""What is to become of every piece of an operation: the least cost within the rules, why, and what else it could be.

Burning everything and irradiating everything that may be stand beside it. The remaining risk is an ordering by orders
of magnitude with an explicit price or cap; it proves nothing about any piece.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.words import several
from ashcomb.plans.fate import METHOD_WORDS
from ashcomb.plans.fate_build import Built, FateAsk, Operation, Part, build, compressed
from ashcomb.plans.fate_kinds import LEAVE
from ashcomb.plans.fate_prices import Prices
from ashcomb.plans.fate_problem import Bill, Choice, Group, Option, Problem, cost_of
from ashcomb.plans.fate_solve import Solved, restricted, solve
from ashcomb.plans.figures import Figures
from ashcomb.plans.pieces import pieces_words
from ashcomb.plans.result import Plan
from ashcomb.science.cautions import FIRE, FUEL
from ashcomb.science.dose import CAUTION as DOSE_CAUTION
from ashcomb.science.dose import NOT_PROOF
from ashcomb.sources.profile import CodeProfile

GAP = 0.01  # share; the accepted distance from the least cost, reached or shown
MOST_KINDS = 12  # kinds of pieces for which the next best is worked out in full
MOST_PRICES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class FateLine:
    """Pieces of one holding and one fate. cents: by the piece, fees of lots and trips not in it.  by_leave: leave must
    be on paper first.  prepare: they must leave the hive before the kill.  stuck: no way is open."""

    owner: str
    component: str
    words: str
    count: int
    method: str
    place: str
    cents: int
    reason: str
    by_leave: bool
    prepare: bool
    locked: bool
    stuck: bool = False

    @property
    def told(self) -> str:
        """'9 frames, wood, with honey'."""
        return pieces_words(self.count, self.component) + self.words.removeprefix(self.component)

    @property
    def what(self) -> str:
        """'9 frames: irradiate, gamma'."""
        return f"{pieces_words(self.count, self.component)}: {METHOD_WORDS.get(self.method, 'NO WAY OPEN')}"


@dataclass(frozen=True, slots=True, kw_only=True)
class KindLine:
    """One kind of piece over the whole operation. extra: cents that the operation costs more if this kind may not go
    this way, None where it then cannot be done or was not worked out.  other: where most would go instead."""

    words: str
    method: str
    count: int
    cents: int
    other: str
    extra: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """Another way to run the whole operation. cents: None if it cannot be done.  why: of that, in words."""

    name: str
    cents: int | None
    risk: float
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """How one uncertain price moves the result. pieces_low, pieces_high: pieces that change their fate there."""

    item: str
    low: float
    used: float
    high: float
    cents_low: int
    cents_high: int
    pieces_low: int
    pieces_high: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FateChoice(Plan):
    """The fate of every open piece. gap: how far the cost may lie above the least possible, as a share."""

    lines: tuple[FateLine, ...]
    kinds: tuple[KindLine, ...]
    bill: Bill
    bound: int
    gap: float
    beside: tuple[Beside, ...]
    swings: tuple[Swing, ...]
    currency: str
    guessed: tuple[str, ...]
    leave_only: tuple[str, ...]
    doubts: tuple[str, ...]
    verdict: str

    @property
    def prepare(self) -> tuple[FateLine, ...]:
        """What must leave its hive before the kill."""
        return tuple(line for line in self.lines if line.prepare)

    @property
    def stuck(self) -> tuple[FateLine, ...]:
        """Pieces for which no way is open."""
        return tuple(line for line in self.lines if line.stuck)


def choose(
    operation: Operation, profile: CodeProfile, prices: Prices, ask: FateAsk, *, doubts: Iterable[str] = (),
    more: bool = True, seconds: float = 60.0,
) -> FateChoice:  # fmt: skip
    """The cheapest fates within rules and limits. more: also next best, other ways and swings of prices.

    seconds: for each solve. Raises UserError if the limits cannot be kept together.
    """
    figures = Figures(profile)
    built = build(operation, profile, prices, ask, figures)
    found = solve(built.problem, GAP / 10, seconds)
    if found is None:
        raise UserError(
            "These pieces cannot all be dealt with within the limits.",
            "Give the hold store more room, more labour or slots, or accept more remaining risk.",
        )
    for key in ("sterilising", "scorching", "plastics", "honey", "fire_ban_hold"):
        figures.rule(key)
    small = compressed(operation, built)
    beside = _beside(small, profile, built, ask, found, seconds) if more else ()
    swings = _swings(small, profile, built, ask, found, seconds) if more else ()
    return FateChoice(
        lines=_lines(built, found.choice), kinds=_kinds(built.problem, found, more, seconds), bill=found.bill,
        bound=found.bound, gap=found.gap, beside=beside, swings=swings, currency=prices.currency,
        guessed=prices.guessed, leave_only=built.leave_only, doubts=tuple(doubts),
        verdict=_verdict(built, found, prices.currency), uses=(*figures.taken, *prices.sourced.values()),
        rules=figures.rules, assumptions=_ASSUMED, cautions=(FUEL, FIRE, DOSE_CAUTION, NOT_PROOF),
    )  # fmt: skip


_ASSUMED = (
    "Cost: replacement, drawn comb, honey, work, fees by unit and lot, trips, room in the store, season, and the price "
    "of remaining risk. Prices that nobody recorded are orders of magnitude.",
    "Frames are hauled, stored and sent in boxes; whichever needs more room counts.",
    "Remaining risk orders the ways and is priced or capped openly. It is no measurement, and nothing follows from it "
    "about any one piece.",
    "From a hive that is still to be killed with fuel only supers, excluders and loose parts can come out; brood nest, "
    "floor and lid stay, are fuel-wet afterwards, and burn.",
    "A frame whose use nobody recorded is taken for brood comb.",
)


def money(cents: int, currency: str) -> str:
    """'1,234.50 EUR', or without a currency."""
    return f"{cents / 100:,.2f} {currency}".strip()


def _verdict(built: Built, found: Solved, currency: str) -> str:
    count: dict[str, int] = defaultdict(int)
    for group, parts in zip(built.problem.groups, found.choice, strict=True):
        for option, number in zip(group.options, parts, strict=True):
            count[option.method] += number
    fates = ", ".join(f"{number} {METHOD_WORDS[method]}" for method, number in sorted(count.items()) if number)
    stuck = sum(part.count for part in built.parts if part.group < 0)
    words = (
        f"{fates or 'Nothing is open'}. Cost {money(found.bill.cents, currency)}, within {found.gap:.2%} of the least."
    )
    return words + (f" {several(stuck, 'piece')} have no way open: ask the officer." if stuck else "")


def _lines(built: Built, choice: Choice) -> tuple[FateLine, ...]:
    """Gives the pieces of each group back to their holdings, in the order of the holdings."""
    left = [list(parts) for parts in choice]
    lines = []
    for part in built.parts:
        if part.group < 0:
            lines.append(_line(part, part.count, None))
            continue
        options, wanted = built.problem.groups[part.group].options, part.count
        for at, option in enumerate(options):
            here = min(wanted, left[part.group][at])
            if here:
                left[part.group][at] -= here
                wanted -= here
                lines.append(_line(part, here, option))
    return tuple(lines)


def _line(part: Part, count: int, option: Option | None) -> FateLine:
    piece, method = part.holding.piece, option.method if option else ""
    rule = part.rules.get(method)
    return FateLine(
        owner=part.holding.owner, component=piece.component, words=piece.words, count=count, method=method,
        place=part.holding.place, cents=option.cents if option else 0,
        reason=rule.words if rule else "Every way is forbidden by matter or by the profile.",
        by_leave=bool(rule and rule.leave == LEAVE), prepare=part.prepare and method not in ("burn", "bury", ""),
        locked=bool(part.locked), stuck=option is None,
    )  # fmt: skip


def _kinds(problem: Problem, found: Solved, more: bool, seconds: float) -> tuple[KindLine, ...]:
    totals: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0, 0])
    for group, parts in zip(problem.groups, found.choice, strict=True):
        for option, number in zip(group.options, parts, strict=True):
            if number:
                total = totals[group.label, option.method]
                total[0] += number
                total[1] += number * option.cents
    lines = []
    for rank, ((label, method), (count, cents)) in enumerate(sorted(totals.items(), key=lambda item: -item[1][1])):
        other, extra = _next_best(problem, found, label, method, seconds) if more and rank < MOST_KINDS else ("", None)
        lines.append(KindLine(words=label, method=method, count=count, cents=cents, other=other, extra=extra))
    return tuple(lines)


def _next_best(problem: Problem, found: Solved, label: str, method: str, seconds: float) -> tuple[str, int | None]:
    """Where that kind would go if not this way, and what the operation would cost more."""
    those = [g for g in problem.groups if g.label == label and any(o.method == method for o in g.options)]
    if not all(any(o.method != method for o in g.options) for g in those):
        return "no other way is open", None
    other = solve(restricted(problem, lambda g, o: not (g.label == label and o.method == method)), GAP / 10, seconds)
    if other is None:
        return "the limits allow no other way", None
    went: dict[str, int] = defaultdict(int)
    for group, parts in zip(problem.groups, other.choice, strict=True):
        if group.label == label:
            kept = tuple(o for o in group.options if o.method != method) or group.options
            for option, number in zip(kept, parts, strict=True):
                went[option.method] += number
    return METHOD_WORDS[max(went, key=lambda m: went[m])], max(0, other.bill.cents - found.bill.cents)


def _beside(
    operation: Operation, profile: CodeProfile, built: Built, ask: FateAsk, found: Solved, seconds: float
) -> tuple[Beside, ...]:
    plants = ("gamma", "ebeam")

    def send(group: Group, option: Option) -> bool:
        return option.method in plants if any(o.method in plants for o in group.options) else option.method == "burn"

    ways = (
        ("as chosen", built.problem),
        ("burn everything that may burn", restricted(built.problem, lambda _, o: o.method == "burn")),
        ("irradiate everything that may be", restricted(built.problem, send)),
    )
    lines = []
    for name, problem in ways:
        solved = found if name == "as chosen" else solve(problem, GAP / 10, seconds)
        lines.append(Beside(name=name, cents=solved.bill.cents, risk=solved.bill.risk / 1e6) if solved else Beside(
            name=name, cents=None, risk=0.0, why="Lots, slots, store, labour or risk do not allow it."))  # fmt: skip
    wider = FateAsk(ask.agent, frozenset(METHOD_WORDS), ask.store_boxes, ask.labour_h, ask.risk_cap, ask.risk_price,
                    ask.least_boxes, ask.pallets)  # fmt: skip
    free = solve(build(operation, profile, built.prices, wider, Figures(profile)).problem, GAP / 10, seconds)
    if free:
        lines.append(Beside(name="as chosen, had the officer given leave for all that may be", cents=free.bill.cents,
                            risk=free.bill.risk / 1e6))  # fmt: skip
    return tuple(lines)


def _swings(
    operation: Operation, profile: CodeProfile, built: Built, ask: FateAsk, found: Solved, seconds: float
) -> tuple[Swing, ...]:
    """The three prices that move the bill of this choice, or of burning or sending all, most over their ranges."""
    figures = Figures(profile)

    def at(item: str, amount: float) -> Problem:
        return build(operation, profile, built.prices.with_value(item, amount), ask, figures).problem

    spread = []
    for item, known in built.prices.sourced.items():
        if known.high > known.low:
            low, high = at(item, known.low), at(item, known.high)
            spread.append((_reach(low, high, found.choice), item, low, high))
    swings = []
    for _, item, low, high in sorted(spread, key=lambda entry: -entry[0])[:MOST_PRICES]:
        ends = [solve(problem, GAP / 10, seconds) or found for problem in (low, high)]
        known = built.prices.sourced[item]
        swings.append(
            Swing(item=item, low=known.low, used=known.value, high=known.high, cents_low=ends[0].bill.cents,
                  cents_high=ends[1].bill.cents, pieces_low=_changed(found.choice, ends[0].choice),
                  pieces_high=_changed(found.choice, ends[1].choice))
        )  # fmt: skip
    return tuple(swings)


def _reach(low: Problem, high: Problem, choice: Choice) -> int:
    """The larger of: how far the bill of the choice moves, and half of how far the dearest way of each group does."""
    own = abs(cost_of(high, choice).cents - cost_of(low, choice).cents)
    any_way = sum(
        g.count * max((abs(b.cents - a.cents) for a, b in zip(g.options, h.options, strict=True)), default=0)
        for g, h in zip(low.groups, high.groups, strict=True)
    )
    return max(own, any_way // 2)


def _changed(one: Choice, other: Choice) -> int:
    return sum(sum(max(0, b - a) for a, b in zip(x, y, strict=True)) for x, y in zip(one, other, strict=True))
