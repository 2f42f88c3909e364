"""What looks and tests can show: their worth from frames and shaking, the time until signs, signs that come and go."""

from __future__ import annotations

import numpy as np
from scipy.special import gammaincinv, ndtri

from ashcomb.outbreak.scene import Floats
from ashcomb.science.detection import look_worth
from ashcomb.science.onset import DAYS_IN_MONTH
from ashcomb.sources.library import value

STEPS = 2048
LAWS = ("gamma", "lognormal", "table")


def onset_quantiles(law: str = "gamma", steps: int = STEPS) -> Floats:
    """Days with brood from infection to first signs, at equal steps of chance from 0 to 1, shape (steps + 1,).

    law: gamma (default), lognormal (the longer tail) or table (the published months; the last nine in a hundred never
    within reach). Never below the least time. The highest step stands for the chance 1 - 1 / (4 steps).
    """
    chance = np.minimum(np.arange(steps + 1) / steps, 1 - 0.25 / steps)
    least = value("disease.onset_least_days").value
    if law == "gamma":
        shape, scale = value("disease.onset_gamma_shape").value, value("disease.onset_gamma_scale").value
        months = gammaincinv(shape, chance) * scale
    elif law == "lognormal":
        median, sd = value("disease.onset_lognormal_median").value, value("disease.onset_lognormal_sd").value
        months = median * np.exp(sd * ndtri(np.maximum(chance, 1e-12)))
    elif law == "table":
        shares = np.cumsum([0.0, *(value(f"disease.onset_month_{k}").value for k in range(1, 7))])
        months = np.where(chance <= shares[-1], np.interp(chance, shares, np.arange(7)), np.inf)
        least = 0.0
    else:
        raise ValueError(f"unknown onset law {law!r}")
    return np.asarray(np.maximum(months * DAYS_IN_MONTH, least), dtype=np.float64)


def remission() -> Floats:
    """Share of cases that lose their signs for a while, within how many days, for how many at least and at most."""
    keys = ("disease.remission_share", "outbreak.remission_within_days", "outbreak.remission_least_days",
            "outbreak.remission_most_days")  # fmt: skip
    return np.array([value(key).value for key in keys])


def worth(brood_frames: int | None, seen: int | None, shaken: int | None) -> float:
    """Chance that a look notices a colony that shows signs, from the brood frames present, seen and shaken.

    Frames not noted as shaken count as unshaken. A look without frames has a stated worth, a hive without brood none.
    """
    best = value("surveillance.look_sensitivity").value
    if brood_frames is None or seen is None:
        return best * value("outbreak.unnoted_look_worth").value
    if not brood_frames or not seen:
        return 0.0
    diseased = min(int(value("outbreak.diseased_frames").value), brood_frames)
    bare = min(shaken or 0, seen)
    share = look_worth(brood_frames, bare, seen - bare, diseased, 1, value("surveillance.unshaken_worth").value)
    return best * float(share)


def alike(brood_frames: int | None, seen: int | None) -> float:
    """How alike looks without frames are, see `scene.Look`; 0 for a look with frames.

    Their one worth is unknown, evenly within its range: the beta law of the same mean and variance stands for it (J. G.
    Skellam, J. R. Stat. Soc. B 10, 1948, 257-261, for the counts that follow; from memory).
    """
    if brood_frames is not None and seen is not None:
        return 0.0
    best, unnoted = value("surveillance.look_sensitivity").value, value("outbreak.unnoted_look_worth")
    mean, variance = best * unnoted.value, best**2 * (unnoted.high - unnoted.low) ** 2 / 12.0
    return variance / (mean * (1.0 - mean) - variance)
