"""Plans the wait after petrol and the site of the fire, offers agents, and draws pit, site, vapour and night."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.fires import PitOrder, pit, pit_choice
from ashcomb.casework.nights import NightAsk, tonight
from ashcomb.drawings.night import night_line
from ashcomb.drawings.pit import PitMarks, pit_section, pit_view
from ashcomb.drawings.site import site_plan
from ashcomb.drawings.vapour import vapour_curve
from ashcomb.kernel.errors import UserError
from ashcomb.plans.agents import AgentsOrder, AgentsPlan, agents_plan
from ashcomb.plans.fire_ground import Ground
from ashcomb.plans.fire_site import FireOrder, FireSitePlan, fire_site_plan
from ashcomb.plans.hold import MeterReading
from ashcomb.plans.waiting import WaitingOrder, WaitingPlan, waiting_plan
from ashcomb.records.acts import Pit
from ashcomb.records.places import Apiary
from ashcomb.records.state import condemned
from ashcomb.sources.library import value

Size = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingAsk:
    """What somebody asks of the wait. Empty apiary: the index apiary.  Empty hives: all condemned ones there.

    dose_ml, temperature_c, wind_m_s, meter: as in `plans.waiting.WaitingOrder`.
    """

    apiary: str = ""
    hives: tuple[str, ...] = ()
    dose_ml: float | None = None
    temperature_c: float | None = None
    wind_m_s: float | None = None
    meter: MeterReading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FireSiteAsk:
    """What somebody asks of a fire site; the rest as in `plans.fire_site.FireOrder`.

    size: length, width and depth of the pit in m; None takes the newest recorded pit of the apiary.
    """

    apiary: str = ""
    hives: tuple[str, ...] = ()
    size: Size | None = None
    at_once: int | None = None
    petrol_ml: float | None = None
    on_site_l: float | None = None
    temperature_c: float | None = None
    ground: Ground = Ground()  # noqa: RUF009


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawAsk:
    """What the drawings rest on; each takes what it needs. pit: None for the recorded pit."""

    waiting: WaitingAsk = WaitingAsk()
    site: FireSiteAsk = FireSiteAsk()
    night: NightAsk = NightAsk()  # noqa: RUF009
    pit: PitOrder | None = None
    apiary: str = ""


def waiting(case: Case, ask: WaitingAsk) -> WaitingPlan:
    """The waiting plan; raises UserError for an unknown apiary or where no hive can be reckoned."""
    mark, hives = _hives(case, ask.apiary, ask.hives)
    order = WaitingOrder(apiary=mark, hives=hives, now=case.now(), dose_ml=ask.dose_ml, wind_m_s=ask.wind_m_s,
                         temperature_c=ask.temperature_c, meter=ask.meter)  # fmt: skip
    return waiting_plan(case.situation(), case.profile(), order)


def fire_site(case: Case, ask: FireSiteAsk) -> FireSitePlan:
    """The plan of a fire site; raises UserError for an unknown apiary or where no pit is given or recorded."""
    mark, hives = _hives(case, ask.apiary, ask.hives)
    length, width, depth = ask.size or recorded_pit(case, mark)
    order = FireOrder(apiary=mark, hives=hives, now=case.now(), length_m=length, width_m=width, depth_m=depth,
                      at_once=ask.at_once, petrol_ml=ask.petrol_ml, on_site_l=ask.on_site_l,
                      temperature_c=ask.temperature_c, ground=ask.ground)  # fmt: skip
    return fire_site_plan(case.situation(), case.profile(), order)


def agents(case: Case, apiary: str = "", hives: tuple[str, ...] = (), day: date | None = None) -> AgentsPlan:
    """The agents that the profile offers for these hives; chooses none."""
    mark, chosen = _hives(case, apiary, hives)
    order = AgentsOrder(apiary=mark, hives=chosen, day=day or case.now().date())
    return agents_plan(case.situation(), case.profile(), order)


def drawing(case: Case, name: str, ask: DrawAsk | None = None) -> str:
    """One drawing as SVG text, black on white, the same bytes for the same case.

    name: one of `drawing_names()`. Raises UserError for another name, and whatever the plan behind it raises.
    """
    if name not in _DRAWN:
        raise UserError(f"There is no drawing “{name}”.", f"Choose one of {', '.join(_DRAWN)}.")
    return _DRAWN[name](case, ask or DrawAsk())


def drawing_names() -> tuple[str, ...]:
    """The drawings there are."""
    return tuple(_DRAWN)


def recorded_pit(case: Case, apiary: str) -> Size:
    """Length, width and depth in m of the newest pit of an apiary that has all three; UserError if none has."""
    whole = [
        (row.length_m, row.width_m, row.depth_m)
        for row in case.situation().rows(Pit)
        if row.apiary == apiary and row.length_m and row.width_m and row.depth_m
    ]
    if not whole:
        raise UserError(f"No pit with length, width and depth is recorded for {apiary}.",
                        "Give --length, --width and --depth, or record the pit.")  # fmt: skip
    length, width, depth = whole[-1]
    return float(length or 0), float(width or 0), float(depth or 0)


def _hives(case: Case, apiary: str, hives: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
    situation = case.situation()
    mark = apiary or case.head.index
    if mark not in situation.by_mark(Apiary):
        raise UserError(f"“{mark}” is not a known apiary.", "Choose one that is in the records, or name one.")
    chosen = hives or condemned(situation, mark)
    if not chosen:
        raise UserError(f"No condemned hive stands at {mark}.", "Record the order or the case, or name the hives.")
    return mark, chosen


def pit_pictures(case: Case, order: PitOrder, apiary: str = "") -> str:
    """Section and plan of a pit as two SVGs; '' where no size is given and no pit would do.

    An order without size draws the pit with the least digging. Raises UserError as `pit` does.
    """
    drawn = order if order.length_m else chosen_order(case, order, apiary)
    return "".join(_drawn_pit(case, drawn, apiary, draw) for draw in (pit_section, pit_view)) if drawn else ""


def chosen_order(case: Case, wish: PitOrder, apiary: str = "") -> PitOrder | None:
    """The order of the pit with the least digging, or None where no pit would do."""
    choice = pit_choice(case, wish, apiary)
    return choice.plans[0][1].order if choice.plans else None


def _drawn_pit(case: Case, order: PitOrder, apiary: str, draw: Callable[..., str]) -> str:
    return draw(pit(case, order, apiary), pit_marks())


def pit_marks() -> PitMarks:
    """How far the drawings of a pit keep spoil from its edge, and a way out within reach."""
    return PitMarks(value("pit.spoil_setback").value, value("pit.exit_distance").value)


def _pit(case: Case, ask: DrawAsk, draw: Callable[..., str]) -> str:
    mark = ask.apiary or case.head.index
    order = ask.pit
    if order is None:
        length, width, depth = recorded_pit(case, mark)
        order = PitOrder(hives=(), length_m=length, width_m=width, depth_m=depth)
    return _drawn_pit(case, order, mark, draw)


__all__ = [
    "DrawAsk",
    "FireSiteAsk",
    "Ground",
    "MeterReading",
    "WaitingAsk",
    "agents",
    "chosen_order",
    "drawing",
    "drawing_names",
    "fire_site",
    "pit_marks",
    "pit_pictures",
    "recorded_pit",
    "waiting",
]

_DRAWN: dict[str, Callable[[Case, DrawAsk], str]] = {
    "pit-section": lambda case, ask: _pit(case, ask, pit_section),
    "pit-plan": lambda case, ask: _pit(case, ask, pit_view),
    "site": lambda case, ask: site_plan(fire_site(case, ask.site)),
    "vapour": lambda case, ask: vapour_curve(waiting(case, ask.waiting)),
    "night": lambda case, ask: night_line(tonight(case, ask.night)),
}
