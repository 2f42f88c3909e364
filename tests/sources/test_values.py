"""The shipped bibliography and values are complete, and an incomplete one is refused."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from ashcomb.sources import library
from ashcomb.sources.model import Sourced, read_values

WHOLE: dict[str, Any] = {
    "value": 15,
    "low": 10,
    "high": 30,
    "unit": "min",
    "source": "some-law",
    "place": "§ 1",
    "status": "published",
    "reason": "Because.",
}
SEEN = ("whole", "excerpt", "abstract", "quoted", "not read")


def faults(**change: Any) -> list[str]:
    found: list[str] = []
    table = {name: entry for name, entry in (WHOLE | change).items() if entry is not None}
    read_values({"kill": {"wait_min": table}}, faults=found)
    return found


def test_a_complete_value_is_read() -> None:
    assert faults() == []
    assert read_values({"kill": {"wait_min": WHOLE}}) == [
        Sourced("kill.wait_min", 15.0, "min", 10.0, 30.0, "some-law", "§ 1", "published", "Because.")
    ]


@pytest.mark.parametrize("name", ["unit", "low", "high", "source", "place", "status", "reason"])
def test_a_value_without_one_of_its_parts_is_refused(name: str) -> None:
    assert faults(**{name: None}), name


@pytest.mark.parametrize("name", ["unit", "source", "place", "status", "reason"])
def test_an_empty_part_is_refused(name: str) -> None:
    assert faults(**{name: ""}), name


@pytest.mark.parametrize(
    "change",
    [
        {"value": 31},
        {"low": 16},
        {"value": float("nan")},
        {"value": "15"},
        {"value": True},
        {"status": "well known"},
        {"unti": "min"},
        {"status": "derived", "source": ""},
    ],
)
def test_a_value_that_does_not_fit_is_refused(change: dict[str, Any]) -> None:
    assert faults(**change)


@pytest.mark.parametrize("status", ["common practice", "project choice", "from memory"])
def test_only_what_nobody_published_may_lack_a_source(status: str) -> None:
    assert faults(status=status, source="", place="") == []


def test_a_number_outside_a_value_is_refused() -> None:
    found: list[str] = []
    read_values({"kill": {"wait_min": 15}}, faults=found)
    assert found == ["kill.wait_min stands outside a table that holds a value"]


def test_without_a_list_of_faults_the_reader_raises() -> None:
    with pytest.raises(ValueError, match="has no unit"):
        read_values({"a": {name: entry for name, entry in WHOLE.items() if name != "unit"}})


def test_every_shipped_value_cites_the_bibliography() -> None:
    assert len(library.values()) > 50
    assert library.uncited(library.values().values()) == []
    assert library.uncited(library.gap_values().values()) == []


def test_every_source_says_what_was_read() -> None:
    for source in library.bibliography().values():
        assert source.title, source.key
        assert source.locator or source.authors or source.year, source.key
        assert source.seen.startswith(SEEN), (source.key, source.seen)


def test_every_source_stands_in_one_file_only() -> None:
    counted = Counter(key for table in library.tables("bibliography").values() for key in table)
    assert [key for key, times in counted.items() if times > 1] == []


def test_stand_ins_are_for_keys_that_something_reads_and_never_for_petrol() -> None:
    assert library.gap_values().keys() <= library.profile_keys()["values"].keys()
    assert not [key for key in library.gap_values() if "petrol" in key]
    assert all(
        value.unit == library.profile_keys()["values"][key]["unit"] for key, value in library.gap_values().items()
    )


def test_an_unknown_value_names_its_file() -> None:
    with pytest.raises(KeyError, match=r"values/hives\.toml"):
        library.value("hives.nothing")
