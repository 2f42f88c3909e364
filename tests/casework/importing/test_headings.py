"""Sheets and headings in everyday words, and the mapping that overrides them."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.casework.importing.workbooks import HIVES, YARDS, noted, read, whats, xlsx

from ashcomb.casework.importing.mapping import Mapping, SheetMapping, read_mapping, write_mapping
from ashcomb.casework.importing.names import aliases, fields, kind_named, plain
from ashcomb.kernel.errors import UserError
from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.looks import Inspection
from ashcomb.records.movements import Move
from ashcomb.records.places import Hive


@pytest.mark.parametrize(
    ("name", "kind"),
    [("HIVES", "hive"), ("hive list", "hive"), ("Yards 2030", "apiary"), ("moves_2030", "move"), ("Hives (2)", "hive"),
     ("night log", "kill"), ("Sheet1", None)],
)  # fmt: skip
def test_sheet_names(name: str, kind: str | None):
    found = kind_named(name)
    assert (found.name if found else None) == kind


def test_headings_compare_without_case_dots_and_dashes():
    assert plain("Hive No.") == plain("HIVE_NO") == plain(" hive  #") == "hive no"


@pytest.mark.parametrize("name", ORDER)
def test_every_alias_of_every_kind_leads_to_its_field(name: str, tmp_path: Path):
    """One sheet for each alias: our titles for all other columns, the alias for one; nothing may go astray."""
    kind = KINDS[name]
    for field in ["happened", *kind.columns]:
        for alias in aliases(kind, field):
            titles = {other: aliases(kind, other)[0] for other in fields(kind) if other not in ("clock", "position")}
            if plain(alias) in {plain(text) for other, text in titles.items() if other != field}:
                continue  # the alias is another column's own title
            result = read(xlsx(tmp_path / "one.xlsx", {kind.sheet: [list((titles | {field: alias}).values())]}))
            assert result.mapping.sheets[kind.sheet].columns[alias] == field, (field, alias)


def test_a_sheet_is_known_by_its_headings_and_says_so(tmp_path: Path):
    result = read(xlsx(tmp_path / "b.xlsx", {"Sheet1": HIVES, "Sheet2": YARDS, "Shopping": [["tea", "milk"], [1, 2]]}))
    assert noted(result, "Shopping: The sheet is not read")
    assert result.mapping.sheets["Shopping"].kind == ""
    assert ("Shopping", "") in result.mapping.unread


def test_title_rows_blank_rows_and_repeated_headings(tmp_path: Path):
    head = ["HIVE NUMBER", "site", "First Seen"]
    rows = [
        ["Fennick & Dole"],
        [],
        ["Printed 2030", "", ""],
        head,
        [1, "A07", "2029"],
        [],
        ["  "],
        head,
        [2, "A07", "2029"],
    ]
    result = read(xlsx(tmp_path / "b.xlsx", {"Hives": rows, "Yards": YARDS}))
    assert [r.origin for r in result.records if isinstance(r, Hive)] == ["b.xlsx/Hives/5", "b.xlsx/Hives/9"]
    assert noted(result, "The headings stand again in row 8")
    assert result.problems == ()


def test_a_total_is_refused_as_such(tmp_path: Path):
    rows = [["Hive", "Yard", "In use since", "Boxes"], [1, "A07", "2029", 2], ["Total", "", "", 2]]
    result = read(xlsx(tmp_path / "b.xlsx", {"Hives": rows, "Yards": YARDS}))
    assert whats(result) == [("Hives", 3, "Hive", "is a total, not a record.")]


def test_unmapped_and_blank_headings_are_noted(tmp_path: Path):
    rows = [["Hive", "Yard", "In use since", "Queen's name", "", "No"], [1, "A07", "2029", "Vera", "stray", 7]]
    result = read(xlsx(tmp_path / "b.xlsx", {"Hives": rows, "Yards": YARDS}))
    assert noted(result, "Queen's name: The column is not read")
    assert noted(result, "No: The column is not read: “Hive” already holds it")
    assert noted(result, "Column 5 has cells but no heading")
    assert result.mapping.sheets["Hives"].columns["Queen's name"] == ""


def test_a_missing_column_is_one_problem_not_a_thousand(tmp_path: Path):
    rows = [["Hive", "Boxes", "In use since"], *[[n, 2, "2029"] for n in range(50)]]
    result = read(xlsx(tmp_path / "b.xlsx", {"Hives": rows}))
    assert whats(result) == [("Hives", None, "Apiary", "there is no such column, so the sheet was not read.")]


def test_the_users_mapping_overrides_and_comes_back(tmp_path: Path):
    sheet = [["Box no.", "Where", "When", "Hive", "What I saw"], ["1", "A07", "2029-04-01", "pine", "-"]]
    looks = [["Hive", "Date", "Signs"], ["1", "2030-05-01", "Clean"]]
    path = xlsx(tmp_path / "b.xlsx", {"My sheet": sheet, "Looks": looks, "Yards": YARDS})
    (tmp_path / "mapping.toml").write_text(
        '[sheets."My sheet"]\nkind = "hive"\n[sheets."My sheet".columns]\n'
        '"box no" = "mark"\nWhere = "apiary"\nWhen = "happened"\nHive = ""\n'
        '[sheets.looks]\nkind = "inspection"\n[sheets.looks.words]\nclean = "none seen"\n'
        '[sheets.looks.always]\nevidence = "memory"\n'
    )
    result = read(path, mapping=read_mapping(tmp_path / "mapping.toml"))
    assert result.problems == ()
    hive = next(r for r in result.records if isinstance(r, Hive))
    look = next(r for r in result.records if isinstance(r, Inspection))
    assert (hive.mark, hive.apiary, look.signs, look.evidence) == ("1", "A07", "none seen", "memory")
    write_mapping(result.mapping, tmp_path / "again.toml")
    kept = read_mapping(tmp_path / "again.toml")
    assert kept == result.mapping
    second = read(path, mapping=kept)
    assert [r.origin for r in second.records] == [r.origin for r in result.records]
    assert second.mapping == kept


@settings(max_examples=60)
@given(st.dictionaries(st.text(), st.dictionaries(st.text(), st.text(), max_size=3), max_size=3))
def test_a_mapping_survives_its_file(tmp_path_factory: pytest.TempPathFactory, sheets: dict[str, dict[str, str]]):
    mapping = Mapping({name: SheetMapping("", columns=columns) for name, columns in sheets.items()})
    path = tmp_path_factory.mktemp("m") / "mapping.toml"
    write_mapping(mapping, path)
    body = tomllib.loads(path.read_text("utf-8"))  # TOML 1.0 by the standard library
    assert {name: entry.get("columns", {}) for name, entry in body.get("sheets", {}).items()} == sheets
    assert read_mapping(path) == mapping


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("sheets = 1", "not understood"),
        ('[sheets.A]\nkind = "bees"', "is no kind"),
        ('[sheets.A]\nkind = "hive"\ndates = "american"', "is no dates"),
        ('[sheets.A]\nkind = "hive"\n[sheets.A.columns]\nX = "weight"', "is no field of hive"),
        ('[sheets.A]\nkind = "hive"\ncolour = "red"', "not understood"),
        ('[sheets.A]\nkind = "hive"\n[sheets.A.columns]\nX = 3', "not understood"),
        ("[sheets.A", "cannot be read"),
    ],
)
def test_a_wrong_mapping_is_refused_in_words(tmp_path: Path, text: str, says: str):
    (tmp_path / "mapping.toml").write_text(text)
    with pytest.raises(UserError) as fault:
        read_mapping(tmp_path / "mapping.toml")
    assert says in fault.value.what
    assert "mapping.toml" in fault.value.where


def test_no_mapping_file_is_an_empty_mapping(tmp_path: Path):
    assert read_mapping(tmp_path / "mapping.toml") == Mapping()


def test_envelope_columns(tmp_path: Path):
    rows = [
        ["Date", "From", "To", "What", "Evidence", "Noted by"],
        ["2030-08-20", "A07", "A03", "honey", "From memory", "Bo Dole"],
        ["2030-08-21", "A07", "A03", "honey", "", ""],
        ["2030-08-22", "A07", "A03", "honey", "gossip", ""],
    ]
    result = read(xlsx(tmp_path / "m.xlsx", {"Moves": rows, "Yards": YARDS}))
    found = [(r.evidence, r.by) for r in result.records if isinstance(r, Move)]
    assert found == [("memory", "Bo Dole"), ("document", "Ada Crome")]
    assert [(row, column) for _, row, column, _ in whats(result)] == [(4, "Evidence")]


def test_a_source_that_is_no_grade_is_left_alone(tmp_path: Path):
    rows = [["Hive", "Yard", "In use since", "Source"], [1, "A07", "2029", "list of the widow Harrow"]]
    result = read(xlsx(tmp_path / "h.xlsx", {"Hives": rows, "Yards": YARDS}))
    assert result.problems == ()
    assert noted(result, "its cells are no grades of evidence")
    graded = [["Hive", "Yard", "In use since", "Source"], [1, "A07", "2029", "memory"]]
    assert read(xlsx(tmp_path / "g.xlsx", {"Hives": graded, "Yards": YARDS})).records[-1].evidence == "memory"


def test_the_users_heading_goes_before_our_own_title(tmp_path: Path):
    rows = [["Hive", "Number", "Yard", "In use since"], ["under the pine", 7, "A07", "2029"]]
    mapping = Mapping({"Hives": SheetMapping("hive", columns={"Number": "mark"})})
    result = read(xlsx(tmp_path / "h.xlsx", {"Hives": rows, "Yards": YARDS}), mapping=mapping)
    assert [r.mark for r in result.records if isinstance(r, Hive)] == ["7"]
    assert result.mapping.sheets["Hives"].columns["Hive"] == ""


def test_a_column_time_holds_the_day_only_where_no_other_does(tmp_path: Path):
    both = [["Date", "Time", "Place"], ["2031-05-14", "21:00", "A07"]]
    alone = [["Time", "Place"], ["2031-05-14 22:00", "A07"]]
    for rows, when in ((both, "2031-05-14T21:00"), (alone, "2031-05-14T22:00")):
        result = read(xlsx(tmp_path / "w.xlsx", {"Weather": rows, "Yards": YARDS}))
        assert [str(r.happened) for r in result.records[2:]] == [when]
