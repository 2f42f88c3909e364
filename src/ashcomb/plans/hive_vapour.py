"""Petrol vapour in one dosed hive: what evaporates, how strong it is, and how long it lasts when the hive leaks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

import numpy as np

from ashcomb.plans.figures import Figures
from ashcomb.plans.hive_air import HiveAir
from ashcomb.plans.petrol_dose import Dose, DoseFrom
from ashcomb.science.arrays import Array
from ashcomb.science.evaporation import leaking_hive, open_comb_left
from ashcomb.science.vapour import sealed_hive
from ashcomb.sources.library import values

_TEN = 10.0  # litres
_HOURS = np.geomspace(0.01, 500.0, 160)  # at the usual exchange; other exchanges scale with its inverse
TOLD_HOURS = (0.25, 1.0, 3.0, 8.0, 24.0, 72.0)
DRAWN_HOURS = np.union1d(np.geomspace(0.1, 1000.0, 121), TOLD_HOURS)


@dataclass(frozen=True, slots=True, kw_only=True)
class HiveVapour:
    """One dosed hive. dose_ml: petrol poured.  boxes_dose_ml: what the profile asks for so many boxes, or None.

    evaporated_share, vapour_vol_pct, lel_multiple, oxygen_vol_pct: shut tight, at balance.  liquid_ml: then still
    liquid.  more_vol_pct: vapour if the dose had been larger by `waiting.more_dose`.  below_lel_h, below_clearance_h:
    hours until the gas falls below the limit and below the share of it that clears, by (greatest, usual, least) leak.
    liquid_at_lel_ml: still liquid at the usual leak when the gas falls below the limit; warmth brings it back.
    """

    air: HiveAir
    dose_ml: float
    dose_from: DoseFrom | None
    boxes_dose_ml: float | None
    fuel_kg: float
    evaporated_share: float
    vapour_vol_pct: float
    lel_multiple: float
    oxygen_vol_pct: float
    liquid_ml: float
    more_vol_pct: float
    below_lel_h: tuple[float, float, float]
    below_clearance_h: tuple[float, float, float]
    liquid_at_lel_ml: float

    @property
    def hive(self) -> str:
        """Mark of the hive."""
        return self.air.hive


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One line of a drawing. left_share: mass share of the dose still there.  vol_pct: gas; empty for open comb."""

    name: str
    hours: tuple[float, ...]
    left_share: tuple[float, ...]
    vol_pct: tuple[float, ...] = ()


def exchanges_l_h(figures: Figures) -> tuple[float, float, float]:
    """The greatest, the usual and the least leak of a taped hive: never measured, so the whole range is used."""
    figures.ours("vapour.hive_exchange")
    leak = values()["vapour.hive_exchange"]
    return leak.high, leak.value, leak.low


def hive_vapour(
    air: HiveAir, dose: Dose, boxes_dose_ml: float | None, temperature_c: float, *,
    figures: Figures, share: float, known: dict[tuple[float, float], tuple[Array, Array]],
) -> HiveVapour:  # fmt: skip
    """The vapour of one hive. share: of the lower limit that clears.  known: runs done before.

    Air is rounded up to tens of litres for the times, which hardly feel it: the leak and the fuel decide.
    """
    litres, dose_ml = float(air.air_l or 0), float(dose.ml or 0)
    fuel = dose_ml / 1000 * float(figures.ours("vapour.mixture_density")) / 1000
    shut = sealed_hive(fuel, litres, temperature_c)
    more = sealed_hive(fuel * (1 + float(figures.ours("waiting.more_dose"))), litres, temperature_c)
    usual = exchanges_l_h(figures)[1]
    key = fuel, _tens(litres)
    if key not in known:
        run = leaking_hive(key[0], key[1], usual, temperature_c, _HOURS)
        known[key] = run.lel_multiple, run.liquid_share
    multiple, liquid = known[key]
    lel, clear = (_falls_below(multiple, limit) for limit in (1.0, share))
    return HiveVapour(
        air=air, dose_ml=dose_ml, dose_from=dose.source, boxes_dose_ml=boxes_dose_ml, fuel_kg=fuel,
        evaporated_share=float(shut.evaporated_share), vapour_vol_pct=float(shut.vapour_vol_pct),
        lel_multiple=float(shut.lel_multiple), oxygen_vol_pct=float(shut.oxygen_vol_pct),
        liquid_ml=dose_ml * (1 - float(shut.evaporated_share)), more_vol_pct=float(more.vapour_vol_pct),
        below_lel_h=_by_leak(lel, figures), below_clearance_h=_by_leak(clear, figures),
        liquid_at_lel_ml=dose_ml * max(0.0, float(np.interp(lel, _HOURS, liquid))),
    )  # fmt: skip


def closed_curves(hive: HiveVapour, temperature_c: float, figures: Figures) -> tuple[Curve, ...]:
    """Gas and what is left in a shut, leaking hive against time, at the greatest, the usual and the least leak."""
    found = []
    for leak in exchanges_l_h(figures):
        run = leaking_hive(hive.fuel_kg, hive.air.air_l or _TEN, leak, temperature_c, DRAWN_HOURS)
        found.append(Curve(name=f"{leak:g} L/h", hours=_numbers(DRAWN_HOURS), left_share=_numbers(run.left_share),
                           vol_pct=_numbers(run.vapour_vol_pct)))  # fmt: skip
    return tuple(found)


def open_curves(
    hive: HiveVapour, temperature_c: float, winds: Mapping[str, float], figures: Figures
) -> tuple[Curve, ...]:
    """What is left in comb that lies open, against time, for each wind in m/s."""
    area = float(figures.ours("vapour.wetted_area"))
    return tuple(
        Curve(name=name, hours=_numbers(DRAWN_HOURS), left_share=_numbers(
            np.asarray(open_comb_left(hive.fuel_kg, temperature_c, wind, area, DRAWN_HOURS * 60))))
        for name, wind in winds.items()
    )  # fmt: skip


def _falls_below(multiple: Array, limit: float) -> float:
    """Hours at the usual leak until a falling curve is below a limit; straight between points on log scales."""
    if multiple[0] < limit:
        return 0.0
    below = np.flatnonzero(multiple < limit)
    if not below.size:
        return float(_HOURS[-1])
    n = int(below[0])
    heights = np.log(np.maximum(multiple[[n, n - 1]], 1e-12))
    return float(np.exp(np.interp(np.log(limit), heights, np.log(_HOURS[[n, n - 1]]))))


def _tens(litres: float) -> float:
    return _TEN * max(1, ceil(litres / _TEN))


def _by_leak(hours_at_usual: float, figures: Figures) -> tuple[float, float, float]:
    swift, usual, slow = exchanges_l_h(figures)
    return hours_at_usual * usual / swift, hours_at_usual, hours_at_usual * usual / slow


def _numbers(array: Array) -> tuple[float, ...]:
    return tuple(float(f"{number:.6g}") for number in array)
