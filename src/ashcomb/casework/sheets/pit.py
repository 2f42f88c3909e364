"""The pit and fire sheet: what is dug and how, the place of the fire with its rings, and the log of the meter."""

from __future__ import annotations

from collections.abc import Iterator

from ashcomb.casework.case import Case
from ashcomb.casework.fires import pit
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Fact,
    Facts,
    Framed,
    Grid,
    Lines,
    NewPage,
    Picture,
    Sheet,
    Signatures,
    Ticks,
    filled,
)
from ashcomb.casework.sheets.ground import cautions, foundations
from ashcomb.casework.sheets.night import ordered_agent
from ashcomb.casework.sheets.night_kit import planned_pit
from ashcomb.casework.sites import FireSiteAsk, WaitingAsk, chosen_order, fire_site, pit_marks, waiting
from ashcomb.drawings.pit import pit_section, pit_view
from ashcomb.drawings.site import site_plan
from ashcomb.drawings.vapour import vapour_curve
from ashcomb.kernel.errors import UserError
from ashcomb.plans.fire_site import FireSitePlan
from ashcomb.plans.pit import PitOrder, PitPlan
from ashcomb.plans.pit_site import NEAR
from ashcomb.plans.waiting import WaitingPlan
from ashcomb.records.acts import Pit
from ashcomb.records.state import condemned
from ashcomb.science.cautions import DIGGING, FIRE, FUEL

STAND_IN = "No pit is on record: the one with the least digging is drawn."
STATEMENT = (
    "Services were searched for, nobody went in deeper than allowed, the meter was read as written, and the ash lies "
    "covered. None of this sheet gave leave to light."
)
DRAWN = 0.72  # share of the page, so that section and plan stand on one page
_MEASURED = (Column("Distance to", "text", 5), Column("Asked, m", "number"), Column("Measured, m", "write", 2),
             Column("By", "write", 2))  # fmt: skip
_LOADINGS = (Column("Loading", "number"), Column("Hives", "text", 4), Column("Begun at", "write", 2),
             Column("Flames down at", "write", 2), Column("By", "write", 2))  # fmt: skip
_METER = (Column("Hour", "write", 1), Column("Where", "write", 3), Column("% of the lower limit", "write", 2),
          Column("Read by", "write", 2), Column("Second person", "write", 2))  # fmt: skip


def pit_sheet(desk: Desk) -> Sheet:
    """Pit, fire site and wait of the condemned hives of the yard, or a blank sheet."""
    dug, trouble = desk.attempt(lambda case: _pit(case, desk))
    fire, no_fire = desk.attempt(lambda case: _fire(case, desk, dug))
    wait, no_wait = desk.attempt(lambda case: _wait(case, desk)) if _petrol(desk) else (None, "")
    blocks: list[Block] = [
        *_pit_page(desk, dug, trouble), NewPage(), *_fire_page(fire, no_fire), NewPage(), *_wait_page(wait, no_wait),
        Signatures(("Leader", "Second person"), STATEMENT), *foundations(desk.blank, dug, fire, wait),
    ]  # fmt: skip
    return Sheet("pit", f"Pit and fire sheet{f' – {desk.yard}' if desk.yard else ''}", head_of(desk), filled(blocks))


def _pit(case: Case, desk: Desk) -> PitPlan:
    """The pit that is asked for or recorded, else the one with the least digging."""
    try:
        return planned_pit(case, desk)
    except UserError:
        hives = desk.ask.hives or condemned(case.situation(), desk.yard)
        order = chosen_order(case, PitOrder(hives=hives, length_m=0, width_m=0, depth_m=0), desk.yard)
        if order is None:
            raise
        return pit(case, order, desk.yard)


def _on_record(desk: Desk) -> bool:
    return desk.ask.pit is not None or any(row.apiary == desk.yard and row.depth_m for row in desk.situation.rows(Pit))


def _fire(case: Case, desk: Desk, pit: PitPlan | None) -> FireSitePlan:
    if pit is None:
        raise UserError("Without a pit there is no fire site.", "Plan the pit first.")
    size = (pit.order.length_m, pit.order.width_m, pit.order.depth_m)
    return fire_site(case, FireSiteAsk(apiary=desk.yard, hives=desk.ask.hives, size=size))


def _wait(case: Case, desk: Desk) -> WaitingPlan:
    return waiting(case, WaitingAsk(apiary=desk.yard, hives=desk.ask.hives))


def _petrol(desk: Desk) -> bool:
    """Whether petrol is asked for or ordered: the wait is about nothing else."""
    return bool(desk.case) and "petrol" in (desk.ask.agent, ordered_agent(desk.situation, desk))


def _pit_page(desk: Desk, plan: PitPlan | None, trouble: str) -> Iterator[Block]:
    yield Framed("CANNOT BE WORKED OUT", tuple(filter(None, [trouble])), loud=True)
    yield cautions(DIGGING, FIRE)
    if plan and plan.against:
        yield Framed("DOES NOT FIT HERE", (*plan.against, *plan.would), loud=True)
    yield _numbers(plan)
    if plan:
        yield Lines("Pit", (plan.verdict, *([] if _on_record(desk) else [STAND_IN])), small=True)
        marks = pit_marks()
        yield Picture("", pit_section(plan, marks), DRAWN)
        yield Picture("", pit_view(plan, marks), DRAWN)
    yield Grid("Measured on the ground before the first spade", _MEASURED, tuple(_asked(desk)), spare=desk.spare(1),
               room=True)  # fmt: skip
    yield Ticks("Before the first spade", (
        "Buried cables and pipes searched for, by whom and with what", "Landowner shown the place and agrees",
        "A way out of the pit where anybody enters", "Spoil and stacks kept back from the edge",
    ), columns=2)  # fmt: skip


def _numbers(plan: PitPlan | None) -> Facts:
    labels = ("Floor", "Depth", "Walls", "Boxes, frames", "Loose heap", "Honey", "If all ran", "Soil to put on",
              "Settled cover", "To dig", "Spoil heap", "By hand")  # fmt: skip
    if plan is None:
        return Facts("Load and pit", tuple(Fact(label) for label in labels), columns=4)
    order, load = plan.order, plan.load
    said = (
        f"{order.length_m:g} × {order.width_m:g} m", f"{order.depth_m:g} m ({plan.needed_depth_m:.2f} m needed)",
        f"{order.slope:g} run to 1 of rise" if order.slope else "upright", f"{load.boxes}, {load.frames}",
        f"{load.comb_m3:.2f} m³", f"{load.honey_kg:.0f} kg, {load.honey_l:.0f} L", f"{plan.liquid_mm:.0f} mm deep",
        f"{plan.place_m3:.2f} m³ loose", f"{plan.cover_m:.2f} m", f"{plan.dug_m3:.1f} m³",
        f"{plan.spoil_m3:.1f} m³ loose", f"{plan.hours:.1f} h with {order.people}",
    )  # fmt: skip
    return Facts("Load and pit", tuple(Fact(*pair) for pair in zip(labels, said, strict=True)), columns=4)


def _asked(desk: Desk) -> Iterator[tuple[str, ...]]:
    for _, key, what in NEAR:
        asked = desk.profile.optional(key)
        yield (what, f"{asked.value:g}" if asked else "", "", "")


def _fire_page(plan: FireSitePlan | None, trouble: str) -> Iterator[Block]:
    yield Framed("FIRE SITE: CANNOT BE WORKED OUT", tuple(filter(None, [trouble])), loud=True)
    yield cautions(FIRE, FUEL)
    names = ("People from the rim", "Bare earth", "Buildings", "No flame near petrol", "Hives in one loading",
             "Ash watched")  # fmt: skip
    if plan is None:
        yield Facts("Fire site", tuple(Fact(name) for name in names), columns=3)
    else:
        stage = plan.stage
        said = (f"{stage.people.distance_m:.1f} m", f"{stage.bare_earth.distance_m:.1f} m",
                f"{stage.buildings.distance_m:.1f} m", f"{plan.exclusion.distance_m:.1f} m",
                f"{stage.hives}, {plan.stages} loadings", f"at least {plan.ash_watch_h:g} h")  # fmt: skip
        yield Facts("Fire site", tuple(Fact(*pair) for pair in zip(names, said, strict=True)), columns=3)
        yield Picture("", site_plan(plan), DRAWN)
        yield Lines("Mind here", (plan.verdict, *plan.against, *plan.warnings), "–", small=True)
    rows = tuple((str(n), "", "", "", "") for n in range(1, (plan.stages if plan else 4) + 1))
    yield Grid("Loadings, combs first", _LOADINGS, rows, room=True)


def _wait_page(plan: WaitingPlan | None, trouble: str) -> Iterator[Block]:
    yield Framed("WAIT: CANNOT BE WORKED OUT", tuple(filter(None, [trouble])), loud=True)
    yield cautions(FUEL, FIRE)
    if plan:
        yield Lines("Wait after petrol", (plan.verdict, *plan.reading), "–", small=True)
        yield Picture("", vapour_curve(plan), DRAWN)
    yield Grid("Log of the gas meter: pit and hives, before every flame and every lid", _METER, (), spare=6, room=True)
