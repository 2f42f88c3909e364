"""The pages that the program writes about itself stand in docs/ as it would write them now."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SPEC = importlib.util.spec_from_file_location("tables", ROOT / "docs" / "tables.py")
assert SPEC is not None
assert SPEC.loader is not None
tables = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(tables)
PAGES = tables.pages()


@pytest.mark.parametrize("name", PAGES)
def test_page_is_up_to_date(name: str) -> None:
    assert (ROOT / "docs" / name).read_text("utf-8") == PAGES[name], "run `make docs`"


def test_every_formula_is_checked_against_something_outside() -> None:
    rows = [line.split(" | ") for line in PAGES["formulas.md"].splitlines()[6:]]
    unchecked = [row[0].strip("| ") for row in rows if row[6] == "–"]
    assert unchecked == []
