"""Days as people write them. Month lengths and weekdays are checked against the standard library's calendar."""

from __future__ import annotations

import calendar
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import to_excel
from tests.casework.importing.workbooks import YARDS, csv_file, noted, read, whats, xlsx

from ashcomb.casework.importing.cells import Setting
from ashcomb.casework.importing.dates import read_days
from ashcomb.casework.importing.days import Days
from ashcomb.casework.importing.mapping import Mapping, SheetMapping
from ashcomb.casework.importing.result import UnreadableError
from ashcomb.casework.importing.xlsx import EPOCH_1904

ANY_DAY = st.dates(date(1900, 1, 1), date(2199, 12, 31))

# ISO 8601-1:2019, 5.2.2.1 and 5.4.2.1 (calendar day, day with hour) and 5.5 (interval), section numbers from memory;
# the other styles are common practice, no source.
ONE_DAY = ["2030-08-20", "2030/8/20", "20.8.2030", "20.08.2030", "20. 8. 2030", "20/08/2030", "8/20/2030", "20-8-2030",
           "20 Aug 2030", "20 August 2030", "20th of August 2030", "20. August 2030", "Aug 20, 2030", "August 20 2030",
           "20-Aug-2030", "20aug2030", "Tue 20 Aug 2030", "Tuesday, 20 August 2030", "  20  AUG  2030 "]  # fmt: skip


@pytest.mark.parametrize("text", ONE_DAY)
def test_one_day(text: str):
    assert str(read_days(text)) == "2030-08-20"


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("2031-05-14T22:07", "2031-05-14T22:07"),
        ("2031-05-14 22:07", "2031-05-14T22:07"),
        ("2031-05-14T22:07:31", "2031-05-14T22:07"),
        ("14.5.2031 22:07", "2031-05-14T22:07"),
        ("14 May 2031, 10:07 pm", "2031-05-14T22:07"),
        ("14 May 2031 12 am", "2031-05-14T00:00"),
        ("14 May 2031 at 9:30", "2031-05-14T09:30"),
        ("2030-06-01/2030-07-31", "2030-06-01/2030-07-31"),
        ("June or July 2030", "2030-06-01/2030-07-31"),
        ("June/July 2030", "2030-06-01/2030-07-31"),
        ("Jun–Jul 2030", "2030-06-01/2030-07-31"),
        ("between June and August 2030", "2030-06-01/2030-08-31"),
        ("20 to 25 Aug 2030", "2030-08-20/2030-08-25"),
        ("20-25 Aug 2030", "2030-08-20/2030-08-25"),
        ("20 Aug to 5 Sep 2030", "2030-08-20/2030-09-05"),
        ("Dec 2030 or Jan 2031", "2030-12-01/2031-01-31"),
        ("from 2030-08-20 to 2030-08-25", "2030-08-20/2030-08-25"),
        ("about 20 Aug 2030", "2030-08-13/2030-08-27"),
        ("~20.8.2030", "2030-08-13/2030-08-27"),
        ("ca. 2030-08-20", "2030-08-13/2030-08-27"),
        ("early June 2030", "2030-06-01/2030-06-10"),
        ("mid June 2030", "2030-06-11/2030-06-20"),
        ("mid-June 2030", "2030-06-11/2030-06-20"),
        ("late June 2030", "2030-06-21/2030-06-30"),
        ("end of February 2032", "2032-02-21/2032-02-29"),
        ("June 2030", "2030-06-01/2030-06-30"),
        ("06/2030", "2030-06-01/2030-06-30"),
        ("2030-06", "2030-06-01/2030-06-30"),
        ("2030", "2030-01-01/2030-12-31"),
        ("31.12.2030", "2030-12-31"),
        ("5/5/2030", "2030-05-05"),
    ],
)
def test_intervals_and_hours(text: str, iso: str):
    assert str(read_days(text)) == iso


# Whole-month seasons: Trenberth (1983), "What are the seasons?", Bull. Am. Meteorol. Soc. 64:1276, from memory.
@pytest.mark.parametrize(
    ("text", "southern", "iso"),
    [
        ("summer 2030", False, "2030-06-01/2030-08-31"),
        ("spring 2030", False, "2030-03-01/2030-05-31"),
        ("fall 2030", False, "2030-09-01/2030-11-30"),
        ("winter 2030/31", False, "2030-12-01/2031-02-28"),
        ("winter 2031-32", False, "2031-12-01/2032-02-29"),
        ("winter 2030", True, "2030-06-01/2030-08-31"),
        ("summer 2030/31", True, "2030-12-01/2031-02-28"),
        ("autumn 2030", True, "2030-03-01/2030-05-31"),
    ],
)
def test_seasons(text: str, southern: bool, iso: str):
    assert str(read_days(text, southern=southern)) == iso


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("31 June 2030", "June 2030 has no day 31; it has 30 days"),
        ("29.2.2031", "February 2031 has no day 29"),
        ("2030-13-01", "no month 13"),
        ("5/6/2030", "ambiguous"),
        ("05-06-2030", "ambiguous"),
        ("5/6/2030 to 8/6/2030", "ambiguous"),
        ("40/50/2030", "no month 50"),
        ("20 Aug 30", "two digits"),
        ("20.8.30", "two digits"),
        ("20 Aug", "no year"),
        ("June", "no year"),
        ("winter 2030", "ambiguous"),
        ("winter 2030/32", "ambiguous"),
        ("Monday 20 Aug 2030", "that day is a Tuesday"),
        ("20 Aug 0203", "lies in the year 203"),
        ("about 20 Aug 2030 22:07", "no one known day"),
        ("June 2030 22:07", "no one known day"),
        ("20 Aug 2030 25:07", "no such hour"),
        ("20 Aug 2030 13 pm", "no such hour"),
        ("Aug 2030 to June 2030", "ends before it begins"),
        ("before June 2030", "not a date"),
        ("soon", "no year"),
        ("n. d. 1", "not a date"),
        ("2031-05-14T22:07Z", "not a date"),
    ],
)
def test_what_is_refused(text: str, says: str):
    with pytest.raises(UnreadableError) as fault:
        read_days(text)
    assert says in fault.value.what
    assert fault.value.do


@given(ANY_DAY)
def test_every_day_in_every_style(day: date):
    month, name = day.strftime("%b"), day.strftime("%A")
    for text in (day.isoformat(), f"{day.day}.{day.month}.{day.year}", f"{day.day} {month} {day.year}",
                 f"{name}, {day.day} {month} {day.year}", f"{month} {day.day}, {day.year}"):  # fmt: skip
        assert read_days(text).first == day == read_days(text).last
    assert read_days(f"{day.day}/{day.month}/{day.year}", "day first").first == day or day.day != day.month > 12
    if day.day <= 12 or day.month <= 12:
        assert read_days(f"{day.month}/{day.day}/{day.year}", "month first").first == day


@given(st.integers(1900, 2199), st.integers(1, 12))
def test_a_month_ends_when_it_ends(year: int, month: int):
    span = read_days(f"{calendar.month_name[month]} {year}")
    assert span.last.day == calendar.monthrange(year, month)[1]
    late = read_days(f"late {calendar.month_name[month]} {year}")
    assert (late.first.day, late.last) == (21, span.last)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_in_words(text: str):
    try:
        read_days(text, "day first")
    except UnreadableError as fault:
        told = (fault.what, fault.do)
        assert all(told)


@pytest.mark.parametrize(
    ("serial", "epoch", "day"),
    [  # ECMA-376, 1st edition, part 3, date representation: DATEVALUE("01-Feb-2006") in both date systems
        (38749, Setting().epoch, date(2006, 2, 1)),
        (37287, EPOCH_1904, date(2006, 2, 1)),
    ],
)
def test_serial_days(serial: int, epoch: date, day: date):
    reader = Days(Setting(epoch=epoch), [])
    assert reader.read(float(serial)).first == day
    assert any("serial" in remark for remark in reader.remarks)


@given(st.datetimes(datetime(1960, 1, 1), datetime(2170, 1, 1)))
def test_serial_days_agree_with_an_independent_library(moment: datetime):
    moment = moment.replace(second=0, microsecond=0)
    span = Days(Setting(), []).read(to_excel(moment))
    assert span.first == moment.date()
    assert (span.minute or 0) == moment.hour * 60 + moment.minute


def test_other_numbers_are_no_days():
    reader = Days(Setting(), [])
    for number in (12.0, 0.5, 203.0, 1e9, float("1899")):
        with pytest.raises(UnreadableError):
            reader.read(number)
    assert str(reader.read(2030.0)) == "2030-01-01/2030-12-31"


def moves(*days: object) -> list[list[object]]:
    return [["Date", "From", "To", "What"], *[[day, "A07", "A03", "honey"] for day in days]]


def test_one_telling_cell_settles_the_column_and_is_noted(tmp_path: Path):
    result = read(xlsx(tmp_path / "m.xlsx", {"Yards": YARDS, "Moves": moves("5/6/2030", "20/8/2030", "1/12/2030")}))
    assert [str(r.happened) for r in result.records[2:]] == ["2030-06-05", "2030-08-20", "2030-12-01"]
    assert noted(result, "read day first, as in “20/8/2030”: 2 cells")


def test_without_one_the_rows_are_refused(tmp_path: Path):
    result = read(xlsx(tmp_path / "m.xlsx", {"Yards": YARDS, "Moves": moves("5/6/2030", "7/7/2030", "1 Aug 2030")}))
    assert [row for _, row, _, _ in whats(result)] == [2]
    assert "mapping" in result.problems[0].do
    assert result.counts["move"].kept == 2


def test_cells_that_disagree_settle_nothing(tmp_path: Path):
    result = read(xlsx(tmp_path / "m.xlsx", {"Yards": YARDS, "Moves": moves("20/8/2030", "8/20/2030", "5/6/2030")}))
    assert [row for _, row, _, _ in whats(result)] == [4]


def test_the_mapping_settles_and_is_held_to(tmp_path: Path):
    path = xlsx(tmp_path / "m.xlsx", {"Yards": YARDS, "Moves": moves("5/6/2030", "20/8/2030")})
    result = read(path, mapping=Mapping({"moves": SheetMapping("move", dates="month first")}))
    assert [str(r.happened) for r in result.records[2:]] == ["2030-05-06"]
    assert "does not fit the mapping" in result.problems[0].what


def test_real_days_beside_texts_with_high_days_are_pointed_out(tmp_path: Path):
    rows = moves(datetime(2030, 5, 6), datetime(2030, 1, 12), "20/8/2030")
    result = read(xlsx(tmp_path / "m.xlsx", {"Yards": YARDS, "Moves": rows}))
    assert noted(result, "may have exchanged day and month")


def test_an_hour_in_its_own_column_joins_the_day(tmp_path: Path):
    hives = [["Hive", "Yard", "In use since"], [1, "A07", "2029"], [2, "A07", "2029"]]
    kills = [
        ["Date", "Time", "Hive", "Step"],
        ["2031-05-14", "22:07", 1, "dead confirmed"],
        ["May 2031", "22:07", 2, "dosed"],
    ]
    result = read(xlsx(tmp_path / "k.xlsx", {"Kills": kills, "Hives": hives, "Yards": YARDS}))
    assert str(result.records[-1].happened) == "2031-05-14T22:07"
    assert whats(result) == [("Kills", 3, "Time", "gives an hour, but the day is no one day without an hour.")]


def test_days_of_csv_and_workbook_are_the_same(tmp_path: Path):
    day = datetime(2030, 8, 20, 14, 30)
    book = read(xlsx(tmp_path / "m.xlsx", {"Yards": YARDS, "Moves": moves(day)}))
    text = read([csv_file(tmp_path / "yards.csv", YARDS), csv_file(tmp_path / "moves.csv", moves("20.8.2030 14:30"))])
    assert [r.happened for r in book.records] == [r.happened for r in text.records]


def test_the_century_of_real_days_is_looked_at(tmp_path: Path):
    result = read(xlsx(tmp_path / "m.xlsx", {"Yards": YARDS, "Moves": moves(datetime(2930, 8, 20))}))
    assert whats(result) == [("Moves", 2, "Date", "“2930-08-20” lies in the year 2930.")]
