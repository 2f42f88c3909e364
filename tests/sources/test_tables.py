"""The written pages are those that the data files give."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from ashcomb.sources import tables

ROOT = Path(__file__).parents[2]


def test_the_page_of_profiles_is_up_to_date() -> None:
    assert (ROOT / "docs" / "profiles.md").read_text("utf-8") == tables.profiles_page(), "run make docs"


def test_the_blank_profile_is_up_to_date() -> None:
    blank = resources.files("ashcomb.sources") / "data" / "profiles" / "blank.toml"
    assert blank.read_text("utf-8") == tables.blank_profile(), "run make docs"


def test_the_page_shows_disagreement_memory_and_filled_gaps() -> None:
    page = tables.profiles_page()
    disputed = page.split("## Numbers that no shipped profile disputes")[0]
    assert "| `zone.radius_km` [km] | (3) | 1 | 5 |" in disputed
    assert "15*" in disputed
    assert "`fuel.can_max_l`" not in disputed
    assert "earliest: 2 to 9 months from killed" in page


def test_writing_again_changes_nothing(tmp_path: Path) -> None:
    blank = Path(str(resources.files("ashcomb.sources") / "data" / "profiles" / "blank.toml"))
    before = blank.read_text("utf-8")
    tables.main(tmp_path)
    assert blank.read_text("utf-8") == before
    assert (tmp_path / "profiles.md").read_text("utf-8") == tables.profiles_page()
