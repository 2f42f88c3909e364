"""The hold store: what lies in it, where, since when, when it must be looked at again, and what robbers may find.

A stock-take is compared with the book, line by line; a surplus in one line never makes up for a loss in another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from ashcomb.kernel.time import day_words
from ashcomb.kernel.words import several
from ashcomb.plans.figures import Figures
from ashcomb.plans.pieces import pieces_words
from ashcomb.plans.result import Gate, Plan
from ashcomb.records.pieces import COMPONENTS
from ashcomb.records.places import Component
from ashcomb.records.situation import Situation
from ashcomb.records.storage import Hold, StockTake, StoreCheck
from ashcomb.sources.profile import CodeProfile

Risk = Literal["high", "raised", "low"]
HONEYED = ("frame", "box", "drum", "wax")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """Pieces of one owner and kind in one store. since: the oldest of them came in.  days: age.  taken: counted at the
    last stock-take of that store, None if it was not counted."""

    store: str
    owner: str
    component: str
    count: int
    spot: str
    wrap: str
    since: date
    days: int
    taken: int | None

    @property
    def differs(self) -> bool:
        """Whether the last stock-take says otherwise than the book did on that day."""
        return self.taken is not None and self.taken != self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreState:
    """One store. next_check: latest day of the next look.  risk: what robber bees may find, with the reasons.

    stock_day: of the last stock-take.  differences: what it found, in words.
    """

    store: str
    lines: tuple[Stored, ...]
    last_check: date | None
    next_check: date
    overdue: bool
    risk: Risk
    reasons: tuple[str, ...]
    stock_day: date | None
    differences: tuple[str, ...]

    @property
    def pieces(self) -> int:
        """Pieces in it by the book."""
        return sum(line.count for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldStore(Plan):
    """All stores. gates: what must be put right."""

    day: date
    stores: tuple[StoreState, ...]
    gates: tuple[Gate, ...]
    verdict: str


def hold_store(situation: Situation, profile: CodeProfile, day: date) -> HoldStore:
    """The stores as of that day."""
    figures = Figures(profile)
    marks = sorted({row.store for row in situation.rows(Hold)} | {row.store for row in situation.rows(StoreCheck)})
    every = timedelta(days=float(figures.ours("plans_night.hold_check_days")))
    oldest = float(figures.ours("fate.limit.old_days"))
    stores = tuple(_store(situation, mark, day, every, oldest) for mark in marks)
    for key in ("fire_ban_hold", "marking"):
        figures.rule(key)
    pieces = sum(store.pieces for store in stores)
    late = [store.store or "unnamed" for store in stores if store.overdue]
    verdict = f"{several(pieces, 'piece')} in {len(stores)} {'store' if len(stores) == 1 else 'stores'}"
    verdict += f"; a look is overdue at {', '.join(late)}." if late else "; no look is overdue."
    return HoldStore(
        day=day, stores=stores, gates=_gates(stores), verdict=verdict, uses=figures.taken, rules=figures.rules,
        assumptions=(
            "What came in first is taken to have left first, so the age is that of the youngest pieces that fit.",
            "A stock-take is compared with the book at the end of its day.",
        ),
        cautions=("Held hives that had petrol give off vapour for days: no flame, engine or switch near them; air the "
                  "room before anybody goes in.",),
    )  # fmt: skip


def book(situation: Situation, store: str, day: date) -> dict[tuple[str, str], list[tuple[date, int, Hold]]]:
    """What lies in a store at the end of a day by owner and kind: (day, pieces, record) of what is still there."""
    rows: dict[tuple[str, str], list[Hold]] = defaultdict(list)
    for row in situation.rows(Hold):
        if row.store == store and row.happened.last <= day:
            rows[row.owner, row.component].append(row)
    return {key: left for key, moves in rows.items() if (left := _left(moves))}


def _left(moves: list[Hold]) -> list[tuple[date, int, Hold]]:
    came = [(row.happened.last, row.count, row) for row in moves if row.direction == "in"]
    gone = sum(row.count for row in moves if row.direction == "out")
    left = []
    for when, count, row in came:
        part = min(gone, count)
        gone -= part
        if count > part:
            left.append((when, count - part, row))
    return left


def _store(situation: Situation, store: str, day: date, every: timedelta, oldest: float) -> StoreState:
    found = book(situation, store, day)
    checks = [row for row in situation.rows(StoreCheck) if row.store == store and row.happened.last <= day]
    holds = [row for row in situation.rows(Hold) if row.store == store and row.bee_proof is not None]
    first = min((when for parts in found.values() for when, _, _ in parts), default=day)
    looked = [row.happened.last for row in checks] + [row.happened.last for row in holds if row.happened.last <= day]
    last = max(looked, default=None)
    due = (last or first) + every
    stock_day, taken, differences = _stock_take(situation, store, day)
    lines = tuple(
        Stored(store=store, owner=owner, component=component, count=sum(count for _, count, _ in parts),
               spot=parts[-1][2].spot, wrap=parts[-1][2].wrap, since=parts[0][0], days=(day - parts[0][0]).days,
               taken=taken.get((owner, component)) if taken else None)
        for (owner, component), parts in sorted(found.items(), key=lambda e: (e[0][0], COMPONENTS.index(e[0][1])))
    )  # fmt: skip
    overdue = bool(lines) and due < day
    risk, reasons = _risk(situation, lines, checks, holds, overdue, oldest)
    return StoreState(store=store, lines=lines, last_check=last, next_check=due, overdue=overdue, risk=risk,
                      reasons=reasons, stock_day=stock_day, differences=differences)  # fmt: skip


def _stock_take(
    situation: Situation, store: str, day: date
) -> tuple[date | None, dict[tuple[str, str], int], tuple[str, ...]]:
    rows = [row for row in situation.rows(StockTake) if row.store == store and row.happened.last <= day]
    if not rows:
        return None, {}, ()
    when = max(row.happened.last for row in rows)
    taken: dict[tuple[str, str], int] = defaultdict(int)
    for row in rows:
        if row.happened.last == when:
            taken[row.owner, row.component] += row.count
    held = {key: sum(count for _, count, _ in parts) for key, parts in book(situation, store, when).items()}
    said = []
    for owner, component in sorted({*held, *taken}):
        known, counted = held.get((owner, component), 0), taken.get((owner, component))
        if counted is None:
            said.append(f"{owner}: {pieces_words(known, component)} in the book were not counted.")
        elif counted != known:
            word = "missing" if counted < known else "too many"
            said.append(f"{owner}: {counted} counted, {known} in the book: "
                        f"{pieces_words(abs(known - counted), component)} {word}.")  # fmt: skip
    return when, dict(taken), tuple(said)


def _risk(
    situation: Situation, lines: Iterable[Stored], checks: list[StoreCheck], holds: list[Hold], overdue: bool,
    oldest: float,
) -> tuple[Risk, tuple[str, ...]]:  # fmt: skip
    lines = tuple(lines)
    if not lines:
        return "low", ("Nothing is in it.",)
    high, raised = [], []
    newest = checks[-1] if checks else None
    if newest and newest.robbers:
        high.append(f"Bees were at it on {newest.happened.words()}.")
    if newest and newest.bee_proof is False:
        high.append(f"It was not bee-proof on {newest.happened.words()}.")
    if any(row.bee_proof is False for row in holds) and not (newest and newest.bee_proof):
        high.append("Something came in that was not bee-proof, and nobody has found the store tight since.")
    if newest is None and not any(row.bee_proof for row in holds):
        high.append("Nobody has recorded that it is bee-proof.")
    if overdue:
        raised.append("A look is overdue.")
    honey = {row.owner for row in situation.rows(Component) if row.honey_kg}
    sweet = sorted({line.owner for line in lines if line.owner in honey and line.component in HONEYED})
    if sweet:
        raised.append(f"Honey is recorded in {', '.join(sweet[:6])}{' and more' if len(sweet) > 6 else ''}.")
    bare = sorted({line.owner for line in lines if not line.wrap and line.component in HONEYED})
    if bare:
        raised.append(f"No wrap is recorded for {', '.join(bare[:6])}{' and more' if len(bare) > 6 else ''}.")
    old = [line for line in lines if line.days > oldest]
    if old:
        raised.append(f"{several(sum(line.count for line in old), 'piece')} have lain for more than {oldest:g} days.")
    return ("high" if high else "raised" if raised else "low"), tuple(high + raised) or (
        "Nothing recorded speaks of it.",
    )


def _gates(stores: tuple[StoreState, ...]) -> tuple[Gate, ...]:
    late = [f"{s.store or 'unnamed'} since {day_words(s.next_check)}" for s in stores if s.overdue]
    open_ = [f"{s.store or 'unnamed'}: {' '.join(s.reasons)}" for s in stores if s.risk == "high"]
    wrong = [f"{s.store or 'unnamed'}: {' '.join(s.differences)}" for s in stores if s.differences]
    return (
        Gate("looked at in time", not late, f"Overdue: {', '.join(late) or 'none'}.", "keeper"),
        Gate("closed to bees", not open_, "; ".join(open_) or "Nothing recorded speaks of an open store.", "keeper"),
        Gate("stock-take agrees", not wrong, " ".join(wrong) or "No stock-take differs from its book.", "officer"),
    )  # fmt: skip
