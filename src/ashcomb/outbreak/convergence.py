"""Are the draws enough? Effective sample size and split R-hat of every quantity that is printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ashcomb.outbreak.scene import Floats, Ints, Scene

if TYPE_CHECKING:
    from ashcomb.outbreak.posterior import Draws

_BATCHES = 20


@dataclass(frozen=True)
class Quality:
    """Least effective sample size and greatest R-hat over everything printed, with the quantities they belong to.

    colony_ess, colony_rhat (n): of each colony's chance; where a colony was always or never infected all draws count.
    """

    ess: float
    rhat: float
    weakest: str
    colony_ess: Floats
    colony_rhat: Floats


def split_rhat(chains: Floats) -> float:
    """Split R-hat of draws (chains, draws): 1 when the halves of all chains agree; 1 for a constant."""
    half = chains.shape[1] // 2
    parts = np.concatenate([chains[:, :half], chains[:, -half:]])
    within = parts.var(axis=1, ddof=1).mean()
    between = half * parts.mean(axis=1).var(ddof=1)
    if within == 0.0:
        return 1.0 if between == 0.0 else np.inf
    return float(np.sqrt((within * (half - 1) / half + between / half) / within))


def effective_size(chains: Floats) -> float:
    """Effective number of independent draws among (chains, draws), by the initial monotone sequence of all chains.

    Autocorrelations by Fourier transform, summed in pairs while these fall and stay positive. A constant counts fully.
    """
    m, n = chains.shape
    centred = chains - chains.mean(axis=1, keepdims=True)
    size = 1 << (2 * n - 1).bit_length()
    spectrum = np.fft.rfft(centred, size, axis=1)
    auto = np.fft.irfft(spectrum * np.conj(spectrum), size, axis=1)[:, :n] / n
    within = auto[:, 0].mean() * n / (n - 1)
    if within == 0.0:
        return float(m * n)
    total = within * (n - 1) / n + (chains.mean(axis=1).var(ddof=1) if m > 1 else 0.0)
    rho = 1.0 - (within - auto.mean(axis=0) * n / (n - 1)) / total
    rho[0] = 1.0
    pairs = rho[: n // 2 * 2].reshape(-1, 2).sum(axis=1)
    stop = int(np.argmax(pairs < 0.0)) if (pairs < 0.0).any() else len(pairs)
    falling = np.minimum.accumulate(pairs[: max(stop, 1)])
    return float(m * n / max(2.0 * falling.sum() - 1.0, 1.0 / np.log10(max(m * n, 10))))


def series(scene: Scene, draws: Draws, cases: Ints) -> dict[str, Floats]:
    """The numbers that are printed for the whole: infected ever, hidden now, hidden with signs, and sampled rates."""
    known = np.zeros(len(scene.first), dtype=bool)
    known[cases] = True
    now = (scene.end[draws.colony] > scene.horizon) & ~known[draws.colony]
    shown = now & (draws.onset <= scene.horizon)
    rows = {"infected": np.ones(len(draws.draw), dtype=bool), "hidden": now, "hidden with signs": shown}
    found: dict[str, Floats] = {
        name: np.bincount(draws.draw[kept], minlength=draws.count).astype(np.float64) for name, kept in rows.items()
    }
    for k in range(draws.rates.shape[1]):
        if np.ptp(draws.rates[:, k]) > 0.0:
            found[f"rate {k}"] = draws.rates[:, k]
    return found


def quality(scene: Scene, draws: Draws, cases: Ints) -> Quality:
    """How good the draws are."""
    chains = int(draws.chain[-1]) + 1
    length = draws.count // chains
    worst, weakest, rhat = np.inf, "", 1.0
    for name, values in series(scene, draws, cases).items():
        shaped = values.reshape(chains, length)
        size, agreement = effective_size(shaped), split_rhat(shaped)
        if size < worst:
            worst, weakest = size, name
        rhat = max(rhat, agreement)
    ess, agree = _colonies(scene, draws, chains, length)
    if ess.min(initial=np.inf) < worst:
        worst, weakest = float(ess.min()), f"colony {int(ess.argmin())}"
    return Quality(float(worst), max(rhat, float(agree.max(initial=1.0))), weakest, ess, agree)


def _colonies(scene: Scene, draws: Draws, chains: int, length: int) -> tuple[Floats, Floats]:
    """Effective size and R-hat of each colony's chance from the means of batches; rare ones pool their batches."""
    n, total = len(scene.first), chains * length
    batches = min(_BATCHES, max(2, length // 5))
    size = length // batches
    used = size * batches
    batch = np.where(np.arange(total) % length < used, (np.arange(total) // length) * batches
                     + np.minimum(np.arange(total) % length // max(size, 1), batches - 1), -1)  # fmt: skip
    row = batch[draws.draw]
    counts = np.zeros((n, chains * batches), dtype=np.int32)
    np.add.at(counts, (draws.colony[row >= 0], row[row >= 0]), 1)
    p = counts.sum(axis=1) / (used * chains)
    spread = size * (counts / size).var(axis=1, ddof=1)
    single = p * (1 - p)
    with np.errstate(divide="ignore", invalid="ignore"):
        ess = np.where(spread > 0, total * single / spread, total)
        means = counts.reshape(n, 2 * chains, -1)[:, :, :].sum(axis=2) / (used / 2) if batches % 2 == 0 else (
            counts.reshape(n, chains, batches).sum(axis=2) / used)  # fmt: skip
        half = used / 2 if batches % 2 == 0 else used
        within = (means * (1 - means)).mean(axis=1)
        agree = np.where(within > 0, np.sqrt((half - 1) / half + means.var(axis=1, ddof=1) / within), 1.0)
    return np.minimum(ess, float(total)), agree
