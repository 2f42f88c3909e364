"""Every rate of the outbreak model: from its source, fixed, sampled over its range, or replaced with a reason."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.science.arrays import Array
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced

Mode = Literal["fixed", "sampled", "replaced"]
PRESSURES = ("background", "touching", "apiary", "robbing", "latent", "robbed")
ROUTES = (
    "whole colony", "brood frames", "nucleus", "package", "swarm", "queens", "wet supers", "dry supers", "used boxes",
    "feed", "honey", "tools", "people",
)  # fmt: skip
NAMES = (*PRESSURES, *ROUTES)
_KEYS = {
    "background": "outbreak.background_per_day",
    "touching": "disease.drift_per_pair_day",
    "apiary": "outbreak.apiary_per_pair_day",
    "robbing": "outbreak.robbing_per_pair_day",
    "latent": "outbreak.latent_worth",
    "robbed": "outbreak.robbed_worth",
    "brood frames": "disease.brood_frame_swap",
    "nucleus": "outbreak.nucleus_from_sick",
    "package": "disease.package_from_sick",
    "swarm": "disease.package_from_sick",
    "queens": "disease.queen_only",
    "wet supers": "disease.prior_wet_super",
    "dry supers": "outbreak.super_dry_from_sick",
    "used boxes": "outbreak.used_box_from_sick",
    "feed": "outbreak.feed_from_sick",
    "honey": "outbreak.feed_from_sick",
    "tools": "outbreak.tools_from_sick",
    "people": "outbreak.tools_from_sick",
}
_WHOLE = Sourced("outbreak.whole_colony", 1.0, "1", 1.0, 1.0, "", "", "project choice",
                 "A colony that was infected where it stood is infected where it goes.")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rate:
    """One rate as it is used. source: the sourced value that it comes from or replaces.  reason: of a replacement."""

    name: str
    value: float
    mode: Mode
    source: Sourced
    reason: str = ""

    @property
    def used(self) -> Sourced:
        """The rate as a sourced value, a replacement shown as such."""
        if self.mode != "replaced":
            return self.source
        low, high = min(self.value, self.source.low), max(self.value, self.source.high)
        return replace(self.source, value=self.value, low=low, high=high, status="project choice", source="", place="",
                       reason=f"Replaced by the user: {self.reason}")  # fmt: skip


@dataclass(frozen=True)
class Rates:
    """All rates, in the order of `NAMES`."""

    rates: tuple[Rate, ...]

    def vector(self) -> Array:
        """Their values, shape (len(NAMES),); rates a day, chances and worths as in their sources."""
        return np.array([rate.value for rate in self.rates])

    def bounds(self) -> Array:
        """Lowest and highest value of each, shape (len(NAMES), 2); equal where a rate is not sampled."""
        rows = [(r.source.low, r.source.high) if r.mode == "sampled" else (r.value, r.value) for r in self.rates]
        return np.array(rows)

    @property
    def used(self) -> tuple[Sourced, ...]:
        """The rates with their sources, each source once."""
        return tuple({rate.used.key: rate.used for rate in self.rates}.values())


def rates(sampled: Iterable[str] = (), replaced: Mapping[str, tuple[float, str]] | None = None) -> Rates:
    """The rates at their sourced values, some of them sampled over their ranges or replaced by the user.

    sampled: names of `NAMES`; the prior is flat over the range, for the first four over its logarithm.
    replaced: name -> (value, reason). Raises UserError for an unknown name, a chance outside 0 to 1, a rate below 0, or
    a replacement without a reason.
    """
    wanted, given = set(sampled), dict(replaced or {})
    for name in wanted | set(given):
        if name not in NAMES:
            raise UserError(f"“{name}” is no rate of the outbreak model.", f"Choose among: {', '.join(NAMES)}.")
    for name, (number, reason) in given.items():
        if not reason.strip():
            raise UserError(f"The rate {name} is replaced without a reason.", "Say why.")
        if number < 0 or (name in ROUTES and number > 1):
            raise UserError(f"{name} = {number:g} is no {'chance' if name in ROUTES else 'rate'}.", "Correct it.")
    return Rates(tuple(_rate(name, wanted, given) for name in NAMES))


def _rate(name: str, wanted: set[str], given: Mapping[str, tuple[float, str]]) -> Rate:
    source = value(_KEYS[name]) if name in _KEYS else _WHOLE
    if name in given:
        return Rate(name, given[name][0], "replaced", source, given[name][1])
    return Rate(name, source.value, "sampled" if name in wanted else "fixed", source)
