"""Where the case stands: what is due, how many in what state, what stands in the way, what is in conflict."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.dates import due_dates
from ashcomb.casework.report import Report, Section, table
from ashcomb.kernel.time import from_utc_ms, moment_words
from ashcomb.plans.clocks import Clocks
from ashcomb.plans.result import as_json
from ashcomb.records.acts import Notice
from ashcomb.records.case import Release
from ashcomb.records.looks import Inspection
from ashcomb.records.places import Apiary, Component, Hive
from ashcomb.records.situation import Situation
from ashcomb.records.state import Conflict, cases, condemned, conflicts, hive_places, kill_states, suspects
from ashcomb.records.storage import Hold


@dataclass(frozen=True, slots=True)
class Status:
    """The state of a case at one moment. hives, apiaries: how many in each state, in the order of the work."""

    mark: str
    title: str
    now: str
    profile: str
    confirmed_by: str
    seal: str
    dates: Clocks
    apiaries: dict[str, int]
    hives: dict[str, int]
    pieces: dict[str, int]
    conflicts: tuple[Conflict, ...]
    apiary_states: dict[str, str]


def status(case: Case) -> Status:
    """Gathers the state of the case from its records."""
    situation = case.situation()
    profile = case.profile()
    who = case.confirmed(profile)
    states = apiary_states(situation)
    head = case.store.head()
    return Status(
        mark=case.head.mark, title=case.head.title, now=moment_words(case.now()),
        profile=f"{profile.id} – {profile.name}", confirmed_by=f"{who.officer} ({who.role})" if who else "",
        seal=head.short if head else "", dates=due_dates(case),
        apiaries=dict(Counter(states.values())), hives=hive_states(situation), pieces=_pieces(situation),
        conflicts=tuple(conflicts(situation)), apiary_states=states,
    )  # fmt: skip


def hive_states(situation: Situation) -> dict[str, int]:
    """How many hives are in each state; a hive counts once, in the state furthest along the work."""
    killed = {hive: state.state for hive, state in kill_states(situation).items()}
    looked = {look.hive for look in situation.rows(Inspection)}
    known, doubtful, doomed = cases(situation), suspects(situation), set(condemned(situation))
    found: Counter[str] = Counter()
    for mark in situation.by_mark(Hive):
        if mark in killed:
            found[killed[mark]] += 1
        elif mark in known:
            found["case"] += 1
        elif mark in doomed:
            found["condemned"] += 1
        elif mark in doubtful:
            found["suspect"] += 1
        else:
            found["no signs seen" if mark in looked else "unseen"] += 1
    order = ("unseen", "no signs seen", "suspect", "case", "condemned", "prepared", "sealed", "dosed", "dead confirmed",
             "disputed")  # fmt: skip
    return {state: found[state] for state in order if found[state]}


def apiary_states(situation: Situation) -> dict[str, str]:
    """The state of every apiary: free-running, standstill, under inspection, case, released or abandoned."""
    released = {release.apiary for release in situation.rows(Release)}
    bound = {notice.apiary for notice in situation.rows(Notice) if notice.type in ("standstill", "zone order")}
    places = hive_places(situation, situation_day(situation))
    with_case = {places[hive] for hive in cases(situation) if hive in places}
    found = {}
    for mark, apiary in situation.by_mark(Apiary).items():
        if mark in with_case:
            found[mark] = "released" if mark in released else "case"
        elif mark in bound:
            found[mark] = "released" if mark in released else "standstill"
        else:
            found[mark] = "abandoned" if apiary.state == "abandoned" else "free-running"
    return found


def status_report(case: Case) -> Report:
    """The state of the case in words."""
    now = status(case)
    due = [
        (clock.rule.title, clock.state, clock.words.removeprefix(f"{clock.rule.title}: ")) for clock in now.dates.clocks
    ]
    confirmed = _confirmed_words(case, now)
    sections = [
        Section("Due", (), table(("Clock", "State", "When"), due)),
        Section("Apiaries", (), table(("State", "Number"), now.apiaries.items(), right=(1,))),
        Section("Hives", (), table(("State", "Number"), now.hives.items(), right=(1,))),
        Section("Pieces counted", (), table(("What", "Number"), now.pieces.items(), right=(1,))),
        Section("Conflicts that a person must settle", tuple(conflict.question() for conflict in now.conflicts)),
    ]
    filled = [section for section in sections if section.lines or (section.table and section.table.rows)]
    headline = f"{now.now}. Profile {now.profile}, {confirmed}. Seal {now.seal}."
    return Report(f"Case {now.mark}: {now.title}".removesuffix(": "), headline, tuple(filled), as_json(now))


def _confirmed_words(case: Case, now: Status) -> str:
    if now.confirmed_by:
        return f"confirmed by {now.confirmed_by}"
    before = case.confirmed_before(case.profile())
    if before:
        return f"confirmed in an earlier wording by {before.officer}, in today's by nobody yet"
    return "confirmed by nobody yet"


def latest_records(case: Case, number: int = 12) -> Section:
    """The newest seals: what was written last, when and by whom."""
    rows = [
        (seal.short, moment_words(from_utc_ms(seal.at).astimezone(case.zone)), seal.by, seal.what, seal.count)
        for seal in reversed(case.store.seals()[-number:])
    ]
    return Section("Written last", (), table(("Seal", "When", "By", "What", "Records"), rows, right=(4,)))


def situation_day(situation: Situation) -> date:
    """The UTC day of the picture."""
    return from_utc_ms(situation.as_of).date()


def _pieces(situation: Situation) -> dict[str, int]:
    found: Counter[str] = Counter()
    for component in situation.rows(Component):
        found[component.component] += component.count
    held = sum(hold.count if hold.direction == "in" else -hold.count for hold in situation.rows(Hold))
    return dict(found) | ({"in the hold store": held} if held else {})
