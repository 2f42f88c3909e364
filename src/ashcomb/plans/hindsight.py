"""Which practice or rule would have cut the way of the disease to the known cases; about practices, never a person."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak import hindsight
from ashcomb.outbreak.forecast import Figure
from ashcomb.outbreak.posterior import Posterior
from ashcomb.outbreak.rates import NAMES, Rates
from ashcomb.plans.result import Plan
from ashcomb.plans.scene import ASSUMPTIONS, Staged, day_of
from ashcomb.sources.library import value

CAUTION = "Hindsight weighs practices. It is no verdict on a person, and no law is met or broken by it."
TAKEN = (
    "What is cut is the way that the disease took in a drawn history; a hive might have caught it later on another.",
    "A practice is taken to be kept by all, always and without fault.",
    "A case that was infected before the records begin, or from outside them, has no link that could be cut.",
    "A look that came sooner sees signs as the real one would have, and the hive goes on that day.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """cut: number of known cases that it would have cut off; share of them.  cases: (hive, chance), likeliest first."""

    name: str
    cut: Figure
    share: float
    cases: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HindsightPlan(Plan):
    """Practices, those that would have cut most first. suspected: day of the first look that found signs."""

    day: str
    cases: tuple[str, ...]
    suspected: str
    practices: tuple[Practice, ...]


def hindsight_plan(stage: Staged, posterior: Posterior, used: Rates, sooner: float = 0.0) -> HindsightPlan:
    """Every practice over the drawn histories. sooner: days by which a look might have come sooner (0: as usual).

    Raises UserError where there is no known case.
    """
    if not len(stage.cases):
        raise UserError("No case is known, so there is no chain to judge.", "Record the first case.")
    days = sooner or value("forecast.sooner_days").value
    found = stage.scene.look_time[stage.scene.look_found > 0]
    first = float(np.floor(found.min())) if len(found) else stage.scene.horizon
    links = hindsight.links_of(stage.scene, posterior.draws)
    judged = hindsight.judged(links, _practices(used, first, day_of(stage, first), days), stage.cases)
    practices = [_practice(stage, each) for each in judged]
    return HindsightPlan(
        day=stage.day.isoformat(), cases=tuple(stage.hives[j] for j in stage.cases),
        suspected=day_of(stage, first).isoformat(),
        practices=tuple(sorted(practices, key=lambda each: (-each.cut.mean, each.name))), cautions=(CAUTION,),
        assumptions=(*ASSUMPTIONS, *TAKEN),
        uses=(*used.used, *stage.used, *(() if sooner else (value("forecast.sooner_days"),))),
    )  # fmt: skip


def _practices(used: Rates, first: float, suspected: date, sooner: float) -> dict[str, hindsight.Cut]:
    rate = dict(zip(NAMES, used.vector().tolist(), strict=True))
    return {
        "supers kept by apiary": hindsight.by_kinds(("wet supers", "dry supers"), only_between_places=True),
        "no brood frames between hives": hindsight.by_kinds(("brood frames",)),
        f"standstill from the first suspicion on ({suspected})": hindsight.standstill(first),
        f"each look that found signs {sooner:g} days sooner": hindsight.sooner(sooner),
        "dead-outs closed to bees at once": hindsight.closed_dead_outs(),
        "hives that do not touch": hindsight.apart(rate["touching"], rate["apiary"]),
        "no used boxes from elsewhere": hindsight.by_kinds(("used boxes",), only_between_places=True),
        "no honey or pollen fed": hindsight.by_kinds(("feed", "honey")),
        "tools and hands cleaned between apiaries": hindsight.by_kinds(("tools", "people"), only_between_places=True),
        "no colonies bought or moved in": hindsight.by_kinds(
            ("whole colony", "nucleus", "package", "swarm"), only_between_places=True),
    }  # fmt: skip


def _practice(stage: Staged, each: hindsight.Judged) -> Practice:
    order = np.argsort(-each.by_case, kind="stable")
    cases = tuple((stage.hives[stage.cases[k]], float(each.by_case[k])) for k in order if each.by_case[k] > 0)
    return Practice(name=each.name, cut=each.cut, share=each.cut.mean / len(stage.cases), cases=cases)
