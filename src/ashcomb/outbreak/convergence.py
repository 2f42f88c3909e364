"""Are the draws enough? Effective sample size and split R-hat of every quantity that is printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ashcomb.outbreak.scene import Floats, Ints, Scene

if TYPE_CHECKING:
    from ashcomb.outbreak.posterior import Draws

_BATCHES = 20
_ANEW = 16  # apiaries and colonies with the least sizes by batches, whose sizes are looked at anew, at least
_DOUBTED = 0.1  # share of the apiaries that are
_CLEAR = 2.0  # standard errors from which a correlation of neighbouring pieces is more than noise
_KINDS = 40
_AT_ONCE = 8192  # colonies looked at together
_ALIKE, _APART = 32, 0.1  # colonies of about the same chance that tell of each other, at least; their least spread
_MOVED = 1.0  # own standard errors by which the others may move what is told of a colony, at most
Counts = NDArray[np.integer]
Tally = tuple[Floats, Counts, Counts]  # of each colony in a piece of a chain: sum of chances, visits, sweeps infected
Tallies = list[Tally]


@dataclass(frozen=True)
class Quality:
    """Least effective sample size and greatest R-hat over everything printed, with the quantities they belong to.

    chance, error (n): of each colony, see `Posterior`.  colony_ess (n): number of independent draws that would tell the
    chance as exactly.  colony_rhat (n): agreement of the halves of the chains about it.  weakest, farthest: names.
    """

    ess: float
    rhat: float
    weakest: str
    farthest: str
    chance: Floats
    error: Floats
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


def quality(scene: Scene, draws: Draws, cases: Ints, tallies: list[Tallies], span: int, burn: float) -> Quality:
    """How good the draws are. tallies: of each chain, alike in number, each over `span` sweeps (see `chain.Chain`); the
    share `burn` of them is left out.
    """
    chains = int(draws.chain[-1]) + 1
    length = draws.count // chains
    sizes, agreements = {}, {}
    for name, values in series(scene, draws, cases).items():
        shaped = values.reshape(chains, length)
        sizes[name], agreements[name] = effective_size(shaped), split_rhat(shaped)
    now = standing(scene, cases)
    for name, counts in apiaries(scene, draws, now, _batch(draws, chains, length)):
        ess, agree = batch_quality(*counts, chains)
        least = np.argsort(ess, kind="stable")[: max(_ANEW, int(_DOUBTED * len(ess)))]
        found = counts_at(draws, now, least).reshape(len(least), chains, length)
        ess[least] = [effective_size(c if name == "hidden cases" else np.minimum(c, 1.0)) for c in found]
        for words, all_of, worst in (("size", ess, np.argmin), ("agree", agree, np.argmax)):
            if len(all_of):
                k = int(worst(all_of))
                (sizes if words == "size" else agreements)[f"{name} of apiary {k}"] = float(all_of[k])
    chance, error, ess, agree = colony_quality(_late(tallies, burn), span)
    if len(chance):
        sizes[f"colony {int(ess.argmin())}"] = float(ess.min())
        agreements[f"colony {int(agree.argmax())}"] = float(agree.max())
    weakest, farthest = min(sizes, key=sizes.__getitem__), max(agreements, key=agreements.__getitem__)
    return Quality(sizes[weakest], agreements[farthest], weakest, farthest, chance, error, ess, agree)


def colony_sizes(tallies: list[Tallies], span: int, burn: float) -> Floats:
    """Effective sizes of the chances of all colonies (n); see `quality`."""
    return colony_quality(_late(tallies, burn), span)[2]


def _late(tallies: list[Tallies], burn: float) -> list[Tallies]:
    return [part[min(int(np.ceil(burn * len(part))), len(part) - 1) :] for part in tallies]


def _batch(draws: Draws, chains: int, length: int) -> tuple[Ints, int]:
    """Batch of each draw, or -1 for those at the beginning of a chain that fill none; and the size of a batch."""
    batches = min(_BATCHES, max(2, length // 10 * 2))
    size = length // batches
    within = np.arange(draws.count) % length - (length - size * batches)
    return np.where(within < 0, -1, np.arange(draws.count) // length * batches + within // max(size, 1)), size


def apiaries(
    scene: Scene, draws: Draws, now: Ints, batch: tuple[Ints, int]
) -> list[tuple[str, tuple[Floats, Floats, int]]]:
    """Hidden cases at each apiary at the horizon, and whether there are any: (sums, sums of squares) by batch.

    now (n): see `standing`.
    """
    places, (number, size) = len(scene.near_ptr) - 1, batch
    kept = (now[draws.colony] >= 0) & (number[draws.draw] >= 0)
    pairs, counts = np.unique(draws.draw[kept].astype(np.int64) * places + now[draws.colony[kept]], return_counts=True)
    at = pairs % places * (int(number.max(initial=0)) + 1) + number[pairs // places]
    cells = places * (int(number.max(initial=0)) + 1)
    found = [np.bincount(at, weights, cells).reshape(places, -1).astype(np.float64)
             for weights in (counts, counts**2, None)]  # fmt: skip
    return [("hidden cases", (found[0], found[1], size)), ("freedom", (found[2], found[2], size))]


def standing(scene: Scene, cases: Ints) -> Ints:
    """Apiary of each colony at the horizon, or -1 where it is a known case or stands no more."""
    now = np.full(len(scene.first), -1, dtype=np.int64)
    there = (scene.stay_from <= scene.horizon) & (scene.stay_to > scene.horizon)
    now[scene.stay_of[there]] = scene.stay_place[there]
    now[cases] = -1
    now[scene.end <= scene.horizon] = -1
    return now


def counts_at(draws: Draws, now: Ints, places: Ints) -> Floats:
    """Hidden cases at these apiaries at the horizon, shape (places, draws). now (n): see `standing`."""
    row = np.full(int(max(now.max(initial=0), places.max(initial=0))) + 1, -1)
    row[places] = np.arange(len(places))
    at = np.where(now >= 0, row[now], -1)[draws.colony]
    kept = at >= 0
    cells = at[kept] * draws.count + draws.draw[kept]
    return np.bincount(cells, minlength=len(places) * draws.count).reshape(len(places), -1).astype(np.float64)


def apiary_sizes(scene: Scene, draws: Draws, cases: Ints) -> Floats:
    """Effective sizes for each apiary (p) of its hidden cases, and of whether it has any: the lesser of both."""
    now, chains = standing(scene, cases), int(draws.chain[-1]) + 1
    counts = counts_at(draws, now, np.arange(len(scene.near_ptr) - 1)).reshape(-1, chains, draws.count // chains)
    return np.array([min(effective_size(c), effective_size(np.minimum(c, 1.0))) for c in counts])


def batch_quality(sums: Floats, squares: Floats, size: int, chains: int) -> tuple[Floats, Floats]:
    """Effective size and R-hat of means, from sums and sums of squares over batches (k, chains × batches)."""
    total = size * sums.shape[1]
    single = np.maximum(squares.sum(axis=1) / total - (sums.sum(axis=1) / total) ** 2, 0.0)
    return _sizes(sums / size, single, np.full(len(sums), float(total)), chains)


def _sizes(means: Floats, single: Floats, total: Floats, chains: int) -> tuple[Floats, Floats]:
    """The same from means of batches (k, chains × batches), the variance of single draws (k), and their number (k).

    A constant counts fully. Within a half of a chain the variance is what the halves' own means leave of all.
    """
    parts = means.reshape(len(means), chains, -1)
    half = max(parts.shape[2] // 2, 1)
    middle = np.concatenate([parts[:, :, :half].mean(axis=2), parts[:, :, -half:].mean(axis=2)], axis=1)
    error, count = means.var(axis=1, ddof=1) / means.shape[1], np.maximum(total / (2 * chains), 2.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        ess = np.where(error > 0.0, single / error, total)
        within = np.maximum(single - middle.var(axis=1), 0.0)
        agree = np.sqrt((count - 1.0) / count + middle.var(axis=1, ddof=1) / within)
    return ess, np.where(single > 0.0, agree, 1.0)


def colony_quality(tallies: list[Tallies], span: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Chance, its error, effective size and R-hat of each colony (n), from pieces of `span` sweeps of each chain.

    Two means tell the chance: of the chances at the visits, and the share of sweeps in which the colony is infected.
    They are weighed so that their mean varies least from piece to piece.
    """
    chance, error, ess, agree, spread = (np.concatenate(column) for column in zip(*(
        _some_colonies([(a[k : k + _AT_ONCE], b[k : k + _AT_ONCE], c[k : k + _AT_ONCE])
                        for part in tallies for a, b, c in part], span, len(tallies))
        for k in range(0, max(len(tallies[0][0][0]), 1), _AT_ONCE)
    ), strict=True))  # fmt: skip
    return chance, error, credible_sizes(ess, spread, chance), agree


def credible_sizes(sizes: Floats, spread: Floats, chance: Floats) -> Floats:
    """Effective sizes (n), each drawn towards those of colonies of about the same chance by how little it tells itself.

    Of a rare colony one spell in a few pieces tells nearly all, so the least of many thousand sizes is mostly luck: of
    one size, what another run tells is halfway to the middle. spread (n): standard error of log size, 0 where nothing
    varies. Normal-normal empirical Bayes of the log sizes, by at most so many of its own standard errors (limited
    translation: B. Efron and C. Morris, J. Am. Stat. Assoc. 67, 1972, 130-139; from memory).
    """
    told = np.flatnonzero(spread > 0.0)
    kind, size, own = _kind(chance[told]), np.log(sizes[told]), spread[told] ** 2
    weight = 1.0 / (own + _APART)

    def mean(of: Floats) -> Floats:
        return (np.bincount(kind, of * weight, _KINDS) / np.maximum(np.bincount(kind, weight, _KINDS), 1e-300))[kind]

    middle = mean(size)
    between = np.maximum(mean((size - middle) ** 2 - own), _APART**2)
    moved = np.clip(own / (own + between) * (middle - size), -_MOVED * spread[told], _MOVED * spread[told])
    found = sizes.copy()
    found[told] *= np.exp(np.where(np.bincount(kind, minlength=_KINDS)[kind] >= _ALIKE, moved, 0.0))
    return found


def _kind(chance: Floats) -> Ints:
    """Number of a class of colonies of about the same chance: two for each halving."""
    return np.clip(-np.log2(np.clip(chance, 1e-6, 1.0)) * 2.0, 0.0, _KINDS - 1.0).astype(np.int64)


def _some_colonies(pieces: Tallies, span: int, chains: int) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """The same for some, sizes by their own pieces only, with the spread of each size; see `credible_sizes`."""
    sums, visits, stood = (np.array([piece[k] for piece in pieces], dtype=np.float64).T for k in range(3))
    count, visited = len(pieces), np.maximum(visits.sum(axis=1), 1.0)
    told, share = sums.sum(axis=1) / visited, stood.sum(axis=1) / (count * span)
    first = (sums - told[:, None] * visits) / visited[:, None]  # what each piece adds to the error of the first mean
    second = (stood - share[:, None] * span) / (count * span)
    apart = first - second
    part = _part_of_first(-(apart * second).sum(axis=1), (apart**2).sum(axis=1), told)
    part = np.where(visits.sum(axis=1) > 0.0, part, 0.0)
    chance = np.clip(part * told + (1.0 - part) * share, 0.0, 1.0)
    errors = count * (second + part[:, None] * apart)
    total = np.full(len(chance), float(count * span))
    ess, agree = _sizes(chance[:, None] + errors, chance * (1.0 - chance), total, chains)
    error = np.sqrt((errors**2).sum(axis=1) / max(count - 1, 1) / count)
    for j in np.argsort(ess, kind="stable")[:_ANEW]:
        parts = errors[j].reshape(chains, -1)
        if (parts[:, 1:] * parts[:, :-1]).sum() > _CLEAR / np.sqrt(count) * (parts**2).sum():
            worth = min(effective_size(parts) / count, 1.0)  # pieces of a slow colony hang together
            error[j], ess[j] = error[j] / np.sqrt(worth), ess[j] * worth
    squares = (errors**2).sum(axis=1)
    fourth = (errors**4).sum(axis=1) / np.where(squares > 0.0, squares, 1.0) ** 2
    spread = np.where(squares > 0.0, np.sqrt(np.maximum(fourth - 1.0 / count, 0.0)), 0.0)
    return chance, error, ess, agree, spread


def _part_of_first(wanted: Floats, square: Floats, chance: Floats) -> Floats:
    """The part of the first mean that makes the error least, alike for colonies of about the same chance.

    Of its own error a colony seldom infected can tell too little. wanted, square (n): sums of products over pieces.
    """
    kind = _kind(chance)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.bincount(kind, wanted / chance, _KINDS) / np.bincount(kind, square / chance, _KINDS)
        part = np.clip(part, 0.0, 1.0)
    return np.where(np.isnan(part), 1.0, part)[kind]
