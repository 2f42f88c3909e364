"""What the other papers must say, and what none of them may say."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.papers import yard
from tests.papers.reading import SIZES, Read, read
from tests.stories import vale_night

from ashcomb.casework.case import Case, choose_profile
from ashcomb.casework.sheets.desk import SheetAsk
from ashcomb.papers.write import paper_names, render_paper
from ashcomb.sources.profile import profile_ids

FIELDS: dict[str, tuple[str, ...]] = {
    "notification": (
        "First suspected", "Tue 6 May 2031 10:40", "Found by", "Nell Varga", "Hives present", "14", "A07-03",
        "3: over 100", "A07-05", "2: 11 to 100", "A07-12", "1: up to 10", "sample OV-0117", "culture: positive",
        "due by end of Tue 13 May 2031", "Destruction: intended day", "What is written here is true as far as I know",
        "Notified by",
    ),
    "standstill": (
        "S-11", "American foulbrood", "Tue 6 May 2031 16:00", "A07-05", "May not move", "Honey, pollen and feed",
        "Exceptions, only with a permit in writing", "ends only in writing", "Marks on hives, boxes and seals stay",
        "Received by",
    ),
    "destruction": (
        "D-1", "F-1", "Landowner's consent", "L-1", "A07-14", "Dose mL", "Top-up mL", "Dead confirmed at, by", "frame",
        "lid", "Ash at", "Covered at", "Settled soil over the ash", "Looked at next day", "Photographs", "3 × 1.5 m",
        "Second person", "Pit walls fall without warning", "A pit fire grows faster than it looks",
    ),
    "pit": (
        "3 × 1.5 m", "1.2 m (0.45 m needed)", "Section of the pit", "Plan of the pit", "drinking spring", "Measured, m",
        "Buried cables and pipes", "Fire site at A07", "People from the rim", "Loading", "Log of the gas meter",
        "Second person", "None of this sheet gave leave to light",
        "Pit walls fall without warning", "A pit fire grows faster than it looks", "Petrol vapour is heavier than air",
    ),
    "trace": ("Forward from A07", "A09", "memory", "H01", "m5→m7", "Back from A07", "D1", "A26", "Ada Crome",
              "told", "seen"),
    "zone": ("Around A07", "N01", "1.000", "H01", "3.000", "on the line of 3 km: confirm position", "A19", "5.000",
             "abandoned"),
    "inspection": (
        "Looked at", "13", "Not looked at", "A07-14", "NOT LOOKED AT: why?", "1 frame ill", "27.0 %",
        "No signs seen does not mean free of disease", "Keeper, result received", "daylight",
    ),
    "balance": ("372 pieces counted", "0 burned", "372 not dealt with yet", "DOES NOT CLOSE", "297",
                "Hold store, in and out", "Bee-proof"),
    "release": (
        "Not released: gates unmet", "NOT RELEASED", "date", "rounds", "spring check", "NOT MET", "Who can meet it",
        "time alone", "S-11", "profile confirmed",
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def papers(case: Case) -> dict[str, Read]:
    ask = SheetAsk(hives=vale_night.MARKS)
    return {name: read(render_paper(case, name, "a4", ask=ask)) for name in FIELDS}


@pytest.mark.parametrize(("name", "words"), [(name, words) for name, listed in FIELDS.items() for words in listed])
def test_the_fields_of_each_paper(papers: dict[str, Read], name: str, words: str):
    assert papers[name].says(words)


def test_the_vapour_curve_is_on_the_pit_sheet_only_for_petrol(case: Case, papers: dict[str, Read]):
    assert not papers["pit"].says("Vapour after 250 mL petrol")
    ask = SheetAsk(hives=vale_night.MARKS, agent="petrol")
    with_petrol = read(render_paper(case, "pit", "a4", ask=ask))
    assert with_petrol.says("Vapour after 250 mL petrol")
    assert with_petrol.says("Not cleared, and no calculation clears")


def test_the_time_line_is_on_the_night_sheet(case: Case):
    sheet = read(render_paper(case, "night", "a4", ask=SheetAsk(hives=vale_night.MARKS, agent="petrol")))
    assert sheet.says("earliest sealing 20:32")
    assert sheet.says("2nd dose")
    assert sheet.says("Moon:")


def test_three_of_ten_frames_print_their_worth(papers: dict[str, Read]):
    """3 of 10 brood frames find a diseased one 3 times in 10 (arithmetic); with 0.9 for noticing it: 27 %."""
    assert papers["inspection"].says("27.0 %")
    assert not papers["inspection"].says("is clean")


@pytest.mark.parametrize("name", paper_names())
def test_no_paper_uses_a_word_that_promises(case: Case, name: str):
    text = "".join(read(render_paper(case, name, "a4")).pages).casefold()
    for denied in ("neversaysthatitissafeto", "nothingheresaysthatitissafeto"):
        text = text.replace(denied, "")
    for word in ("itissafeto", "sterile", "diseasefree", "allclear", "isclean"):
        assert word not in text, word


def test_a_release_paper_only_says_not_released_while_gates_are_unmet(papers: dict[str, Read]):
    assert not papers["release"].says("The restrictions named here are lifted")


def test_the_blank_release_has_its_statement_to_sign():
    assert read(render_paper(None, "release")).says("The restrictions named here are lifted")


@pytest.mark.parametrize("paper", SIZES)
def test_the_small_keepers_case_has_two_pages(case: Case, paper: str):
    sheet = read(render_paper(case, "hobby", paper))
    assert len(sheet.pages) == 2
    for words in ("Ada Crome", "H01-01", "H01-02", "Today", "The other hive", "Dates", "Earliest release"):
        assert sheet.says(words)
    assert len(read(render_paper(None, "hobby", paper)).pages) == 2


@pytest.mark.parametrize("profile", profile_ids())
@pytest.mark.parametrize("paper", SIZES)
def test_the_small_keepers_case_has_two_pages_under_every_profile(tmp_path: Path, profile: str, paper: str):
    records = yard.night_records(*yard.finds(), *yard.small_keeper())
    with yard.case_of(tmp_path / "case", records) as case:
        choose_profile(case, profile, "test")
        assert len(read(render_paper(case, "hobby", paper)).pages) == 2
