"""Plans the pit and the burn day, and the store that replaces the fire."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from ashcomb.casework.case import Case
from ashcomb.casework.nights import filled, where_it_is
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.time import day_words, moment_words
from ashcomb.plans.hold import BurnDecision, BurnOrder, MeterReading, burn_day
from ashcomb.plans.pit import PitOrder, PitPlan, pit_plan
from ashcomb.plans.pit_choice import PitChoice, choose_pit
from ashcomb.plans.pit_site import Site
from ashcomb.plans.result import as_json
from ashcomb.records.state import condemned


@dataclass(frozen=True, slots=True)
class BurnAsk:
    """A fire that somebody has in mind; hours are local. None takes today from 09:00 for six hours."""

    apiary: str = ""
    hives: tuple[str, ...] = ()
    day: date | None = None
    begins: time = time(9)
    ends: time = time(15)
    meter: MeterReading | None = None


def pit(case: Case, order: PitOrder, apiary: str = "") -> PitPlan:
    """The pit plan; an order without hives is for all condemned hives of the apiary (the index apiary if none)."""
    situation = case.situation()
    if not order.hives:
        order = replace(order, hives=condemned(situation, apiary or case.head.index))
    return pit_plan(situation, case.profile(), order)


def pit_choice(case: Case, wish: PitOrder, apiary: str = "") -> PitChoice:
    """The pits that would do for all condemned hives of an apiary, or for those of the wish; its size is left open."""
    situation = case.situation()
    hives = wish.hives or condemned(situation, apiary or case.head.index)
    return choose_pit(situation, case.profile(), replace(wish, hives=hives))


def burning(case: Case, ask: BurnAsk) -> BurnDecision:
    """The burn-day decision; raises UserError for an unknown apiary."""
    mark, lat, lon = where_it_is(case, ask.apiary)
    situation = case.situation()
    day = ask.day or case.now().date()
    begins, ends = (datetime.combine(day, clock, case.zone) for clock in (ask.begins, ask.ends))
    if ends <= begins:
        ends += timedelta(days=1)
    order = BurnOrder(apiary=mark, hives=ask.hives or condemned(situation, mark), now=case.now(), begins=begins,
                      ends=ends, zone=case.head.timezone, lat=lat, lon=lon, meter=ask.meter)  # fmt: skip
    return burn_day(situation, case.profile(), order)


def pit_report(plan: PitPlan) -> Report:
    """The pit in words."""
    load, order = plan.load, plan.order
    size = f"{order.length_m:g} × {order.width_m:g} m floor, {order.depth_m:g} m deep"
    rows = [
        ("Boxes of comb", f"{load.boxes}", ""), ("Frames", f"{load.frames}", ""),
        ("Loose heap", f"{load.comb_m3:.2f}", "m³"), ("Honey", f"{load.honey_kg:.0f}", "kg"),
        ("Honey", f"{load.honey_l:.0f}", "L"), ("If all ran, on the floor", f"{plan.liquid_mm:.0f}", "mm"),
        ("Soil cover", f"{plan.cover_m:.2f}", "m settled"), ("Soil for it, settled", f"{plan.soil_m3:.2f}", "m³"),
        ("Soil to put on, loose", f"{plan.place_m3:.2f}", "m³"), ("Depth needed", f"{plan.needed_depth_m:.2f}", "m"),
        ("To dig", f"{plan.dug_m3:.2f}", "m³"), ("Spoil heap", f"{plan.spoil_m3:.2f}", "m³ loose"),
        ("Digging by hand", f"{plan.hours:.1f}", f"h with {order.people} people"),
        ("Nobody goes in deeper than", f"{plan.entry_limit_m:g}", "m"),
    ]  # fmt: skip
    sections = [
        Section("Load and pit", (), table(("What", "How much", "Unit"), rows, right=(1,))),
        Section("Why it does not fit here", plan.against),
        Section("What would fit", plan.would),
        Section("Check on the ground", plan.warnings),
    ]
    return report(f"Pit for {len(order.hives)} hives, {size}", plan.verdict, filled(sections), plan)


def choice_report(choice: PitChoice) -> Report:
    """The pits that would do, least digging first, and the first of them in full."""
    if not choice.plans:
        return report("Pit", choice.none, (), choice)
    rows = [(shape, f"{p.order.length_m:g} × {p.order.width_m:g} × {p.order.depth_m:g}", f"{p.order.slope:g}",
             f"{p.dug_m3:.1f}", f"{p.spoil_m3:.1f}", by)
            for (shape, p), by in zip(choice.plans, choice.by, strict=True)]  # fmt: skip
    columns = ("Shape", "Floor and depth, m", "Wall, run to rise", "To dig m³", "Spoil m³", "Dug")
    shape, best = choice.plans[0]
    whole = pit_report(best)
    headline = f"Least digging: a {shape} of {rows[0][1]} m, {choice.by[0]}. {best.verdict}"
    sections = (Section("What would do", (), table(columns, rows, right=(3, 4))), *whole.sections)
    return Report(whole.title, headline, sections, as_json(choice))


def burn_report(decision: BurnDecision) -> Report:
    """The burn-day decision in words, with the store plan where it replaces the fire."""
    order = decision.order
    worked = [(i.name, "" if i.value is None else f"{i.value:.1f}", i.words) for i in decision.indices]
    sections = [
        Section("Reasons", (), table(("Weighs", "Why"), [(r.level, r.text) for r in decision.reasons])),
        Section("Fire danger and smoke", (), table(("Index", "Value", "What it says"), worked, right=(1,))),
        Section("Clearance", (f"{'met' if decision.clearance.met else 'NOT MET'}: {decision.clearance.why}",)),
    ]
    if decision.hold:
        hold = decision.hold
        pieces = table(("Hive", "Component", "Pieces"), hold.pieces, right=(2,))
        days = ", ".join(day_words(day) for day in hold.checks)
        sections += [
            Section("Store plan instead of the fire", hold.steps),
            Section("Latest day", (hold.latest,)),
            Section("Store checks", (f"Look that it is bee-proof on: {days}.",)),
            Section("What goes into the store", (), pieces),
        ]
    title = f"Fire at {order.apiary}, {moment_words(order.begins)} to {order.ends:%H:%M}: {decision.decision.upper()}"
    return report(title, decision.verdict, filled(sections), decision)


__all__ = [
    "BurnAsk", "MeterReading", "PitOrder", "Site", "burn_report", "burning", "choice_report", "pit", "pit_choice",
    "pit_report",
]  # fmt: skip
