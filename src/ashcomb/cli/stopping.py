"""Ctrl-C during long work: the first asks it to stop in good order, the second ends the program."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def stoppable() -> Iterator[Callable[[], bool]]:
    """While inside, the first Ctrl-C asks the work to stop; the second one ends the program."""
    asked: list[bool] = []

    def note(*_: object) -> None:
        if asked:
            raise KeyboardInterrupt
        asked.append(True)

    old = signal.signal(signal.SIGINT, note)
    try:
        yield lambda: bool(asked)
    finally:
        signal.signal(signal.SIGINT, old)
