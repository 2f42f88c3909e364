"""The waiting plan, the fire site and the agents in words and tables."""

from __future__ import annotations

from ashcomb.casework.nights import filled
from ashcomb.casework.report import Report, Section, Table, report, source_words, table
from ashcomb.plans.agents import AgentsPlan
from ashcomb.plans.fire_heat import StageFire
from ashcomb.plans.fire_load import MATERIALS
from ashcomb.plans.fire_site import FireSitePlan
from ashcomb.plans.hive_vapour import TOLD_HOURS, HiveVapour
from ashcomb.plans.result import Gate
from ashcomb.plans.waiting import WaitingPlan
from ashcomb.plans.waiting_words import hours_words


def waiting_report(plan: WaitingPlan) -> Report:
    """The waiting plan in words; its headline always says that it does not clear."""
    hive = plan.slowest
    columns = ("Hive", "Air L", "Dose mL", "From", "Evaporates", "vol%", "× limit", "Liquid mL", "Below limit",
               "Below clearance")  # fmt: skip
    leaks = "Times: at the greatest leak to at the least leak of a shut hive."
    sections = [
        Section("Gates", (), _gates(plan.gates)),
        Section("Least wait", (f"{plan.floor.hours:g} h: {plan.floor.why}.",)),
        Section("The hive that keeps its vapour longest", plan.reading),
        Section("Is the dose enough", plan.enough),
        Section(f"Each hive at {plan.temperature_c:g} °C", (leaks,),
                table(columns, [_hive_row(h) for h in plan.hives], right=(1, 2, 4, 5, 6, 7))),
        Section("Left out", tuple(f"{mark}: {why}." for mark, why in plan.left_out)),
        Section(f"What is left in {hive.hive}", (), _left(plan)),
        Section("Remember", plan.warnings),
    ]  # fmt: skip
    title = f"Waiting at {plan.order.apiary}, {len(plan.hives)} hives with petrol: NOT CLEARED BY CALCULATION"
    return report(title, plan.verdict, filled(sections), plan)


def fire_site_report(plan: FireSitePlan) -> Report:
    """The fire site in words."""
    stage, away = plan.stage, plan.exclusion
    rows = [(d.who, f"{d.distance_m:.1f}", f"{d.flux_kw_m2:g}", f"{d.point_m:.1f}", f"{d.solid_m:.1f}",
             f"{d.floor_m:.1f} ({d.floor_why})" if d.floor_m else "")
            for d in (stage.people, stage.bare_earth, stage.buildings)]  # fmt: skip
    apart = [("to keep", f"{away.distance_m:.1f}"), ("rule or published distance, the floor", f"{away.floor_m:.1f}"),
             ("plume to the lower limit, all hives open", f"{away.plume_m:.1f}"),
             ("the same to the reading of clearance", f"{away.reading_m:.1f}"),
             ("all petrol as vapour, half sphere", f"{away.cloud_m:.1f}"),
             ("all petrol as vapour, flat layer", f"{away.layer_m:.1f}"),
             ("nothing electric", f"{away.electronics_m:.1f}")]  # fmt: skip
    sections = [
        Section("Why it does not fit", plan.against),
        Section("Distances from the rim, m", (),
                table(("Who or what", "Keep", "kW/m²", "Point", "Flame", "Least"), rows, right=(1, 2, 3, 4))),
        Section("No flame, engine or switch near open petrol, m", (), table(("By", "m"), apart, right=(1,))),
        Section("Load", (), _load(plan)),
        Section("One loading", (), _stage(stage)),
        Section("After the flames", (f"Ash is watched at least {plan.ash_watch_h:g} h.",)),
        Section("Petrol on the site", (plan.fuel.words,) if plan.fuel else ("No petrol in the load.",)),
        Section("Gates", (), _gates(plan.gates)),
        Section("Remember", plan.warnings),
    ]  # fmt: skip
    title = f"Fire site at {plan.order.apiary}, {len(plan.loads)} hives, {plan.stages} loading(s)"
    return report(title, plan.verdict, filled(sections), plan)


def agents_report(plan: AgentsPlan) -> Report:
    """The agents in words, in the order of the profile, none before another by merit."""
    sections = [Section("Profile", (plan.confirmed.why,))]
    for offer in plan.offers:
        later = "; ".join(f"{part.replace('_', ' ')} {method.replace('_', ' ')}: {leave}"
                          for part, method, leave in offer.later)  # fmt: skip
        rows = [
            ("Leave", offer.gate.why), ("Amount", offer.amount), ("Wait", offer.wait), ("Check of death", offer.check),
            ("Repeat", offer.repeat), ("Comb afterwards", offer.comb), ("Wood afterwards", offer.wood),
            ("Profile on them", later), ("Danger", offer.risk), ("Source", source_words(offer.source, offer.place)),
        ]  # fmt: skip
        sections.append(Section(offer.agent.capitalize(), (), table(("", ""), rows)))
    sections.append(Section("Not offered", tuple(f"{agent}: {why}" for agent, why in plan.refused)))
    title = f"Agents for {len(plan.order.hives)} hives at {plan.order.apiary}: none is chosen"
    return report(title, plan.verdict, filled(sections), plan)


def _gates(gates: tuple[Gate, ...]) -> Table:
    rows = [(gate.name, "met" if gate.met else "NOT MET", gate.why, gate.who) for gate in gates]
    return table(("Gate", "", "Why", "Who can meet it"), rows)


def _hive_row(hive: HiveVapour) -> tuple[str, ...]:
    lel, clear = (f"{hours_words(times[0])} to {hours_words(times[2])}"
                  for times in (hive.below_lel_h, hive.below_clearance_h))  # fmt: skip
    return (hive.hive, f"{hive.air.air_l:.0f}", f"{hive.dose_ml:.0f}", str(hive.dose_from),
            f"{100 * hive.evaporated_share:.0f} %", f"{hive.vapour_vol_pct:.1f}", f"{hive.lel_multiple:.0f}",
            f"{hive.liquid_ml:.0f}", lel, clear)  # fmt: skip


def _left(plan: WaitingPlan) -> Table:
    """Share of the dose still there at whole hours, for each curve."""
    curves = (*plan.open_comb, *plan.closed)
    hours = plan.closed[0].hours
    picked = [hours.index(hour) for hour in TOLD_HOURS]
    names = [f"open, {curve.name}" for curve in plan.open_comb] + [f"shut, {curve.name}" for curve in plan.closed]
    rows = [(hours_words(hours[n]), *(_share(curve.left_share[n]) for curve in curves)) for n in picked]
    return table(("After", *names), rows, right=tuple(range(1, len(names) + 1)))


def _share(share: float) -> str:
    """A share that is hardly there is never called nothing."""
    return f"{100 * share:.0f} %" if share >= 0.01 else "below 1 %"


def _load(plan: FireSitePlan) -> Table:
    rows = [(name, f"{mass:.1f}", f"{heat:.1f}", f"{mass * heat:.0f}")
            for name, mass, heat in zip(MATERIALS, plan.masses_kg, plan.heats_mj_kg, strict=True)]  # fmt: skip
    rows.append(("all", f"{sum(plan.masses_kg):.1f}", "", f"{plan.energy_mj:.0f}"))
    return table(("What", "kg", "MJ/kg", "MJ"), rows, right=(1, 2, 3))


def _stage(stage: StageFire) -> Table:
    short, long = stage.flaming_min
    rows = [
        ("hives", f"{stage.hives}"), ("heap", f"{stage.heap_m:.2f} m"), ("heat", f"{stage.energy_mj:.0f} MJ"),
        ("rate as a crib", f"{stage.crib_kw / 1000:.1f} MW"), ("rate as a stack", f"{stage.stack_kw / 1000:.1f} MW"),
        ("flames (Heskestad)", f"{stage.flames_m[0]:.1f} m"), ("flames (Thomas)", f"{stage.flames_m[1]:.1f} m"),
        ("flaming", f"{short:.0f} to {long:.0f} min on open ground; longer in a pit, then glowing"),
    ]  # fmt: skip
    return table(("What", "How much"), rows)
