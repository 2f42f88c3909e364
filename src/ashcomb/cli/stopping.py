"""Ctrl-C during long work: the first asks it to stop in good order, the second ends the program."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def stoppable(say: Callable[[], None] = lambda: None) -> Iterator[Callable[[], bool]]:
    """While inside, the first Ctrl-C asks the work to stop and is answered by `say`; the second ends the program."""
    asked: list[bool] = []

    def note(*_: object) -> None:
        if asked:
            raise KeyboardInterrupt
        asked.append(True)
        say()

    old = signal.signal(signal.SIGINT, note)
    try:
        yield lambda: bool(asked)
    finally:
        signal.signal(signal.SIGINT, old)
