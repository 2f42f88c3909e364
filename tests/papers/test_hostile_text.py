"""Text of users prints letter by letter and breaks nothing: quotes, markup, tags, endless words, empty fields."""

from __future__ import annotations

import dataclasses
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.papers import yard
from tests.papers.reading import SIZES, read, squeezed

from ashcomb.casework.sheets.desk import SheetAsk, check_code
from ashcomb.casework.sheets.form import Column, Fact, Facts, Framed, Grid, Head, Lines, Sheet, Ticks
from ashcomb.kernel.errors import FaultError
from ashcomb.papers import typst as setting
from ashcomb.papers.typst import HELD, printable, set_paper
from ashcomb.papers.write import paper_names, render_paper
from ashcomb.records.columns import Record
from ashcomb.records.places import Apiary, Keeper

HOSTILE = (
    'He said "no" and \'yes\'', r"C:\new\table \u{41} \n", '#set page(fill: red) #eval("1") #import "@preview/x:1.0.0"',
    "$ x^2 $ _under_ *star* `raw` <label> @ref [box] {code} ~ -- ---", "<script>alert(1)</script>",
    "// comment /* block */",
    "= heading", "Ōtautahi, Łódź, Ærø, Zürich, São", "x" * 500, "long " * 100,
)  # fmt: skip


def sheet_with(words: str) -> Sheet:
    return Sheet("test", words, Head(case=words, keeper=words, apiary=words, profile=words), (
        Framed(words, (words,), loud=True), Facts(words, (Fact(words, words), Fact("", ""))),
        Grid(words, (Column(words, "mark"), Column(words, "text", 2)), ((words, words), ("", ""))),
        Lines(words, (words, ""), "–"), Lines("", (words,), "1"), Lines("", (words,) * 9, "–", small=True),
        Ticks(words, (words,)),
    ))  # fmt: skip


@pytest.mark.parametrize("words", HOSTILE, ids=range(len(HOSTILE)))
def test_it_prints_letter_by_letter(words: str):
    paper = read(set_paper(sheet_with(words), "a4", 0))
    assert "".join(paper.pages).count(squeezed(words)) >= 5


@settings(max_examples=25)
@given(st.text(max_size=60))
def test_no_text_breaks_a_paper(words: str):
    assert set_paper(sheet_with(words), "a4", 0).startswith(b"%PDF")


def test_what_does_not_print_is_made_visible():
    assert printable("a\u202eb\x00c\nd") == "a\ufffdb\ufffdc\ufffdd"
    assert printable("x" * 20).replace("\u200b", "") == "x" * 20


def test_every_character_that_is_let_through_has_a_glyph():
    """Read back by pypdf, a character without a glyph comes out as the number 0."""
    held = "".join(chr(code) for low, high in HELD for code in range(low, high + 1))
    drawn = "".join(c for c in held if unicodedata.category(c)[0] in "LNPS")
    words = " ".join(drawn[at : at + 10] for at in range(0, len(drawn), 10))
    assert "\0" not in "".join(read(set_paper(Sheet("test", "", Head(), (Lines("", (words,)),)), "a4", 0)).pages)


def test_a_letter_that_the_fonts_lack_prints_as_its_number():
    paper = read(set_paper(sheet_with("李明 ✓"), "a4", 0))
    assert "".join(paper.pages).count("‹U+674E›‹U+660E›‹U+2713›") >= 5


@pytest.mark.parametrize("paper", SIZES)
def test_papers_of_a_case_with_hostile_and_endless_names(tmp_path: Path, paper: str):
    def spoilt(record: Record) -> Record:
        if isinstance(record, Keeper):
            return dataclasses.replace(record, name=HOSTILE[2] + "y" * 500, address='"$#\\' * 100)
        if isinstance(record, Apiary) and record.mark in ("A07", "H01"):
            return dataclasses.replace(record, name="<b>" + "z" * 500, access=HOSTILE[3] * 5, landowner=HOSTILE[0])
        return record

    records = [spoilt(record) for record in yard.night_records(*yard.finds(), *yard.small_keeper())]
    with yard.case_of(tmp_path / "case", records, title="#" * 500) as case:
        for name in paper_names():
            made = read(render_paper(case, name, paper))
            assert made.pages
            if name == "hobby":
                assert len(made.pages) == 2
            else:
                assert made.says(HOSTILE[2])
                assert made.says("z" * 500)


@pytest.mark.parametrize("name", paper_names())
def test_papers_of_an_empty_case(tmp_path: Path, name: str):
    with yard.case_of(tmp_path / "case", []) as case:
        assert read(render_paper(case, name)).pages
        assert read(render_paper(case, name, ask=SheetAsk(apiary="NOWHERE"))).pages


def test_a_template_that_fails_is_a_fault_in_words(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(setting, "source", lambda: b"#panic()")
    with pytest.raises(FaultError) as error:
        set_paper(sheet_with("x"), "a4", 0)
    assert "could not be set" in error.value.what
    assert error.value.do


def test_the_templates_evaluate_nothing_and_open_nothing():
    text = setting.source().decode()
    for word in ("eval(", "import ", "include ", "read(", "mode:"):
        assert word not in text, word


def test_the_check_code_finds_a_slip_in_case_number_or_seal():
    code = check_code("OV-31-01", "3f9a12bc")
    assert code.startswith("3F9A-")
    assert code[-1] != check_code("OV-31-02", "3f9a12bc")[-1]
    assert code[-1] != check_code("OV-13-01", "3f9a12bc")[-1]
