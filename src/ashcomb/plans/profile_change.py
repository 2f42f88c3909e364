"""What another profile changes in the dates, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from ashcomb.kernel.time import Span
from ashcomb.plans.clocks import Clock, clocks
from ashcomb.plans.result import Plan
from ashcomb.sources.profile import CodeProfile

_DIFFERENCES = {
    "starts": "counts from another event",
    "amount": "counts another number",
    "unit": "counts in another unit",
    "until": "ends the window elsewhere",
    "meaning": "means a limit in one and an earliest date in the other",
    "slides": "treats rest days differently",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One clock before and after. before, after: its words, '' where a profile has no such clock.  why: the reasons."""

    key: str
    title: str
    before: str
    after: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileChange(Plan):
    """Every clock whose date or rule differs between two profiles."""

    old: str
    new: str
    changes: tuple[Change, ...]


def compare(
    old: CodeProfile, new: CodeProfile, events: Mapping[str, Span], timezone: str, now: datetime
) -> ProfileChange:
    """The clocks that change when the profile `old` gives way to `new`, each with the reason.

    Arguments and errors as in `clocks`.
    """
    before, after = clocks(old, events, timezone, now), clocks(new, events, timezone, now)
    keys = dict.fromkeys(clock.rule.key for clock in (*before.clocks, *after.clocks))
    changes = (_change(key, before.of(key), after.of(key), old, new) for key in keys)
    return ProfileChange(
        old=old.id,
        new=new.id,
        changes=tuple(change for change in changes if change),
        rules=before.rules + after.rules,
        assumptions=tuple(dict.fromkeys(before.assumptions + after.assumptions)),
    )


def _change(key: str, a: Clock | None, b: Clock | None, old: CodeProfile, new: CodeProfile) -> Change | None:
    if a is None or b is None:
        title = "".join(clock.rule.title for clock in (a, b) if clock)
        return Change(key=key, title=title, before=a.words if a else "", after=b.words if b else "",
                      why=f"Profile “{(new if a else old).id}” sets no such time limit.")  # fmt: skip
    if (a.at, a.until, a.state) == (b.at, b.until, b.state) and a.why == b.why:
        return None
    reasons = [words for name, words in _DIFFERENCES.items() if getattr(a.rule, name) != getattr(b.rule, name)]
    if not reasons and (a.at, a.until) != (b.at, b.until):
        reasons = ["has other rest days, holidays or hours"]
    what = f"“{new.id}” {', '.join(reasons)}. " if reasons else "The date stays, the rule behind it differs. "
    return Change(key=key, title=b.rule.title, before=a.words, after=b.words,
                  why=f"{what}Under “{old.id}”: {a.why} Under “{new.id}”: {b.why}")  # fmt: skip
