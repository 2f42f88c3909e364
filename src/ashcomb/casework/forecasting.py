"""Forecast and hindsight of a case in words, from its assessment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ashcomb.casework.assess_reports import basis, options
from ashcomb.casework.assessing import Assessment, Tell, assessment
from ashcomb.casework.case import Case
from ashcomb.casework.nights import filled
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.forecast import Figure
from ashcomb.plans.forecast import ForecastPlan, PlanFigures, forecast_plan
from ashcomb.plans.hindsight import HindsightPlan, Practice, hindsight_plan
from ashcomb.science.exact import exact, percent

SHOWN = 3  # cases named with a practice


def forecast_report(
    case: Case, asked: Sequence[str] = (), days: int = 0, seed: int = 1, workers: int = 2, tell: Tell | None = None
) -> Report:
    """The plans beside each other. asked: plans in words, none: the standard ones.  Raises UserError for odd words."""
    if seed < 0:
        raise UserError(f"{seed} is no seed.", "Give a whole number, 0 or more.")
    made = assessment(case, tell)
    plan = forecast_plan(made.stage, made.posterior, made.rates, asked, days, seed, workers)
    plan = replace(plan, assumptions=(basis(made), *options(made.ask), *plan.assumptions))
    return report(f"Forecast from {plan.day} for {plan.days} days", _headline(plan), filled(_sections(plan)), plan)


def hindsight_report(case: Case, sooner: float = 0.0, tell: Tell | None = None) -> Report:
    """Practices by how much of the known outbreak they would have cut off."""
    if not 0 <= sooner <= 365:
        raise UserError(f"{sooner:g} days sooner cannot be.", "Choose 1 to 365.")
    made: Assessment = assessment(case, tell)
    plan = hindsight_plan(made.stage, made.posterior, made.rates, sooner)
    plan = replace(plan, assumptions=(basis(made), *options(made.ask), *plan.assumptions))
    return report(f"Hindsight on {plan.day}", _verdict(plan), _judged(plan), plan)


def _headline(plan: ForecastPlan) -> str:
    first = plan.plans[0]
    free = percent(exact(round(first.free.mean, 6)))
    return (f"Under “{first.name}” about {first.found.mean:.1f} more cases are to be found within {plan.days} days; "
            f"chance that no infected hive is left by then: {free}.")  # fmt: skip


def _sections(plan: ForecastPlan) -> list[Section]:
    said = (f"{plan.cases} known cases; {plan.histories:,} histories gone on from. Each figure: mean, error of "
            "drawing, and in brackets what 95 % of the histories hold.",)  # fmt: skip
    rows = [(p.name, _words(p.found), _words(p.new), _words(p.lost), _chance(p.free), _days(p, plan.days))
            for p in plan.plans]  # fmt: skip
    head = ("Plan", "More cases found", "New infections", "Hives killed from now", "Free within", "Days until free")
    more = [(p.name, _difference(p.more_new), _difference(p.more_lost)) for p in plan.plans[1:]]
    title = f"Against “{plan.plans[0].name}”: mean difference, error of drawing"
    return [Section("Plans", said, table(head, rows, right=(1, 2, 3, 4, 5))),
            Section(title, (), table(("Plan", "New infections", "Hives killed"), more, right=(1, 2)) if more else None),
            ]  # fmt: skip


def _words(figure: Figure) -> str:
    return f"{figure.mean:.1f} ± {figure.error:.1f} ({figure.low:.0f} to {figure.high:.0f})"


def _difference(figure: Figure) -> str:
    return f"{figure.mean:+.2f} ± {figure.error:.2f}"


def _chance(figure: Figure) -> str:
    return f"{percent(exact(round(figure.mean, 6)))} ± {100 * figure.error:.1f}"


def _days(plan: PlanFigures, ahead: int) -> str:
    def one(day: float | None) -> str:
        return f"over {ahead}" if day is None else f"{day:.0f}"

    return f"{one(plan.days_middle)} ({one(plan.days_low)} to {one(plan.days_high)})"


def _verdict(plan: HindsightPlan) -> str:
    best = plan.practices[0]
    if best.cut.mean < 0.5 * best.cut.error or best.cut.mean == 0:
        return f"No practice on the list would have cut the way to any of the {len(plan.cases)} known cases."
    return (f"Most would have done: {best.name}. It would have cut off about {best.cut.mean:.1f} of {len(plan.cases)} "
            "known cases.")  # fmt: skip


def _judged(plan: HindsightPlan) -> list[Section]:
    rows = [(p.name, f"{p.cut.mean:.2f} ± {p.cut.error:.2f}", f"{p.cut.low:.0f} to {p.cut.high:.0f}",
             percent(exact(round(p.share, 6))), _likeliest(p)) for p in plan.practices]  # fmt: skip
    head = ("Practice", f"Cut off, of {len(plan.cases)}", "95 %", "Share", "Likeliest")
    return [Section("Known cases that it would have cut off", (f"First signs were found on {plan.suspected}.",),
                    table(head, rows, right=(1, 2, 3)))]  # fmt: skip


def _likeliest(practice: Practice) -> str:
    return ", ".join(f"{hive} {percent(exact(round(chance, 6)))}" for hive, chance in practice.cases[:SHOWN])
