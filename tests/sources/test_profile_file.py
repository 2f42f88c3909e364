"""A faulty profile is refused with every fault named; a change of any number changes the digest."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ashcomb.kernel.errors import UserError
from ashcomb.sources.library import gap_values
from ashcomb.sources.profile import load_profile, read_profile

HEAD = '[profile]\nname = "Ours"\n'
COVER = 'pit.cover_m = { value = 0.4, low = 0.3, high = 1, unit = "m", status = "project choice", reason = "Ours." }\n'
CLOCK = """[clocks.notify]
title = "Notify"
starts = "confirmed"
amount = 7
unit = "days"
meaning = "due"
text = "Within a week."
status = "project choice"
"""
WHOLE = f"{HEAD}[values]\n{COVER}{CLOCK}"


def refusal(text: str) -> str:
    with pytest.raises(UserError) as error:
        read_profile(text, "ours")
    return str(error.value)


def test_a_small_profile_loads_and_sets_only_what_it_says() -> None:
    profile = read_profile(WHOLE, "ours")
    assert profile.values.keys() == {"pit.cover_m"}
    assert profile.value("pit.cover_m").value == 0.4
    clock = profile.clock("notify")
    assert clock is not None
    assert (clock.amount, clock.unit, clock.starts) == (7, "days", "confirmed")
    assert profile.permission("brood_comb", "keep") == "needs leave"
    assert profile.filled == frozenset()


def test_a_missing_number_is_named_with_the_profile() -> None:
    with pytest.raises(UserError, match=r"“ours” sets no value for zone\.radius_km"):
        read_profile(WHOLE, "ours").value("zone.radius_km")


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("= 0.4,", "=", "cannot be read"),
        ("[profile]", "[place]", "“place” is no section"),
        ('name = "Ours"', "", "profile has no name"),
        ('name = "Ours"', 'name = "Ours"\nrest_days = [7]', "rest_days"),
        ('name = "Ours"', 'name = "Ours"\nrest_days = [0, 1, 2, 3, 4, 5, 6]', "rest_days"),
        ('name = "Ours"', 'name = "Ours"\nholidays = ["31 June"]', "“31 June” is not a date"),
        ('name = "Ours"', 'name = "Ours"\nchecked_on = 2026-11-25', "checked_on must be text"),
        ('name = "Ours"', 'name = "Ours"\nworking_day_ends = "25:00"', "“25:00” is not an hour"),
        ("pit.cover_m", "pit.covr_m", "nothing reads a value pit.covr_m"),
        ('unit = "m"', 'unit = "ft"', "pit.cover_m must be given in m, not ft"),
        ('unit = "m", ', "", "pit.cover_m has no unit"),
        ("low = 0.3, ", "", "pit.cover_m has no low"),
        (', reason = "Ours."', "", "pit.cover_m has no reason"),
        ('status = "project choice", reason', 'status = "published", reason', "names no source with place"),
        ('reason = "Ours."', 'source = "old-law", reason = "Ours."', "cites “old-law”, which is in no bibliography"),
        ("[clocks.notify]", "[clocks.notfy]", "write notify"),
        ('"confirmed"', '"full moon"', "starts at “full moon”"),
        ('"days"', '"fortnights"', "counts in “fortnights”"),
        ('"due"', '"soon"', "means “soon”"),
        ("amount = 7", "amount = 7.5", "amount must be a whole number"),
        ("amount = 7", "amount = 7\nuntil = 2", "counts backwards"),
        ('text = "Within a week."\n', "", "notify has no text"),
        ('text = "Within a week."\nstatus = "project choice"', 'text = "Soon."\nstatus = "law"', "status “law”"),
        ("[clocks.notify]", '[agents]\npetrol = "yes"\n[clocks.notify]', "petrol is “yes”"),
        ("[clocks.notify]", '[agents]\ncyanide = "allowed"\n[clocks.notify]', "“cyanide” is not an agent"),
        ("[clocks.notify]", '[fate]\nwooden_box.fry = "allowed"\n[clocks.notify]', "“fry” is no method"),
        ("[clocks.notify]", '[fate]\nbox = "burn"\n[clocks.notify]', "“box” is no component"),
        ("[clocks.notify]", '[rules]\nscorching = "no"\n[clocks.notify]', "scorching is not a table"),
    ],
)
def test_each_fault_is_named(old: str, new: str, fault: str) -> None:
    assert old in WHOLE
    assert fault in refusal(WHOLE.replace(old, new))


def test_all_faults_are_named_at_once() -> None:
    text = WHOLE.replace('unit = "m", ', "").replace('"days"', '"fortnights"').replace('name = "Ours"', "")
    found = refusal(text)
    assert all(fault in found for fault in ("pit.cover_m has no unit", "“fortnights”", "profile has no name"))


def test_a_profile_may_bring_its_own_sources() -> None:
    law = '[sources]\nold-law = { title = "Law", authors = "Us", year = "1901", locator = "", seen = "whole" }\n'
    text = WHOLE.replace('reason = "Ours."', 'source = "old-law", place = "§ 1", reason = "Ours."')
    profile = read_profile(text + law, "ours")
    assert profile.sources["old-law"].cite() == "Us, 1901, Law."


@pytest.mark.parametrize(
    ("old", "new"),
    [("0.4", "0.41"), ("amount = 7", "amount = 8"), ("Within a week", "Soon"), ("high = 1,", "high = 2,")],
)
def test_the_digest_changes_with_number_range_and_words(old: str, new: str) -> None:
    assert read_profile(WHOLE, "ours").digest != read_profile(WHOLE.replace(old, new), "ours").digest


def test_the_digest_ignores_comments_and_changes_with_filled_gaps() -> None:
    plain = read_profile(WHOLE, "ours").digest
    assert read_profile("# a note\n" + WHOLE, "ours").digest == plain
    assert read_profile(WHOLE.replace(HEAD, HEAD + "fill_gaps = true\n"), "ours").digest != plain


def test_the_digest_changes_when_a_stand_in_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    text = WHOLE.replace(HEAD, HEAD + "fill_gaps = true\n")
    before = read_profile(text, "ours").digest
    deeper = gap_values() | {"pit.well_m": replace(gap_values()["pit.well_m"], value=240)}
    monkeypatch.setattr("ashcomb.sources.profile.gap_values", lambda: deeper)
    assert read_profile(text, "ours").digest != before


def test_filled_gaps_are_shown_as_such_and_never_overrule_the_place() -> None:
    profile = read_profile(WHOLE.replace(HEAD, HEAD + "fill_gaps = true\n"), "ours")
    assert profile.value("pit.cover_m").value == 0.4
    assert "pit.cover_m" not in profile.filled
    assert "zone.radius_km" in profile.filled
    assert profile.value("kill.wait_min").status == "project choice"
    assert profile.value("kill.wait_min").reason.startswith("Not set by the place")
    assert profile.optional("kill.petrol_ml.b1") is None
    assert profile.permission("fuel_wet", "gamma") == "forbidden"
    assert profile.clocks == read_profile(WHOLE, "ours").clocks


def test_the_profile_of_the_case_folder_goes_first(tmp_path: Path) -> None:
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles" / "nz.toml").write_text(WHOLE, "utf-8")
    assert load_profile("nz", tmp_path).name == "Ours"
    assert load_profile("de", tmp_path).name == "Germany"


def test_an_unknown_profile_is_refused_with_the_choice() -> None:
    with pytest.raises(UserError, match="orrow-vale"):
        load_profile("atlantis")
