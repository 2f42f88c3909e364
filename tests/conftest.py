"""Shared by all tests: a maker of records with made-up ids and a clock that stands still."""

from __future__ import annotations

import itertools
from typing import Any, TypeVar

import pytest
from hypothesis import HealthCheck, settings

from ashcomb.kernel.ids import uuid7
from ashcomb.kernel.time import Span
from ashcomb.records.columns import Record

settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True)
settings.load_profile("house")

R = TypeVar("R", bound=Record)
NOTED = 1_936_000_000_000  # 7 May 2031, in UTC milliseconds


class Maker:
    """Makes records: `make(Hive, "2030-04-10", mark="A07-01", apiary="A07")`."""

    def __init__(self) -> None:
        self._count = itertools.count()

    def __call__(self, cls: type[R], happened: str = "2030-04-10", **fields: Any) -> R:
        n = next(self._count)
        head: dict[str, Any] = {"id": uuid7(NOTED + n, n.to_bytes(10, "big")), "noted": NOTED + n,
                                "received": NOTED + n, "by": "EV", "device": "test"}  # fmt: skip
        head |= {name: fields.pop(name) for name in tuple(fields) if name in (*head, "evidence", "corrects", "origin")}
        return cls(**head, happened=Span.parse(happened), **fields)


@pytest.fixture
def make() -> Maker:
    return Maker()
