"""Assesses a case with the outbreak engine, keeps the result beside the records, and hands it to whoever needs it.

The result lies in CASE/assessment with its seed, its options and the seal of the records that it was made from. It is
reused while the seal and the profile are the same; after that it is called stale, and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any

from ashcomb.casework import assessment_store as store
from ashcomb.casework.case import Case
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import utc_ms
from ashcomb.outbreak.rates import Rates, rates
from ashcomb.plans.assess import assess_plan, drawn_words
from ashcomb.plans.result import as_json
from ashcomb.plans.scene import Staged, staged
from ashcomb.records.situation import Situation

if TYPE_CHECKING:
    from ashcomb.outbreak.convergence import Quality
    from ashcomb.outbreak.posterior import Effort, Posterior

Tell = Callable[[int, "Quality"], bool]  # sweeps so far and their quality -> go on


@dataclass(frozen=True, slots=True)
class AssessAsk:
    """What somebody asks for. as_of: what was known at the end of that day; None is now.  replaced: rate -> (value,
    reason).  sampled: rates drawn over their ranges.  onset, distance: laws.  workers: does not change a figure.
    """

    seed: int = 1
    as_of: date | None = None
    replaced: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    sampled: tuple[str, ...] = ()
    onset: str = "gamma"
    distance: str = "exponential"
    workers: int = 2


@dataclass(frozen=True)
class Assessment:
    """The scene of a case with the draws of its histories.

    stage: scene, marks of hives and places, events and looks in words, what was left out.  made: when.  seal: of the
    records.  fresh: the records and the profile are still those it was made from.  stored: it came from the folder.
    """

    stage: Staged
    posterior: Posterior
    rates: Rates
    ask: AssessAsk
    seal: str
    made: datetime
    fresh: bool
    stored: bool

    @property
    def hives(self) -> tuple[str, ...]:
        """Mark of each colony of the scene."""
        return self.stage.hives

    @property
    def places(self) -> tuple[str, ...]:
        """Mark of each place of the scene."""
        return self.stage.places

    def events(self) -> tuple[str, ...]:
        """Each event of the scene in words."""
        return tuple(event.words() for event in self.stage.events)


def assessment(case: Case, tell: Tell | None = None, ask: AssessAsk | None = None) -> Assessment:
    """The stored assessment if it is fresh (and made as asked, if something is asked), else a new one, stored.

    A new one that nothing is asked of takes the options of the one before.  tell: called now and then with the sweeps
    so far; returns False to cancel. Raises UserError when cancelled.
    """
    found = stored(case)
    if found and found.fresh and (ask is None or replace(ask, workers=found.ask.workers) == found.ask):
        return found
    again = replace(found.ask, as_of=None) if found else AssessAsk()
    return assess(case, ask or again, tell)


def assess(
    case: Case, ask: AssessAsk, tell: Tell | None = None, effort: Effort | None = None, keep: bool = True
) -> Assessment:
    """Draws the histories anew and stores them (with keep). Raises UserError when cancelled; nothing is stored then."""
    from ashcomb.outbreak.posterior import sample

    used = rates(ask.sampled, ask.replaced)
    situation = known_by(case, ask.as_of)
    stage = staged(situation, case.profile(), _day(case, ask.as_of), ask.onset, ask.distance)
    posterior = store.rounded(sample(stage.scene, used, ask.seed, effort, ask.workers, tell, stage.cases))
    if posterior.stopped == "cancelled":
        raise UserError(f"Cancelled after {posterior.sweeps} sweeps; nothing was stored.", "Start it again when ready.")
    made = Assessment(stage, posterior, used, ask, situation.seal, case.now(), fresh=ask.as_of is None, stored=False)
    if keep:
        store.write(case.folder, posterior, _written(case, made, situation))
    return made


def stored(case: Case) -> Assessment | None:
    """The assessment in the folder, fresh or stale; None if there is none or this program can no longer read it."""
    found = store.read(case.folder)
    if found is None:
        return None
    posterior, said = found
    ask = _ask(said["ask"])
    situation = case.situation(said["as_of_ms"])
    stage = staged(situation, case.profile(), date.fromisoformat(said["day"]), ask.onset, ask.distance)
    if store.digest(stage.scene) != said["scene"]:
        return None
    return Assessment(stage, posterior, rates(ask.sampled, ask.replaced), ask, said["seal"],
                      datetime.fromisoformat(said["made"]), still_fresh(case, said), stored=True)  # fmt: skip


def still_fresh(case: Case, said: Mapping[str, Any]) -> bool:
    """Whether records and profile are those that the stored words name, and nobody asked for a past day."""
    same = case.situation().seal == said["seal"] and case.profile().digest == said["profile"]
    return same and said["ask"]["as_of"] is None


def known_by(case: Case, as_of: date | None) -> Situation:
    """What was on record at the end of that day, or with the newest seal: so that it can be read again as it was."""
    if as_of is None:
        return case.situation(case.store.latest())
    return case.situation(utc_ms(datetime.combine(as_of, time(23, 59, 59), case.zone)))


def _day(case: Case, as_of: date | None) -> date:
    return min(as_of, case.today()) if as_of else case.today()


def _written(case: Case, made: Assessment, situation: Situation) -> dict[str, object]:
    ask = made.ask
    return {
        "seal": made.seal, "as_of_ms": situation.as_of, "day": made.stage.day.isoformat(),
        "made": made.made.isoformat(), "first": as_json(assess_plan(made.stage, made.posterior, made.rates).first),
        "drawn": drawn_words(made.posterior), "profile": case.profile().digest, "scene": store.digest(made.stage.scene),
        "ask": {"seed": ask.seed, "as_of": ask.as_of.isoformat() if ask.as_of else None, "sampled": list(ask.sampled),
                "replaced": {name: list(pair) for name, pair in ask.replaced.items()}, "onset": ask.onset,
                "distance": ask.distance, "workers": ask.workers},
    }  # fmt: skip


def _ask(said: dict[str, object]) -> AssessAsk:
    given = dict(said)
    given["as_of"] = date.fromisoformat(str(given["as_of"])) if given["as_of"] else None
    given["sampled"] = tuple(given["sampled"])  # type: ignore[arg-type]
    given["replaced"] = {name: tuple(pair) for name, pair in given["replaced"].items()}  # type: ignore[attr-defined]
    return AssessAsk(**given)  # type: ignore[arg-type]
