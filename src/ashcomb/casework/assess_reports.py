"""An assessment in words: where to look first, hidden cases, sources; and what other laws would change."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from ashcomb.casework import assessment_store as store
from ashcomb.casework.assessing import AssessAsk, Assessment, Tell, assess, assessment, still_fresh
from ashcomb.casework.case import Case
from ashcomb.casework.nights import filled
from ashcomb.casework.report import Report, Section, Table, report, table
from ashcomb.kernel.time import moment_words
from ashcomb.kernel.words import several
from ashcomb.plans.assess import CAUTION, AssessPlan, GroupChance, HiveChance, assess_plan, chances_by_hive
from ashcomb.plans.source_words import SourcesPlan, Sourcing, sources_plan
from ashcomb.science.exact import exact, percent

if TYPE_CHECKING:
    from ashcomb.outbreak.posterior import Effort

TOP = 10
_SHOWN = 12  # apiaries in the table


def assessed_plan(made: Assessment, top: int = TOP) -> AssessPlan:
    """The plan of an assessment, with who made it when as its first assumption."""
    plan = assess_plan(made.stage, made.posterior, made.rates, top)
    return replace(plan, assumptions=(basis(made), *options(made.ask), *plan.assumptions))


def basis(made: Assessment) -> str:
    """What an assessment rests on, in a sentence, for itself and for every plan that uses it."""
    stale = "" if made.fresh else " It is STALE: the records or the profile have changed since, or it shows a past day."
    return (f"Assessed {moment_words(made.made)} for {made.stage.day:%Y-%m-%d} from seal {made.seal[:12]}, seed "
            f"{made.posterior.seed}.{stale}")  # fmt: skip


def options(ask: AssessAsk) -> tuple[str, ...]:
    """What was asked for beyond the defaults, in sentences."""
    said = [f"Rate “{name}” is replaced by {number:g}: {why}." for name, (number, why) in sorted(ask.replaced.items())]
    if ask.sampled:
        said.append(f"Drawn over their ranges: {', '.join(ask.sampled)}.")
    for name, what, usual in (("onset", ask.onset, "gamma"), ("distance", ask.distance, "exponential")):
        if what != usual:
            said.append(f"The law of {name} is {what}, not {usual}.")
    return tuple(said)


def assess_report(made: Assessment, others: tuple[tuple[str, Assessment], ...] = ()) -> Report:
    """The assessment in words. others: named sensitivity cases, shown as differences for the first hives."""
    plan = assessed_plan(made)
    hidden = sum(apiary.expected for apiary in plan.apiaries)
    lead = plan.first[0] if plan.first else None
    where = f" Look first into {lead.hive} at {lead.apiary}." if lead else ""
    headline = (
        f"{several(len(plan.cases), 'known case')}; about {hidden:.1f} more hidden ones are to be expected.{where}"
    )
    sections = [
        Section("How it was drawn", (plan.held, plan.drawn)),
        Section("Hives to open first", (), table(("Hive", "Apiary", "Shows signs", "Infected", "Drawn within", "Error",
                                                  "Link"), map(_hive_row, plan.first), right=(2, 3, 4, 5, 6))),
        Section("Why", tuple(_why(hive) for hive in plan.first)),
        *([_cases_section(plan, made, others)] if others else []),
        Section("Hidden cases by apiary", _rest(plan.apiaries), _group_table("Apiary", plan.apiaries[:_SHOWN])),
        Section("Hidden cases by keeper", (), _group_table("Keeper", plan.firms)),
        Section("May have stood between two cases",
                tuple(f"{each.hive} at {each.apiary or 'no place now'}: {_percent(each.link)}"
                      for each in plan.links[:TOP])),
        Section("Left out", plan.left_out), Section("Guessed", plan.guessed),
    ]  # fmt: skip
    return report(f"Assessment of {plan.day}", headline, filled(sections), plan)


def sources_report(case: Case, mark: str, tell: Tell | None = None) -> Report:
    """The ranked sources of a hive or apiary, or of all cases, from the stored assessment or a new one."""
    made = assessment(case, tell)
    plan: SourcesPlan = sources_plan(made.stage, made.posterior, made.rates, mark)
    plan = replace(plan, assumptions=(basis(made), *options(made.ask), *plan.assumptions))
    sections = [_sourcing(each) for each in plan.found]
    headline = plan.found[0].verdict if mark else f"{sum(s.told for s in plan.found)} of {len(plan.found)} can be told."
    return report(f"Sources{f' of {mark}' if mark else ''}", headline, sections, plan)


def first_hives(case: Case) -> Section:
    """The ten hives to open first by the stored assessment, read without its draws; or how to make one."""
    said = store.words(case.folder)
    if said is None:
        return Section("Hives to open first", ("No assessment is stored. `ashcomb assess CASE` makes one.",))
    made = moment_words(datetime.fromisoformat(said["made"]))
    changed = "STALE: records or profile have changed since, or it shows a past day. Run `ashcomb assess` again."
    lines = [CAUTION, "" if still_fresh(case, said) else changed, f"Assessed {made} for {said['day']}. {said['drawn']}"]
    rows = [(h["hive"], h["apiary"], _percent(h["signs"]), _percent(h["infected"]), h["why"]) for h in said["first"]]
    return Section("Hives to open first", tuple(line for line in lines if line),
                   table(("Hive", "Apiary", "Shows signs", "Infected", "Why"), rows, right=(2, 3)))  # fmt: skip


def sensitivity(
    case: Case, made: Assessment, tell: Callable[[str], Tell | None] = lambda name: None, effort: Effort | None = None
) -> tuple[tuple[str, Assessment], ...]:
    """The named sensitivity cases, drawn with the same seed; none of them is stored."""
    other = (("lognormal onset", replace(made.ask, onset="lognormal")),
             ("fat-tailed distance", replace(made.ask, distance="fat tail")))  # fmt: skip
    return tuple((name, assess(case, ask, tell(name), effort, keep=False)) for name, ask in other)


def _cases_section(plan: AssessPlan, made: Assessment, others: tuple[tuple[str, Assessment], ...]) -> Section:
    own = chances_by_hive(made.stage, made.posterior)
    found = [chances_by_hive(other.stage, other.posterior) for _, other in others]
    rows = []
    for hive in plan.first:
        base = own[hive.hive].infected
        rows.append((hive.hive, _percent(base), *(f"{_percent(each[hive.hive].infected)} "
                     f"({100 * (each[hive.hive].infected - base):+.1f})" for each in found)))  # fmt: skip
    noise = "A difference of less than about three errors of the hive may come from drawing alone."
    said = (noise, *(f"With {name} about {sum(a.expected for a in assessed_plan(other, 0).apiaries):.1f} hidden cases."
                     for name, other in others))  # fmt: skip
    columns = ("Hive", "As assessed", *(name.capitalize() for name, _ in others))
    return Section("Sensitivity: infected under other laws (difference in points)", said,
                   table(columns, rows, right=tuple(range(1, len(columns)))))  # fmt: skip


def _hive_row(hive: HiveChance) -> tuple[str, ...]:
    within = f"{_percent(hive.low)} to {_percent(hive.high)}"
    return (hive.hive, hive.apiary, _percent(hive.signs), _percent(hive.infected), within, f"{100 * hive.error:.2f}",
            _percent(hive.link))  # fmt: skip


def _why(hive: HiveChance) -> str:
    moved = "; ".join(
        f"leaving out {each.words}: " + ("so much rests on it that only a new run could say" if each.without is None
                                         else _percent(each.without)) for each in hive.moved)  # fmt: skip
    return f"{hive.hive}: {hive.why}." + (f" Now {_percent(hive.infected)}; {moved}." if moved else "")


def _group_table(name: str, groups: tuple[GroupChance, ...]) -> Table:
    rows = [(g.mark, g.hives, f"{g.expected:.2f}", f"{g.low:.0f} to {g.high:.0f}", _percent(g.none), f"{g.error:.3f}")
            for g in groups]  # fmt: skip
    return table((name, "Hives", "Expected", "95 %", "None", "Error"), rows, right=(1, 2, 3, 4, 5))


def _rest(groups: tuple[GroupChance, ...]) -> tuple[str, ...]:
    rest = groups[_SHOWN:]
    if not rest:
        return ()
    return (f"{len(rest)} more apiaries hold about {sum(g.expected for g in rest):.2f} between them.",)


def _sourcing(found: Sourcing) -> Section:
    rows = [(s.words, _percent(s.share), f"{100 * s.error:.1f}", s.givers) for s in found.sources]
    when = f"It came, in nine of ten draws, from {found.when}." if found.when else ""
    return Section(found.mark, (found.verdict, when) if when else (found.verdict,),
                   table(("Source", "Share", "Error", "Most often from"), rows, right=(1, 2)))  # fmt: skip


def _percent(share: float) -> str:
    return percent(exact(round(share, 6)))
