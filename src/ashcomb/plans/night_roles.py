"""Who does what in one night, and what keeps the crew from being complete."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from ashcomb.plans.result import Gate
from ashcomb.records.acts import CrewMember, Duty
from ashcomb.records.situation import Situation

FOR_THE_NIGHT = ("leader", "smoker keeper", "scribe")
FOR_EACH_TEAM = ("sealer", "pourer", "listener")
APART = (
    ("smoker keeper", "pourer", "who holds a flame never handles fuel"),
    ("scribe", "pourer", "hands that poured do not write or hold a telephone"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """One role of the night. team: None for a role that serves all.  people: who has it; empty if nobody."""

    role: str
    team: int | None
    people: tuple[str, ...]


def posts(situation: Situation, apiary: str, day: date, teams: int) -> tuple[Post, ...]:
    """Every role that the night needs, and every other that was given out, with the people who have it.

    A duty without team serves all teams if there is one team only, or if the role serves the night as a whole.
    """
    given: dict[tuple[str, int | None], list[str]] = defaultdict(list)
    for duty in situation.rows(Duty):
        if duty.happened.first <= day <= duty.happened.last and duty.apiary in ("", apiary):
            given[duty.role, _team(duty, teams)].append(duty.person)
    needed: list[tuple[str, int | None]] = [(role, None) for role in FOR_THE_NIGHT]
    needed += [(role, team) for team in range(1, teams + 1) for role in FOR_EACH_TEAM]
    more = [key for key in given if key not in needed]
    return tuple(Post(role=role, team=team, people=tuple(given.get((role, team), ()))) for role, team in needed + more)


def crew_gates(situation: Situation, roster: tuple[Post, ...]) -> tuple[Gate, ...]:
    """Whether every role is filled, flame and fuel are apart, and nobody is asked for what they may not do."""
    empty = [_name(post) for post in roster if not post.people]
    filled = Gate(
        "roles filled", not empty, f"Nobody is {', '.join(empty)}." if empty else "Every role has a name.", "leader"
    )
    pairs = [_apart(roster, *pair) for pair in APART]
    faults = [*_in_two_teams(roster), *_not_theirs(situation, roster)]
    suited = Gate(
        "people suited", not faults, " ".join(faults) or "Each person has one team and a role of theirs.", "leader"
    )
    return (filled, *pairs, suited)


def _team(duty: Duty, teams: int) -> int | None:
    if duty.role not in FOR_EACH_TEAM:
        return None
    return duty.team or (1 if teams == 1 else None)


def _name(post: Post) -> str:
    return post.role + (f" of team {post.team}" if post.team else "")


def _apart(roster: tuple[Post, ...], one: str, other: str, why: str) -> Gate:
    name = f"{one} is not {other}"
    first, second = _people(roster, one), _people(roster, other)
    if not first or not second:
        return Gate(name, False, f"Both must be named to tell that they are two people: {why}.", "leader")
    both = sorted(first & second)
    if both:
        return Gate(name, False, f"{', '.join(both)} is both {one} and {other}; {why}.", "leader")
    return Gate(name, True, f"{', '.join(sorted(first))} and {', '.join(sorted(second))}: {why}.", "leader")


def _people(roster: tuple[Post, ...], role: str) -> set[str]:
    return {person for post in roster if post.role == role for person in post.people}


def _in_two_teams(roster: tuple[Post, ...]) -> Iterator[str]:
    teams: dict[str, set[int]] = defaultdict(set)
    for post in roster:
        for person in post.people:
            teams[person] |= {post.team} if post.team else set()
    for person, found in sorted(teams.items()):
        if len(found) > 1:
            yield f"{person} is in teams {' and '.join(str(team) for team in sorted(found))} at once."


def _not_theirs(situation: Situation, roster: tuple[Post, ...]) -> Iterator[str]:
    crew = situation.by_mark(CrewMember)
    for post in roster:
        for person in post.people:
            member = crew.get(person)
            if member is None:
                yield f"{person} is not in the crew list."
            elif member.roles and post.role not in member.roles:
                yield f"{person} is not down as {post.role}."
