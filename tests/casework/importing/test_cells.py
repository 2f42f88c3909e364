"""Marks, words, yes and no, hours."""

from __future__ import annotations

import unicodedata
from datetime import datetime, time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ashcomb.casework.importing.cells import Clock, Flag, Mark, Marks, Setting, Text
from ashcomb.casework.importing.measures import READERS
from ashcomb.casework.importing.result import UnreadableError
from ashcomb.casework.importing.words import choose
from ashcomb.records.all import KINDS
from ashcomb.records.columns import EVIDENCE


@pytest.mark.parametrize(
    ("cell", "mark"), [(12.0, "12"), ("12.0", "12"), (" A07-1 ", "A07-1"), ("007", "007"), (12.5, "12.5"), ("-", "")]
)
def test_marks(cell: Any, mark: str):
    assert Mark(None, Setting()).read(cell) == mark


def test_a_mark_that_became_a_day_is_refused():
    with pytest.raises(UnreadableError, match="has changed the mark"):
        Mark(None, Setting()).read(datetime(2030, 4, 3))


@pytest.mark.parametrize(
    ("cell", "marks"),
    [("12, 13;14", ("12", "13", "14")), ("12 13", ("12", "13")), ("12 and 13", ("12", "13")), (12.0, ("12",)), ("", ()),
     ("North 1; North 2", ("North 1", "North 2")), ("12\n13", ("12", "13"))],
)  # fmt: skip
def test_several_marks(cell: Any, marks: tuple[str, ...]):
    assert Marks(None, Setting()).read(cell) == marks


@pytest.mark.parametrize(
    ("kind", "column", "text", "option"),
    [
        ("component", "component", "Boxes", "box"),
        ("component", "component", "LIDS", "lid"),
        ("move", "what", "queen", "queens"),
        ("move", "what", "Wet  Super", "wet supers"),
        ("move", "what", "nuc", "nucleus"),
        ("hive", "holds", "dead out", "dead-out"),
        ("inspection", "signs", "none", "none seen"),
        ("inspection", "signs", "clean", None),  # says nothing about what was looked at
        ("move", "what", "supers", None),  # wet or dry?
        ("result", "outcome", "negative", "not detected"),
        ("kill", "step", "Dead confirmed", "dead confirmed"),
    ],
)
def test_words(kind: str, column: str, text: str, option: str | None):
    assert choose(text, KINDS[kind].columns[column].options, {}) == option


def test_every_option_of_every_column_means_itself():
    for kind in KINDS.values():
        for column in kind.columns.values():
            for option in column.options:
                assert choose(option.upper(), column.options, {}) == option


def test_the_users_own_words():
    assert choose("Clean", KINDS["inspection"].columns["signs"].options, {"clean": "none seen"}) == "none seen"
    assert choose("from memory", EVIDENCE, {}) == "memory"


@pytest.mark.parametrize(
    ("cell", "value"),
    [("yes", True), ("X", True), ("✓", True), ("ja", True), (1.0, True), (True, True), ("No", False), ("nein", False),
     (0.0, False), ("", None), ("-", None)],
)  # fmt: skip
def test_flags(cell: Any, value: bool | None):
    assert Flag(None, Setting()).read(cell) is value


def test_a_flag_is_not_guessed():
    for cell in ("maybe", 2.0, "yes?"):
        with pytest.raises(UnreadableError):
            Flag(None, Setting()).read(cell)


@pytest.mark.parametrize(
    ("cell", "clock"),
    [("22:30", "22:30"), ("22.30", "22:30"), ("10:30 pm", "22:30"), ("12 am", "00:00"), (time(22, 30), "22:30"),
     (0.9375, "22:30"), ("22h30", "22:30"), ("9:05:59", "09:05"), ("", None)],
)  # fmt: skip
def test_hours(cell: Any, clock: str | None):
    assert Clock(None, Setting()).read(cell) == clock


def test_no_hour():
    for cell in ("25:00", "22", "13 pm", 22.0, "dusk", datetime(2030, 1, 1)):
        with pytest.raises(UnreadableError):
            Clock(None, Setting()).read(cell)


@given(st.text())
def test_words_stay_as_they_are_but_for_blanks_around_them(text: str):
    assert Text(None, Setting()).read(text) == unicodedata.normalize("NFC", text).strip()


@given(st.one_of(st.text(), st.floats(), st.booleans(), st.datetimes(), st.times(), st.timedeltas()))
def test_every_cell_is_read_or_refused_in_words(cell: Any):
    for kind in KINDS.values():
        for column in kind.columns.values():
            try:
                READERS[column.type](column, Setting(), [cell]).read(cell)
            except UnreadableError as fault:
                told = (fault.what, fault.do)
                assert all(told)
