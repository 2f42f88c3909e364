"""What is carried in a night, with litres, and the pit that waits for the morning."""

from __future__ import annotations

from ashcomb.casework.case import Case
from ashcomb.casework.fires import pit
from ashcomb.casework.sheets.desk import Desk
from ashcomb.casework.sheets.form import Fact, Facts, Ticks
from ashcomb.kernel.errors import UserError
from ashcomb.plans.night import NightPlan
from ashcomb.plans.pit import PitOrder, PitPlan
from ashcomb.records.acts import Pit

_KIT = (
    "Measuring jug with the dose marked, funnel",
    "Newspaper or foam and tape for each entrance and crack",
    "Red lamps, switched on before fuel is opened",
    "Suits, veils, nitrile under leather gloves, eye protection, no fleece",
    "Extinguisher and full water cans, upwind",
    "First aid, eye wash, absorbent for spilled fuel",
    "Watch, pencils, board, this sheet",
    "Telephone, bagged, with the scribe, upwind",
    "Labels: DISEASED – FUEL INSIDE – DO NOT OPEN",
    "Straps, spare floors and lids, spade",
    "Smoker and lighter, with the smoker keeper only",
)


def kit(desk: Desk, plan: NightPlan | None) -> Ticks:
    """The kit list; what kills comes first, with its litres."""
    return Ticks("Kit", (_agent_words(desk, plan), *_KIT), columns=3)


def planned_pit(case: Case, desk: Desk) -> PitPlan:
    """The plan of the pit that is asked for, or of the newest one on record; raises UserError when there is none."""
    order = desk.ask.pit or _recorded(case, desk.yard)
    return pit(case, order, desk.yard)


def pit_facts(plan: PitPlan | None) -> Facts:
    """Size of the pit and its soil."""
    if plan is None:
        pairs = ("Floor, m × m", "Depth, m", "Soil to put on, m³ loose", "Settled cover, m")
        return Facts("Pit", tuple(Fact(label) for label in pairs), columns=4)
    order = plan.order
    fits = "holds heap, ash and cover" if plan.fits else f"DOES NOT FIT: needs {plan.needed_depth_m:.2f} m"
    return Facts("Pit", (
        Fact("Floor", f"{order.length_m:g} × {order.width_m:g} m"), Fact("Depth", f"{order.depth_m:g} m, {fits}"),
        Fact("Soil to put on", f"{plan.place_m3:.2f} m³ loose"), Fact("Settled cover", f"{plan.cover_m:.2f} m"),
    ), columns=4)  # fmt: skip


def _agent_words(desk: Desk, plan: NightPlan | None) -> str:
    if plan and plan.fuel:
        cans = f" in {plan.fuel.cans} can{'s' if plan.fuel.cans != 1 else ''}" if plan.fuel.cans else ""
        return f"Petrol {float(plan.fuel.carry_l):.1f} L{cans}, marked, shut until the leader says so"
    agent = plan.order.agent if plan else ""
    return f"{agent.capitalize() or 'Agent ______________'}, ________ L or kg, as ordered"


def _recorded(case: Case, yard: str) -> PitOrder:
    pits = [p for p in case.situation().rows(Pit) if p.apiary == yard and p.length_m and p.width_m and p.depth_m]
    if not pits:
        raise UserError("No pit is on record.", "Plan it, or record one.")
    newest = pits[-1]
    return PitOrder(hives=(), length_m=newest.length_m or 0, width_m=newest.width_m or 0, depth_m=newest.depth_m or 0)
