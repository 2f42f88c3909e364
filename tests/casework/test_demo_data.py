"""The demo says what the stories need: counts, distances, the trace, the condemned hives. Read back with openpyxl only.

The expected numbers are those of the acceptance stories (invented place); dates are read here by a reader of our own.
"""

from __future__ import annotations

import csv
import math
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path

import openpyxl
import pytest

from ashcomb.casework.demo import CASE, FIRM_APIARIES, FIRM_HIVES, DemoFiles, write_demo, write_faulty_demo
from ashcomb.casework.importing.reader import read_files
from ashcomb.casework.importing.result import ImportResult
from ashcomb.kernel.ids import uuid7
from ashcomb.records.all import KINDS
from ashcomb.records.case import Milestone
from ashcomb.records.movements import Move
from ashcomb.records.places import Apiary, Hive
from ashcomb.records.situation import situation_of
from ashcomb.records.state import condemned as condemned_hives
from ashcomb.records.state import hives_at

NOW = 2_000_000_000_000  # May 2033, after everything that the sheets tell

Rows = dict[str, list[dict[str, object]]]
SHEETS = {
    "Apiaries": "apiary", "Premises": "premises", "Keepers": "keeper", "Crew": "crew", "Hives": "hive",
    "Components": "component", "Moves": "move", "Extraction lots": "lot", "Cleanings": "cleaning",
    "Inspections": "inspection", "Samples": "sample", "Results": "result", "Milestones": "milestone",
    "Notices": "notice", "Night duties": "duty", "Weather": "weather",
}  # fmt: skip


def read(files: DemoFiles) -> Rows:
    """All sheets as rows by heading, without empty rows."""
    found: Rows = {}
    for path in (files.apiaries, files.hives, files.moves, files.inspections):
        for page in openpyxl.load_workbook(path):
            head, *rows = page.iter_rows(values_only=True)
            found[page.title] = [dict(zip(head, row, strict=True)) for row in rows if any(v is not None for v in row)]
    for title, path in (("Night duties", files.duties), ("Weather", files.weather)):
        with path.open(encoding="utf-8", newline="") as file:
            found[title] = list(csv.DictReader(file))
    return found


def days(cell: object) -> tuple[date, date]:
    """First and last day that a cell of the demo may mean."""
    if isinstance(cell, datetime):
        return cell.date(), cell.date()
    text = str(cell)
    if text == "June or July 2030":
        return date(2030, 6, 1), date(2030, 7, 31)
    if text.startswith("about "):
        middle = days(text.removeprefix("about "))[0]
        return middle - timedelta(7), middle + timedelta(7)
    for form in ("%Y-%m-%d", "%d %b %Y", "%d %B %Y", "%d.%m.%Y", "%Y-%m-%d %H:%M"):
        try:
            day = datetime.strptime(text, form).date()
        except ValueError:
            continue
        return day, day
    raise AssertionError(f"the demo writes a day as {text!r}")


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> DemoFiles:
    return write_demo(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def sheets(files: DemoFiles) -> Rows:
    return read(files)


def firm_yards(sheets: Rows) -> set[object]:
    return {row["Yard"] for row in sheets["Apiaries"] if row["Owner"] == "FD"}


def test_firm_has_28_yards_and_1200_hives_and_ada_two_more(sheets: Rows) -> None:
    """Story 1: 28 yards, 1,200 hives counted."""
    yards = firm_yards(sheets)
    by_yard = Counter(row["Yard"] for row in sheets["Hives"])
    assert len(yards) == FIRM_APIARIES == 28
    assert sum(by_yard[yard] for yard in yards) == FIRM_HIVES == 1200
    assert (by_yard["A07"], by_yard["A03"], by_yard["H01"], by_yard["N01"]) == (42, 40, 2, 0)
    assert len({str(row["Hive no"]) for row in sheets["Hives"]}) == 1202


def test_every_heading_is_one_that_its_kind_knows(sheets: Rows) -> None:
    for title, rows in sheets.items():
        kind = KINDS[SHEETS[title]]
        known = {kind.happened, *kind.happened_also, "Evidence"}
        for column in kind.columns.values():
            known |= {column.title, *column.also}
        strange = {head for head in rows[0] if str(head).lower() not in {word.lower() for word in known}}
        assert not strange, title


def test_zone_of_story_4(sheets: Rows) -> None:
    """Story 4: 1 km N01; 2 km + A03, A11; 3 km + A12, H01 at exactly 3.0; 5 km + A19 at exactly 5.0; A22 at 10.0."""
    place = {str(row["Yard"]): (float(row["x km"]), float(row["y km"])) for row in sheets["Apiaries"]}  # type: ignore[arg-type]
    far = {mark: round(math.dist(place["A07"], at), 6) for mark, at in place.items() if mark != "A07"}
    near = {radius: {mark for mark, distance in far.items() if distance <= radius} for radius in (1, 2, 3, 5)}
    assert near == {
        1: {"N01"},
        2: {"N01", "A03", "A11"},
        3: {"N01", "A03", "A11", "A12", "H01"},
        5: {"N01", "A03", "A11", "A12", "H01", "A19"},
    }
    assert (far["H01"], far["A19"], far["A22"]) == (3.0, 5.0, 10.0)


def reach(moves: list[dict[str, object]], start: str, since: date) -> set[str]:
    """Every place that things can have come to from `start` since that day, worse order everywhere, by repetition."""
    when = {start: since}
    changed = True
    while changed:
        changed = False
        for move in moves:
            first, last = days(move["Moved on"])
            source, target = str(move["From yard"]), str(move["To yard"])
            if source in when and last >= when[source]:
                arrives = max(first, when[source])
                if target not in when or arrives < when[target]:
                    when[target], changed = arrives, True
    return set(when) - {start}


def feeders(moves: list[dict[str, object]], end: str, until: date) -> set[str]:
    """Every place from which things can have come to `end` until that day."""
    when = {end: until}
    changed = True
    while changed:
        changed = False
        for move in moves:
            first, last = days(move["Moved on"])
            source, target = str(move["From yard"]), str(move["To yard"])
            if target in when and first <= when[target]:
                leaves = min(last, when[target])
                if source not in when or leaves > when[source]:
                    when[source], changed = leaves, True
    return set(when) - {end}


@pytest.mark.parametrize("seed", [2031, 1, 2, 3, 4])
def test_trace_of_story_3_stands_whatever_the_ordinary_moves(seed: int, tmp_path: Path) -> None:
    """Story 3: forward from A07 since 2030-04-10, and back over all that was recorded."""
    moves = read(write_demo(tmp_path, seed))["Moves"]
    ordinary = [move for move in moves if not str(move["Move no"]).startswith("m")]
    assert 150 <= len(ordinary) <= 250
    assert len(moves) - len(ordinary) == 11
    assert reach(moves, "A07", date(2030, 4, 10)) == {"HH", "A15", "A03", "A20", "A19", "H01", "A09"}
    assert feeders(moves, "A07", date(2031, 5, 13)) == {"A26", "D1"}


def test_eleven_moves_are_those_of_story_3(sheets: Rows) -> None:
    rows = {str(row["Move no"]): row for row in sheets["Moves"]}
    said = {
        mark: (days(rows[mark]["Moved on"])[0].isoformat(), rows[mark]["From yard"], rows[mark]["To yard"],
               rows[mark]["Goods"]) for mark in (f"m{n}" for n in range(1, 12))
    }  # fmt: skip
    assert said == {
        "m1": ("2030-08-20", "A07", "HH", "wet supers"), "m2": ("2030-08-22", "HH", "A15", "wet supers"),
        "m3": ("2030-08-22", "HH", "A03", "wet supers"), "m4": ("2030-10-01", "A15", "A20", "hives"),
        "m5": ("2030-07-01", "A07", "A19", "brood frames"), "m6": ("2030-06-15", "A19", "A22", "hives"),
        "m7": ("2030-09-10", "A19", "H01", "nucleus"), "m8": ("2030-04-10", "A26", "A07", "hives"),
        "m9": ("2030-03-02", "D1", "A26", "used boxes"), "m10": ("2030-05-01", "A28", "A26", "hives"),
        "m11": ("2030-06-01", "A07", "A09", "hives"),
    }  # fmt: skip
    assert (rows["m11"]["Moved on"], rows["m11"]["Evidence"]) == ("June or July 2030", "memory")
    assert {rows[mark]["Batch"] for mark in ("m1", "m2", "m3")} == {"L30-07"}
    assert int(str(rows["m5"]["Number sent"])) == 4


def test_moves_name_hives_that_stand_in_the_list_and_counts_agree(sheets: Rows) -> None:
    known = {str(row["Hive no"]) for row in sheets["Hives"]}
    for move in sheets["Moves"]:
        named = str(move["Hive numbers"] or "").split("; ") if move["Hive numbers"] else []
        assert set(named) <= known
        sent, got = int(str(move["Number sent"])), move["Number received"]
        assert sent > 0
        assert got is None or int(str(got)) == sent
        assert not named or len(named) == sent


def condemned(sheets: Rows) -> set[str]:
    order = next(row for row in sheets["Notices"] if row["Kind"] == "destruction order")
    return set(str(order["Hive numbers"]).split("; "))


def test_components_of_story_10(sheets: Rows) -> None:
    """Story 10: 33 boxes + 297 frames + 14 lids + 14 floors + 14 excluders = 372; story 9: 240 kg of honey."""
    total: Counter[str] = Counter()
    boxes = {}
    honey = 0.0
    for row in sheets["Components"]:
        total[str(row["Item"])] += int(str(row["Quantity"]))
        honey += float(str(row["Honey kg"] or "0").replace(",", "."))
        if row["Item"] == "box":
            boxes[str(row["Hive number"])] = int(str(row["Quantity"]))
    assert total == {"box": 33, "frame": 297, "lid": 14, "floor": 14, "excluder": 14}
    assert total.total() == 372
    assert Counter(boxes.values()) == {2: 9, 3: 5}  # story 8: nine doubles, five triples
    assert honey == pytest.approx(240.0)
    assert set(boxes) == condemned(sheets)
    listed = {str(row["Hive no"]): int(str(row["No of boxes"])) for row in sheets["Hives"]}
    assert {mark: listed[mark] for mark in boxes} == boxes


def test_find_confirmation_and_last_looks_at_a07(sheets: Rows) -> None:
    """Story 2: suspect Tue 6 May 2031 10:40, positive Mon 12 May 15:00; story 8: 14 hives of 42."""
    when = {row["Event"]: row["Date"] for row in sheets["Milestones"]}
    assert (when["suspected"], when["confirmed"]) == (datetime(2031, 5, 6, 10, 40), datetime(2031, 5, 12, 15, 0))
    positive = [row for row in sheets["Results"] if row["Outcome"] == "positive"]
    assert [row["Reported on"] for row in positive] == [datetime(2031, 5, 12, 15, 0)]
    last = {row["Hive number"]: row["Findings"] for row in sheets["Inspections"] if days(row["Inspected on"])[0]
            == date(2031, 5, 13)}  # fmt: skip
    assert Counter(last.values()) == {"clinical": 14, "none seen": 28}
    assert {mark for mark, signs in last.items() if signs == "clinical"} == condemned(sheets)
    assert not [row for row in sheets["Inspections"] if row["Findings"] != "none seen"
                and not str(row["Hive number"]).startswith("A07-")]  # fmt: skip


def test_some_looks_saw_three_frames_and_every_look_is_after_its_hive(sheets: Rows) -> None:
    since = {str(row["Hive no"]): days(row["Since"])[0] for row in sheets["Hives"]}
    quick = 0
    for row in sheets["Inspections"]:
        present, seen, shaken = (int(str(row[name])) for name in ("Frames present", "Brood frames seen", "Shaken"))
        assert shaken <= seen <= present
        assert days(row["Inspected on"])[0] >= since[str(row["Hive number"])]
        quick += row["Findings"] == "none seen" and (seen, present, shaken) == (3, 10, 0)
    assert quick > 100
    assert {days(row["Inspected on"])[0].year for row in sheets["Inspections"]} == {2029, 2030, 2031}


def test_crew_of_six_with_a_smoker_keeper_who_does_not_pour(sheets: Rows) -> None:
    who = {row["Role"]: row["Who"] for row in sheets["Night duties"]}
    assert len(sheets["Crew"]) == 6
    assert set(who.values()) == {row["Initials"] for row in sheets["Crew"]}
    assert who["smoker keeper"] != who["pourer"]
    may = {str(row["Initials"]): str(row["Roles"]).split("; ") for row in sheets["Crew"]}
    assert all(role in may[str(person)] for role, person in who.items())
    a07 = next(row for row in sheets["Apiaries"] if row["Yard"] == "A07")
    assert a07["Leave by"] == "22:30"


def test_three_calm_days_after_a_dry_spell(sheets: Rows) -> None:
    forecast = [row for row in sheets["Weather"] if row["Forecast"] == "yes"]
    assert len(forecast) == 72
    assert {row["Total fire ban"] for row in forecast} == {row["Front"] for row in forecast} == {"no"}
    assert max(float(str(row["Wind"])) for row in forecast) <= 12
    assert sum(float(str(row["Rain"])) for row in forecast) == 0
    april = [row for row in sheets["Weather"] if "2031-04-05" <= str(row["Time"])[:10] <= "2031-04-27"]
    assert len(april) == 23
    assert sum(float(str(row["Rain 24 h mm"])) for row in april) == 0
    assert "yes" in {row["Total fire ban"] for row in april}


def test_sheets_are_as_people_keep_them(files: DemoFiles, sheets: Rows) -> None:
    """A hidden empty row, a number as text, hive numbers as numbers, a decimal comma, days as text and as dates."""
    page = openpyxl.load_workbook(files.hives)["Hives"]
    hidden = [number for number, row in page.row_dimensions.items() if row.hidden]
    assert len(hidden) == 1
    assert all(cell.value is None for cell in page[hidden[0]])
    assert {type(row["No of boxes"]) for row in sheets["Hives"]} == {int, str}
    assert sum(isinstance(row["Hive no"], int) for row in sheets["Hives"]) == 48
    assert "4,6" in {row["Weight kg"] for row in sheets["Components"]}
    assert {type(row["Moved on"]) for row in sheets["Moves"]} == {str, datetime}


def test_same_seed_same_cells_and_another_seed_others(sheets: Rows, tmp_path: Path) -> None:
    assert read(write_demo(tmp_path / "again")) == sheets
    assert read(write_demo(tmp_path / "other", seed=7)) != sheets


def test_faulty_demo_has_seven_rows_more_and_says_where(sheets: Rows, tmp_path: Path) -> None:
    """Story 1: two numbers twice, one move too early, one 31 June, one unknown yard, one negative, one arrival off."""
    faulty = write_faulty_demo(tmp_path)
    rows = read(faulty)
    for title, good in sheets.items():
        assert rows[title][: len(good)] == good
    assert sum(len(rows[title]) - len(good) for title, good in sheets.items()) == len(faulty.planted) == 7
    books = {page.title: page for path in (faulty.hives, faulty.moves, faulty.inspections)
             for page in openpyxl.load_workbook(path)}  # fmt: skip
    at = {(fault.sheet, fault.row): books[fault.sheet][fault.row] for fault in faulty.planted}
    assert [[cell.value for cell in row][:2] for row in at.values()] == [
        ["A07-12", "A03"], ["A11-05", "A11"], ["f1", "20 April 2029"], ["f2", "2029-06-12"], ["f3", "2029-06-18"],
        ["f4", "2029-06-20"], ["A24-02", "31 June 2030"]]  # fmt: skip


def test_case_head_fits_its_record(sheets: Rows) -> None:
    assert set(CASE) <= set(KINDS["case"].columns)
    assert CASE["timezone"] == "Etc/GMT-5"
    assert CASE["index"] in firm_yards(sheets)


def imported(files: DemoFiles) -> ImportResult:
    def ids() -> Iterator[str]:
        for number in range(1, 100_000):
            yield uuid7(number, bytes(10))

    numbers = ids()
    return read_files(files.all, situation_of([]), None, noted=NOW, received=NOW, by="NV", new_id=lambda: next(numbers))


def test_demo_imports_without_a_refused_row_or_an_unread_column(files: DemoFiles, sheets: Rows) -> None:
    result = imported(files)
    assert [str(problem) for problem in (*result.problems, *result.waiting)] == []
    assert result.mapping.unread == []
    loose = sum(page.max_row - 1 for page in openpyxl.load_workbook(files.pieces))  # supers, prices, insurance
    assert len(result.records) == sum(len(rows) for rows in sheets.values()) + loose


def test_imported_demo_says_what_its_sheets_say(files: DemoFiles) -> None:
    situation = situation_of(imported(files).records)
    yards = situation.by_mark(Apiary)
    assert sum(yards[hive.apiary].keeper == "FD" for hive in situation.rows(Hive)) == 1200
    assert len(hives_at(situation, "A07", date(2031, 5, 14))) == 42
    assert len(hives_at(situation, "A03", date(2031, 5, 14))) == 40
    assert len(condemned_hives(situation, "A07")) == len(condemned_hives(situation)) == 14
    assert yards["A07"].curfew == "22:30"
    told = situation.by_mark(Move)["m11"]
    assert (str(told.happened), told.evidence) == ("2030-06-01/2030-07-31", "memory")
    found = next(item for item in situation.rows(Milestone) if item.event == "suspected")
    assert (str(found.happened), found.hive) == ("2031-05-06T10:40", "A07-05")


def test_import_refuses_the_seven_planted_rows_and_no_other(tmp_path: Path) -> None:
    """Story 1: exactly seven named rows; 28 yards and 1,200 hives are counted all the same."""
    files = write_faulty_demo(tmp_path)
    result = imported(files)
    assert {(row.sheet, row.row) for row in result.refused} == {(fault.sheet, fault.row) for fault in files.planted}
    assert result.refused_rows == 7
    situation = situation_of(result.records)
    firm = {mark for mark, yard in situation.by_mark(Apiary).items() if yard.keeper == "FD"}
    assert len(firm) == 28
    assert sum(hive.apiary in firm for hive in situation.rows(Hive)) == 1200
