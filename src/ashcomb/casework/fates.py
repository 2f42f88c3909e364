"""The fate of every piece of a case: what may become of it, what is cheapest, what leaves its hive before the kill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.kernel.words import several
from ashcomb.plans.fate import METHOD_WORDS
from ashcomb.plans.fate_build import FateAsk
from ashcomb.plans.fate_choice import FateChoice, FateLine, choose, money
from ashcomb.plans.fate_operation import loose_places, operation_of
from ashcomb.plans.fate_prices import price_list
from ashcomb.plans.holdings import Holding
from ashcomb.plans.result import Plan
from ashcomb.records.acts import Duty
from ashcomb.records.state import condemned
from ashcomb.sources.library import value


@dataclass(frozen=True, slots=True, kw_only=True)
class PrepareList(Plan):
    """What must be out of its hive before the kill, by when, and who may not be opened later."""

    kill: date
    by: date
    lines: tuple[FateLine, ...]
    verdict: str


def fates(
    case: Case, ask: FateAsk | None = None, hives: Sequence[str] = (), *, more: bool = True, day: date | None = None
) -> FateChoice:
    """The cheapest fates for these hives (all condemned ones by default) and all loose pieces in the records.

    Raises UserError if nothing is there to decide on, or the limits cannot be kept.
    """
    situation, profile, ask = case.situation(), case.profile(), ask or FateAsk()
    operation, held = operation_of(
        situation, profile, hives or condemned(situation), () if hives else loose_places(situation), ask
    )
    if not operation.items:
        raise UserError("No piece waits for a decision.", "Record the components of the condemned hives first.")
    prices = price_list(situation, day or case.now().date())
    return choose(operation, profile, prices, ask, doubts=held.doubts, more=more)


def to_send(case: Case, choice: FateChoice) -> tuple[Holding, ...]:
    """The pieces that the choice sends to an irradiation plant, as holdings."""
    situation, profile = case.situation(), case.profile()
    _, held = operation_of(situation, profile, condemned(situation), loose_places(situation), FateAsk())
    found = []
    for line in choice.lines:
        if line.method in ("gamma", "ebeam") and not line.prepare:
            holding = next(h for h in held.items if (h.owner, h.piece.words) == (line.owner, line.words))
            share = line.count / holding.count
            found.append(replace(holding, count=line.count, honey_kg=holding.honey_kg * share))
    return tuple(found)


def prepare_list(case: Case, choice: FateChoice, kill: date | None = None) -> PrepareList:
    """What must leave its hive before the night of the kill (the newest night with duties by default)."""
    nights = [duty.happened.first for duty in case.situation().rows(Duty)]
    night = kill or max(nights, default=case.now().date())
    lead = value("fate.limit.prepare_days")
    by = night - timedelta(days=int(lead.value))
    hives = len({line.owner for line in choice.prepare})
    pieces = sum(line.count for line in choice.prepare)
    late = " That day has passed: whatever is not out by the first seal burns." if by < case.now().date() else ""
    verdict = f"{several(pieces, 'piece')} out of {several(hives, 'hive')} by the evening of {day_words(by)}; "
    verdict += f"kill on {day_words(night)}.{late}"
    return PrepareList(kill=night, by=by, lines=choice.prepare, verdict=verdict if pieces else
                       "Nothing has to leave a hive before the kill.", uses=(lead,), cautions=choice.cautions,
                       assumptions=("Combs are freed of bees and carried off covered; what is left in the hive when "
                                    "the fuel is poured burns.",))  # fmt: skip


def fate_report(plan: FateChoice, full: bool = False) -> Report:
    """The choice in words: by kind with the next best, other ways, swings of prices, what is stuck. full: each line."""
    cash = plan.currency
    kinds = [
        (k.words, METHOD_WORDS[k.method], k.count, money(k.cents, ""), k.other,
         "" if k.extra is None else f"+{money(k.extra, '')}")
        for k in plan.kinds
    ]  # fmt: skip
    sections = [
        Section(f"By kind{f', money in {cash}' if cash else ''}", (), table(
            ("What", "Fate", "Pieces", "By the piece", "Next best", "More for all"), kinds, right=(2, 3, 5))),
        Section("Fees", _fees(plan)),
        Section("Other ways for the whole", (), table(("Way", "Cost", "New cases expected", ""), [
            (b.name, "–", "", b.why) if b.cents is None else (b.name, money(b.cents, ""), f"{b.risk:.3f}", "")
            for b in plan.beside], right=(1, 2))),
        Section("The prices that matter most", (), table(
            ("Price", "From", "Used", "To", "Cost at low", "Cost at high", "Pieces that change, low / high"),
            [(s.item, f"{s.low:g}", f"{s.used:g}", f"{s.high:g}", money(s.cents_low, ""), money(s.cents_high, ""),
              f"{s.pieces_low} / {s.pieces_high}") for s in plan.swings], right=(1, 2, 3, 4, 5, 6))),
        Section("No way open: ask the officer", tuple(f"{x.owner}: {x.told}" for x in plan.stuck)),
        Section("Needs leave before anything", plan.leave_only),
        Section("Not clear in the records", plan.doubts),
        Section("Why", tuple(dict.fromkeys(f"{x.words}: {x.reason}" for x in plan.lines))),
    ]  # fmt: skip
    if full:
        rows = [(x.place, x.owner, x.count, x.words, METHOD_WORDS.get(x.method, "NO WAY OPEN"), _first(x))
                for x in plan.lines]  # fmt: skip
        sections.insert(0, Section("Every lot", (), table(
            ("Place", "Whose", "Pieces", "What", "Fate", "First"), rows, right=(2,))))  # fmt: skip
    kept = [s for s in sections if s.lines or (s.table and s.table.rows)]
    return report("What becomes of every piece", plan.verdict, kept, plan)


def prepare_report(plan: PrepareList) -> Report:
    """The list by hive."""
    rows = [(x.owner, x.count, x.words, METHOD_WORDS[x.method]) for x in plan.lines]
    section = Section("Out before the kill", (), table(("Hive", "Pieces", "What", "Goes to"), rows, right=(1,)))
    return report("Out of the hives before the kill", plan.verdict, (section,) if rows else (), plan)


def first_words(line: FateLine) -> str:
    """What must happen before: out of the hive, leave on paper, locked by a decision."""
    return _first(line)


def _first(line: FateLine) -> str:
    parts = ("out before the kill" if line.prepare else "", "leave first" if line.by_leave else "",
             "decided" if line.locked else "", "ASK" if line.stuck else "")  # fmt: skip
    return ", ".join(part for part in parts if part)


def _fees(plan: FateChoice) -> tuple[str, ...]:
    bill, cash = plan.bill, plan.currency
    lots = ", ".join(f"{METHOD_WORDS[m]}: {several(bill.units[m], 'unit')} in {n} lots" for m, n in bill.lots.items())
    trips = sum(bill.trips.values())
    return (
        f"By the piece {money(bill.by_piece, cash)}; fees {money(bill.fees, cash)}{f' ({lots})' if lots else ''}.",
        f"{trips} trips {money(bill.haul, cash)}; work {bill.minutes / 60_000:.0f} h; room in the store "
        f"{bill.store_l / 1000:.1f} m³.",
        f"Remaining risk {bill.risk / 1e6:.3f} new cases expected by order of magnitude, priced at "
        f"{money(bill.risk_cents, cash)}.",
    )
