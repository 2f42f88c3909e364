"""Whether two samples of outbreaks come from one law, by stated tests: mean, spread and shape of each column."""

from __future__ import annotations

import numpy as np
from scipy.stats import ks_2samp, levene, ttest_ind

LEAST = 1e-3  # a sound pair is called different once in a thousand comparisons


def unlike(a: np.ndarray, b: np.ndarray) -> float:
    """Least p-value over all columns, corrected for their number (Bonferroni).

    Mean: Welch's t test. Spread: Brown and Forsythe's test on distances from the median. Shape: Kolmogorov and
    Smirnov, which errs on the careful side with whole numbers. a, b: (outbreaks, columns). Columns that are constant
    and equal in both are left out.
    """
    found: list[float] = []
    for x, y in zip(a.T, b.T, strict=True):
        if x.min() == x.max() == y.min() == y.max():
            continue
        shape = ks_2samp(x, y, method="asymp").pvalue
        found += [ttest_ind(x, y, equal_var=False).pvalue, levene(x, y, center="median").pvalue, shape]
    return min(1.0, float(min(found)) * len(found))
