"""Which numbers and rules a plan took, and from where: the profile's own first, the program's stand-in after it."""

from __future__ import annotations

from fractions import Fraction

from ashcomb.science.exact import exact
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced
from ashcomb.sources.profile import CodeProfile, Rule


class Figures:
    """Hands out numbers and rules to one plan and remembers each, so that the plan can print them."""

    def __init__(self, profile: CodeProfile) -> None:
        self.profile = profile
        self._taken: dict[str, Sourced] = {}
        self._rules: dict[str, Rule] = {}

    def ours(self, key: str) -> Fraction:
        """A number of the program, by its dotted key, exactly as it was written down."""
        return self._take(value(key))

    def theirs(self, key: str, instead: str) -> Fraction:
        """The profile's number of that key, or the program's number `instead` where the place sets none."""
        return self._take(self.profile.optional(key) or value(instead))

    def maybe(self, key: str) -> Fraction | None:
        """The profile's number of that key, or None where the place sets none."""
        found = self.profile.optional(key)
        return self._take(found) if found else None

    def rule(self, key: str) -> Rule | None:
        """The profile's rule in words of that key, or None."""
        found = self.profile.rules.get(key)
        if found:
            self._rules[key] = found
        return found

    @property
    def taken(self) -> tuple[Sourced, ...]:
        """Every number that was handed out, in order of first use."""
        return tuple(self._taken.values())

    @property
    def rules(self) -> tuple[Rule, ...]:
        """Every rule that was handed out, in order of first use."""
        return tuple(self._rules.values())

    def _take(self, found: Sourced) -> Fraction:
        self._taken.setdefault(found.key, found)
        return exact(found.value)
