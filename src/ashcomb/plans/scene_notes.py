"""What a scene leaves out or has to guess, gathered under its reason and told in words: nothing is dropped silently."""

from __future__ import annotations

from collections import defaultdict

NAMED = 6  # so many are named in a sentence, the others counted


class Notes:
    """Sentences with the records that they are about."""

    def __init__(self) -> None:
        self._out: dict[str, list[str]] = defaultdict(list)
        self._guessed: dict[str, list[str]] = defaultdict(list)

    def out(self, reason: str, what: str) -> None:
        """Something that could not be placed and is left out."""
        self._out[reason].append(what)

    def guess(self, reason: str, what: str) -> None:
        """Something that is in the scene, but only by a guess or a rule for doubtful cases."""
        self._guessed[reason].append(what)

    @property
    def left_out(self) -> tuple[str, ...]:
        """What was left out, one sentence for each reason."""
        return tuple(_words(reason, what) for reason, what in self._out.items())

    @property
    def guessed(self) -> tuple[str, ...]:
        """What was guessed, one sentence for each rule."""
        return tuple(_words(reason, what) for reason, what in self._guessed.items())


def _words(reason: str, what: list[str]) -> str:
    named = ", ".join(what[:NAMED]) + (f" and {len(what) - NAMED} more" if len(what) > NAMED else "")
    return f"{reason}: {named}."
