"""Answers what each method finds, how sure everything makes us of hive, apiary, firm and zone, and plans the rounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from ashcomb.casework.case import Case
from ashcomb.casework.closed_form import reached_since
from ashcomb.casework.dates import due_dates
from ashcomb.casework.nights import filled
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.casework.zones import zone_of
from ashcomb.drawings.freedom import FreedomCurve, draw_freedom
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, day_words
from ashcomb.plans.clocks import Clocks, clocks
from ashcomb.plans.exposures import exposures
from ashcomb.plans.looks import standing
from ashcomb.plans.methods import SizesPlan, sizes
from ashcomb.plans.proof import Group, GroupProof, ProofAsk, ProofPlan, proof
from ashcomb.plans.rounds import RoundsPlan, moved_dates, rounds
from ashcomb.records.places import Apiary, Keeper
from ashcomb.records.state import cases, events, hive_places, kill_states
from ashcomb.science.exact import percent

LEVELS = ("hive", "apiary", "firm", "zone")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProvingAsk:
    """What is asked. level: of LEVELS.  mark: apiary or keeper; empty for the index apiary or its keeper.

    new_case: a day on which a new case is imagined; None for none.
    """

    level: str = "apiary"
    mark: str = ""
    taken: ProofAsk | None = None
    new_case: date | None = None


def methods_for(
    case: Case, apiary: str, infected: int, visible: float, pool: int, hives: int | None = None,
    target: float | None = None,
) -> SizesPlan:  # fmt: skip
    """How many hives each method must test, at an apiary (the index apiary if none) or for so many hives."""
    count = hives or len(standing(case.situation(), apiary or case.head.index, case.now().date()))
    if not 1 <= infected <= count:
        raise UserError(f"{infected} infected hives do not fit {count} hives.", "Correct one of the two.")
    return sizes(case.profile(), count, infected, target, visible, pool)


def groups_of(case: Case, ask: ProvingAsk) -> tuple[Group, ...]:
    """The groups to be proved free; raises UserError for an unknown level, apiary or keeper."""
    situation = case.situation()
    known = situation.by_mark(Apiary)
    if ask.level not in LEVELS:
        raise UserError(f"“{ask.level}” is no level of a proof.", f"Choose one of {', '.join(LEVELS)}.")
    if ask.level in ("hive", "apiary"):
        mark = ask.mark or case.head.index
        if mark not in known:
            raise UserError(f"“{mark}” is not a known apiary.", "Choose one that is in the records.")
        since = _since(case, [mark])
        if ask.level == "apiary":
            return (Group(name=mark, level="apiary", since=since),)
        priors = _priors(case, mark)
        return tuple(Group(name=hive, level="hive", since={hive: day}, prior=1.0 - priors.get(hive, 0.0))
                     for hive, day in since.items())  # fmt: skip
    if ask.level == "firm":
        keeper = ask.mark or case.head.keeper
        if keeper not in situation.by_mark(Keeper):
            raise UserError(f"“{keeper}” is not a known keeper.", "Choose one that is in the records.")
        yards = [mark for mark, place in known.items() if place.keeper == keeper]
        return (Group(name=f"all apiaries of {keeper}", level="firm", since=_since(case, yards)),)
    inside = [place.apiary for place in zone_of(case).placed if place.inside]
    return (Group(name="the zone", level="zone", since=_since(case, [*inside, case.head.index])),)


def proof_at(case: Case, ask: ProvingAsk) -> ProofPlan:
    """How sure everything until today makes us."""
    return proof(case.situation(), case.profile(), groups_of(case, ask), case.now().date(), case.head.grid_lat,
                 ask.taken)  # fmt: skip


def rounds_at(case: Case, ask: ProvingAsk) -> RoundsPlan:
    """The rounds for one group; with a new case, as they would be after it."""
    if ask.level == "hive":
        raise UserError("Rounds are planned for an apiary, a firm or a zone.", "Choose one of these levels.")
    (group,) = groups_of(case, ask)
    today, dates = case.now().date(), due_dates(case)
    if ask.new_case:
        today, dates = max(today, ask.new_case), dates_with(case, ask.new_case)
        group = replace(group, since=dict.fromkeys(group.since, today))
    return rounds(case.situation(), case.profile(), group, today, dates, case.head.grid_lat, ask.taken)


def dates_with(case: Case, new_case: date) -> Clocks:
    """The clocks as they would stand if a new case were found on that day."""
    facts = {**events(case.situation()), "last case": Span.day(new_case)}
    return clocks(case.profile(), facts, case.head.timezone, case.now())


def curve_of(proven: GroupProof, target: float, planned: RoundsPlan | None = None) -> str:
    """The freedom curve of one group as SVG, with planned rounds if given."""
    coming = tuple((each.day, each.free) for each in planned.rounds) if planned else ()
    return draw_freedom(FreedomCurve(proven.name, proven.curve, () if proven.signs else coming, target))


def methods_report(plan: SizesPlan) -> Report:
    """Each method with what it finds and how many hives it needs."""
    rows = [(s.method.title, percent(s.method.signs), percent(s.method.before),
             f"{s.method.low:.0%} to {s.method.high:.0%}", percent(s.method.specificity), s.words, s.method.words)
            for s in plan.sizes]  # fmt: skip
    columns = ("Method", "With signs", "Before", "Range with signs", "Specificity", "Hives needed", "What it looks at")
    title = f"What each method finds: {plan.hives} hives, {plan.infected} infected, {percent(plan.target, 0)} wanted"
    sections = [Section("Answer", plan.answer), Section("Methods", (), table(columns, rows, right=(1, 2, 3, 4)))]
    return report(title, plan.answer[0], sections, plan)


def proof_report(plan: ProofPlan) -> Report:
    """The proof in words, the weakest group first."""
    groups = sorted(plan.groups, key=lambda group: group.free)
    rows = [(g.name, g.hives, g.looked, percent(g.sensitivity), percent(g.free) if not g.signs else "signs",
             "yes" if g.reached else "no", ", ".join(f"{key} {percent(share)}" for key, share in g.components))
            for g in groups]  # fmt: skip
    columns = ("What", "Hives", "Looked at or tested", "Would have found one", "Probability of freedom", "Enough",
               "By method alone")  # fmt: skip
    sections = [
        Section("Answer", tuple(group.answer for group in groups[:12])),
        Section("In numbers", (), table(columns, rows, right=(1, 2, 3, 4))),
        *(Section(f"What would raise it: {group.name}", group.raise_it) for group in groups[:12]),
        Section("Whose looks count how much", plan.notes),
    ]  # fmt: skip
    title = f"Proof of freedom on {day_words(plan.today)}"
    return report(title, groups[0].answer, filled(sections), plan)


def rounds_report(plan: RoundsPlan, moved: Sequence[tuple[str, str, str]] = ()) -> Report:
    """The rounds in words, and what a new case would do to every date."""
    rows = [(n, day_words(each.day), percent(each.free), each.why) for n, each in enumerate(plan.rounds, 1)]
    asked = [(one.name, day_words(one.first) + (" at best" if one.best else ""), day_words(one.last) if one.last
              else "open") for one in plan.asked]  # fmt: skip
    sections = [
        Section("Answer", plan.answer),
        Section("Rounds", (), table(("Round", "Day", "Freedom after it", "What for"), rows, right=(0, 2))),
        Section("What the place asks for", (), table(("What", "Not before", "Not after"), asked)),
        Section("What the new case does to every date", (), table(("What", "Before", "After"), moved)),
    ]
    return report(f"Follow-up rounds for {plan.group}", plan.answer[0], filled(sections), plan)


def moved_by(case: Case, ask: ProvingAsk, after: RoundsPlan) -> tuple[tuple[str, str, str], ...]:
    """Every clock and every round before and after the imagined new case; nothing where none is imagined."""
    if not ask.new_case:
        return ()
    old, new = due_dates(case), dates_with(case, ask.new_case)
    before = rounds_at(case, replace(ask, new_case=None))
    days = [["none" if k >= len(plan.rounds) else day_words(plan.rounds[k].day)
             for plan in (before, after)] for k in range(max(len(before.rounds), len(after.rounds)))]  # fmt: skip
    clocks = moved_dates({c.rule.key: c for c in old.clocks}, {c.rule.key: c for c in new.clocks})
    return (*clocks, *((f"round {k} of looks", was, is_) for k, (was, is_) in enumerate(days, 1)))


def _since(case: Case, yards: Sequence[str]) -> dict[str, date]:
    """From when on each living hive may have been infected: reached by the trace; where cases stood, until they died.

    A place that nothing reached counts from a year before today.
    """
    situation, today = case.situation(), case.now().date()
    reached, places = reached_since(case), hive_places(situation, today)
    killed = kill_states(situation)
    last: dict[str, date] = {}
    for hive in cases(situation):
        state = killed.get(hive)
        dead = state.since.last if state and state.since and state.state == "dead confirmed" else today
        if hive in places:
            last[places[hive]] = max(last.get(places[hive], dead), dead)
    start = today - timedelta(days=365)
    return {hive: last.get(mark) or reached.get(mark, start)
            for mark in yards for hive in standing(situation, mark, today)}  # fmt: skip


def _priors(case: Case, apiary: str) -> dict[str, float]:
    situation, today, reached = case.situation(), case.now().date(), reached_since(case)
    if apiary not in reached:
        return {}
    return {e.hive: float(e.prior) for e in exposures(situation, apiary, reached[apiary], reached, today)}
