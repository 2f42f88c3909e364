"""Vapour and evaporation of many hives at once, beside a general solver that takes them one by one."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from measure import Case, Table
from scipy.integrate import solve_ivp

from ashcomb.science.evaporation import leaking_hive, open_comb_left, open_comb_minutes
from ashcomb.science.mixture import petrol
from ashcomb.science.vapour import gas_capacity_mol, liquid_mol, sealed_hive
from ashcomb.science.vapour_distance import plume_distance_m

HIVES = 5_000
ONE_BY_ONE = 20


def tables() -> Iterator[Table]:
    """Ordinary hives: 100 to 800 mL, 20 to 120 L of air, 50 to 1000 L/h, 0 to 35 °C, 1 to 48 h."""
    draw = np.random.default_rng(3).uniform
    fuel, air = draw(0.07, 0.6, HIVES), draw(20, 120, HIVES)
    leak, warm, hours = draw(50, 1000, HIVES), draw(0, 35, HIVES), draw(1, 48, HIVES)
    wind, area = draw(0.1, 3, HIVES), draw(0.1, 0.5, HIVES)

    def solver() -> None:
        for n in range(ONE_BY_ONE):
            start, room = petrol().moles(fuel[n]), gas_capacity_mol(air[n], warm[n])

            def fall(_: float, log: np.ndarray, first: np.ndarray = start, space: np.ndarray = room) -> np.ndarray:
                return -space / (liquid_mol(first * np.exp(log), space)[..., None] + space)

            solve_ivp(fall, (0, hours[n] * leak[n] / air[n]), np.zeros(start.size), "LSODA", rtol=1e-6)

    yield Table("Hive cases", [
        Case("general solver (LSODA), one by one", solver, ONE_BY_ONE),
        Case("leaking_hive", partial(leaking_hive, fuel, air, leak, warm, hours), HIVES),
        Case("sealed_hive", partial(sealed_hive, fuel, air, warm), HIVES),
        Case("open_comb_left", partial(open_comb_left, fuel, warm, wind, area, hours * 60), HIVES),
        Case("open_comb_minutes", partial(open_comb_minutes, fuel, warm, wind, area, draw(0.01, 0.9, HIVES)), HIVES),
        Case("plume_distance_m", partial(plume_distance_m, fuel / 1000, wind + 0.5, 0.039, "stable"), HIVES),
    ])  # fmt: skip
