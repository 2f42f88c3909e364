"""Cases that the tests of papers share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.papers import yard

from ashcomb.casework.case import Case


@pytest.fixture(scope="session")
def case(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Case]:
    """Yard A07 before its night, and Ada Crome's garden. Only read it."""
    folder: Path = tmp_path_factory.mktemp("papers")
    with yard.case_of(folder / "case", yard.night_records(*yard.finds(), *yard.small_keeper())) as made:
        yield made
