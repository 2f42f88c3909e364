"""The waiting plan: what petrol is still in dosed hives, how long it may stay, and why no calculation clears them.

The least wait is a floor by rule or practice. Above it only a calibrated meter with hour and two names counts, and
death is checked twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.hive_air import hive_air
from ashcomb.plans.hive_vapour import Curve, HiveVapour, closed_curves, hive_vapour, open_curves
from ashcomb.plans.hold import MeterReading, clearance_share, meter_gate
from ashcomb.plans.petrol_dose import POURED, boxes_dose, petrol_dose
from ashcomb.plans.result import Gate, Plan
from ashcomb.plans.waiting_air import air_temperature
from ashcomb.plans.waiting_gates import Floor, death_gate, floor_of, moment_of, wait_gate
from ashcomb.plans.waiting_words import reading, warnings_of, why_dose
from ashcomb.records.acts import Kill
from ashcomb.records.situation import Situation
from ashcomb.records.state import KillState, kill_states
from ashcomb.science.cautions import FIRE, FUEL
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingOrder:
    """What is asked for. now: aware, in the zone of the place.

    dose_ml: the same for every hive; None takes what is recorded, then what the profile asks.  temperature_c: of the
    air; None takes the weather recorded nearest to `now`.  wind_m_s: over open comb; None takes a light wind.
    """

    apiary: str
    hives: tuple[str, ...]
    now: datetime
    dose_ml: float | None = None
    temperature_c: float | None = None
    wind_m_s: float | None = None
    meter: MeterReading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingPlan(Plan):
    """Vapour and time for dosed hives. left_out: (hive, why).  slowest: the hive that keeps its vapour longest.

    closed, open_comb: curves of that hive.  lel_vol_pct, uel_vol_pct: flammable band.  clearance_vol_pct: gas at the
    meter reading below which it may count.  enough: why a dose is enough or not.  There is no field that says cleared.
    """

    order: WaitingOrder
    temperature_c: float
    hives: tuple[HiveVapour, ...]
    left_out: tuple[tuple[str, str], ...]
    slowest: HiveVapour
    closed: tuple[Curve, ...]
    open_comb: tuple[Curve, ...]
    lel_vol_pct: float
    uel_vol_pct: float
    clearance_vol_pct: float
    last_dose: datetime | None
    floor: Floor
    gates: tuple[Gate, ...]
    reading: tuple[str, ...]
    enough: tuple[str, ...]
    warnings: tuple[str, ...]
    verdict: str

    @property
    def unmet(self) -> tuple[Gate, ...]:
        """Conditions that are not met."""
        return tuple(gate for gate in self.gates if not gate.met)


def waiting_plan(situation: Situation, profile: CodeProfile, order: WaitingOrder) -> WaitingPlan:
    """The waiting plan for hives that were or will be dosed with petrol.

    Raises UserError when no hive can be reckoned (nothing counted, no dose), or a number lies outside its range;
    ValueError when `now` has no zone.
    """
    if order.now.tzinfo is None:
        raise ValueError("the waiting plan needs an aware moment")
    if order.dose_ml is not None and order.dose_ml <= 0:
        raise UserError(f"{order.dose_ml:g} mL is no dose.", "Give the petrol poured into each hive, or leave it out.")
    figures, states = Figures(profile), kill_states(situation)
    share = clearance_share(figures)
    temperature, doubt = air_temperature(situation, order.apiary, order.now, order.temperature_c, figures)
    hives, left_out = _hives(situation, order, states, temperature, share, figures)
    slowest = max(hives, key=lambda h: (h.below_clearance_h[2], h.hive))
    light = order.wind_m_s if order.wind_m_s is not None else float(figures.ours("waiting.wind_light"))
    calm = min(light, float(figures.ours("waiting.wind_calm")))
    winds = {f"wind {wind:g} m/s": wind for wind in (light, calm)}
    lel, uel = float(figures.ours("vapour.lel")), float(figures.ours("vapour.uel"))
    last = _last_dose([states[h.hive] for h in hives if h.hive in states], order.now)
    floor = floor_of(figures, last)
    apart = float(figures.theirs("kill.recheck_h", "night.recheck_hours"))
    gates = (wait_gate(floor, order.now), death_gate([h.hive for h in hives], states, apart),
             meter_gate(order.meter, order.now, figures))  # fmt: skip
    return WaitingPlan(
        order=order, temperature_c=temperature, hives=hives, left_out=left_out, slowest=slowest,
        closed=closed_curves(slowest, temperature, figures),
        open_comb=open_curves(slowest, temperature, winds, figures),
        lel_vol_pct=lel, uel_vol_pct=uel, clearance_vol_pct=lel * share, last_dose=last, floor=floor, gates=gates,
        reading=reading(slowest, lel, uel, share), enough=why_dose(hives, figures),
        warnings=warnings_of(slowest, temperature, figures), verdict=_verdict(gates, share),
        uses=figures.taken, rules=figures.rules, assumptions=(*_ASSUMED, *([doubt] if doubt else [])),
        cautions=(FUEL, FIRE),
    )  # fmt: skip


_ASSUMED = (
    "Petrol is a mixture of twelve hydrocarbons of middle volatility; what is sold differs by season and place.",
    "Gas and liquid are in balance and evenly mixed. Petrol soaked up by wax and wood comes out later, unreckoned.",
    "How much air a taped hive leaks was never measured: the whole range is shown, and times go with its inverse.",
    "Bees, brood and pollen take no room; one area is wetted by a dose, whatever its size.",
)


def _hives(
    situation: Situation, order: WaitingOrder, states: dict[str, KillState], temperature: float, share: float,
    figures: Figures,
) -> tuple[tuple[HiveVapour, ...], tuple[tuple[str, str], ...]]:  # fmt: skip
    found, left_out, known = [], [], {}  # type: ignore[var-annotated]
    for mark in dict.fromkeys(order.hives):
        air = hive_air(situation, mark, figures)
        by_boxes = boxes_dose(air.boxes, figures)
        dose = petrol_dose(order.dose_ml, states.get(mark), by_boxes)
        if air.air_l is None or dose.ml is None:
            left_out.append((mark, air.how if air.air_l is None else dose.why))
            continue
        found.append(hive_vapour(air, dose, by_boxes, temperature, figures=figures, share=share, known=known))
    if not found:
        words = "; ".join(f"{mark}: {why}" for mark, why in left_out) or "no hive is named"
        raise UserError(
            f"No hive can be reckoned: {words}.", "Count boxes, record the dose, or give one for all hives."
        )
    return tuple(found), tuple(left_out)


def _last_dose(states: list[KillState], now: datetime) -> datetime | None:
    doses: list[Kill] = [step for state in states for step in state.steps if step.step in POURED]
    moments = [moment for dose in doses if (moment := moment_of(dose)) is not None]
    return max(moments).replace(tzinfo=now.tzinfo) if moments and len(moments) == len(doses) else None


def _verdict(gates: tuple[Gate, ...], share: float) -> str:
    unmet = [gate.name for gate in gates if not gate.met]
    limit = f"below {share * 100:g} % of the lower explosive limit"
    if unmet:
        return f"Not cleared, and no calculation clears: {', '.join(unmet)} not met. Only a meter {limit} counts."
    return (f"Not cleared by calculation. All that is asked for is recorded; a calibrated meter {limit} is read again "
            "at the hive, with hour and two names, before a lid is lifted or a flame comes near.")  # fmt: skip
