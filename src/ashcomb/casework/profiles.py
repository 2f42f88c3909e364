"""Shows the code profiles, and puts another one into force with its consequences said."""

from __future__ import annotations

from ashcomb.casework.case import Case, choose_profile
from ashcomb.casework.report import Report, Section, report, rule_words, source_words, sources_table, table
from ashcomb.sources.profile import CodeProfile, load_profile, profile_ids


def list_profiles() -> Report:
    """The profiles that come with the program."""
    loaded = [load_profile(name) for name in profile_ids()]
    rows = [(p.id, p.name, p.checked_on, len(p.clocks), len(p.values)) for p in loaded]
    columns = ("Profile", "Place", "Read on", "Clocks", "Numbers")
    advice = "Each is advice until an officer has read it against the law in force and confirmed it by name."
    facts = [{"id": p.id, "name": p.name, "checked_on": p.checked_on, "checked_by": p.checked_by, "digest": p.digest}
             for p in loaded]  # fmt: skip
    sections = (Section("Profiles", (), table(columns, rows, right=(3, 4))),)
    return Report("Code profiles", advice, sections, facts)


def show_profile(case: Case) -> Report:
    """The profile in force: who confirmed it, its clocks, rules and numbers."""
    profile = case.profile()
    return report(f"Code profile {profile.id}: {profile.name}", _confirmation_words(case, profile), _sections(profile))


def switch_profile(case: Case, name: str, reason: str) -> Report:
    """Puts another profile into force; returns what it says and that it must be confirmed."""
    choose_profile(case, name, reason)
    return show_profile(case)


def _confirmation_words(case: Case, profile: CodeProfile) -> str:
    who = case.confirmed(profile)
    if who:
        return (
            f"Confirmed by {who.officer} ({who.role}) on {who.happened.words()} in this wording, {profile.digest[:12]}."
        )
    before = case.confirmed_before(profile)
    if before:
        return (
            f"{before.officer} ({before.role}) confirmed an earlier wording on {before.happened.words()}; it has "
            "changed since. Read it and confirm it again: papers will not say “ready” until an officer does."
        )
    return "Nobody has confirmed this wording by name: papers will not say “ready” until an officer does."


def _sections(profile: CodeProfile) -> list[Section]:
    clocks = [(c.title, f"{c.amount} {c.unit} from {c.starts}", c.meaning, c.status, source_words(c.source, c.place))
              for c in profile.clocks]  # fmt: skip
    agents = [(agent, permission) for agent, permission in profile.agents.items()]
    return [
        Section("Clocks", (), table(("Clock", "Runs", "Meaning", "Status", "Source"), clocks)),
        Section("Agents", ("None is chosen by default.",), table(("Agent", "Permission"), agents)),
        Section("Rules", tuple(rule_words(rule) for rule in profile.rules.values())),
        Section("Numbers", (), sources_table(profile.values.values())),
    ]
