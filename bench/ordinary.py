"""Inputs as they come in the work, for formulas whose inputs depend on one another or are no plain numbers.

A pair of floats is a range to draw from, a pair of whole numbers a range of whole numbers; anything else is given as it
stands. What is not named here is drawn from the whole range that the formula allows.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from fractions import Fraction
from typing import Any

SEEN = {"units": (100, 400), "infected": (1, 8), "tested": (10, 90)}
EVENING = {"latitude_deg": (-60.0, 60.0), "longitude_deg": (-179.0, 179.0)}
ORDINARY: dict[str, dict[str, Any]] = {
    "group_sensitivity": SEEN, "group_sensitivity_approx": SEEN, "group_sensitivity_big": SEEN,
    "least_number": {"units": (40, 200), "infected": (1, 8), "target": (0.5, 0.95)},
    "least_number_cannon": {"units": (40, 200), "infected": (1, 8), "target": (0.5, 0.95)},
    "least_number_cannon_roe": {"units": (40, 200), "infected": (1, 8), "target": (0.5, 0.95)},
    "least_number_big": {"units": (1000, 100_000), "infected": (10, 100), "target": (0.5, 0.95)},
    "least_number_two_sided": {"prevalence": (0.05, 0.3), "sensitivity": (0.7, 0.95), "specificity": (0.97, 0.999),
                               "error": (0.01, 0.1)},
    "group_test": {"units": (40, 100), "infected": (1, 8), "tested": (10, 40), "cut_point": (1, 3)},
    "dose_uniformity": {"maximum_kgy": (30.0, 60.0), "minimum_kgy": (10.0, 25.0)},
    "look_worth": {"brood_frames": (8, 12), "shaken": (1, 4), "unshaken": (0, 4), "diseased_frames": (1, 4)},
    "look_worth_spread": {"brood_frames": (8, 12), "shaken": (1, 4), "unshaken": (0, 4), "cells": (1, 100)},
    "all_missed": {"shown": [0.6, 0.9], "with_signs": [0.3, 0.6], "before": [0.5, 0.5]},
    "mixed_group_sensitivity": {"missed": [0.2] * 40, "infected": (1, 4)},
    "freedom_with_introductions": {"introductions": [0.01, 0.02, 0.01], "missed": [0.3, 0.2, 0.3, 0.3]},
    "combined_sensitivity": {"sensitivities": [0.5, 0.7, 0.9]},
    "system_sensitivity": {"apiary_sensitivities": [0.8] * 20},
    "adjusted_risks": {"relative_risks": [5, 1], "shares": [Fraction(1, 4), Fraction(3, 4)]},
    "risk_weighted_sensitivity": {"relative_risks": [5, 1], "shares": [Fraction(1, 4), Fraction(3, 4)],
                                  "tested": [20, 10]},
    "exact_interval": {"cases": (0, 20), "trials": (21, 400)},
    "bleach_dilution": {"product_percent": (3.0, 15.0), "wanted_percent": (0.3, 2.0)},
    "brood_months": {"days": (100.0, 400.0), "broodless_days": (0.0, 90.0)},
    "still_infected": {"clear_months": [2.0, 5.0]},
    "stacks_on_pallet": {"length_mm": (400, 600), "width_mm": (350, 500), "pallet_length_mm": 1240,
                         "pallet_width_mm": 1200},
    "fire_weather_day": {"ffmc": (50.0, 95.0), "dmc": (1.0, 150.0), "dc": (10.0, 600.0), "temperature_c": (-5.0, 40.0),
                         "humidity_pct": (10.0, 100.0), "wind_km_h": (0.0, 60.0), "rain_mm": (0.0, 30.0)},
    "solid_flame_m": {"diameter_m": (0.5, 4.0), "height_m": (0.5, 8.0), "flux_kw_m2": (1.0, 13.0)},
    "load_energy_mj": {"mass_kg": [30.0, 2.0, 10.0, 0.0, 0.0, 0.2], "heat_mj_kg": [16.0, 42.0, 12.0, 43.0, 40.0, 43.7]},
    "plume_kg_m3": {"air": "stable"}, "plume_distance_m": {"air": "stable"}, "steepest_slope": {"soil": "B"},
    "sun_night": {**EVENING, "zone_name": "Etc/GMT-5", "day": date(2031, 5, 14)},
    "dark_below": {**EVENING, "zone_name": "Etc/GMT-5", "day": date(2031, 5, 14)},
    "moon_at": {**EVENING, "moment": datetime(2031, 5, 14, 16, tzinfo=UTC)},
}  # fmt: skip
