"""Every paper, filled and blank, on both formats: size, pages counted, black only, head and foot, cautions, sources."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from tests.papers.reading import SIZES, read
from tests.stories import vale_night

from ashcomb.casework.case import Case
from ashcomb.casework.sheets.catalogue import make_sheet
from ashcomb.casework.sheets.desk import Desk, SheetAsk
from ashcomb.casework.sheets.form import Framed
from ashcomb.kernel.errors import UserError
from ashcomb.papers.write import paper_names, render_paper, write_papers

ASK = SheetAsk(agent="petrol", hives=vale_night.MARKS)
FORMS = [(name, paper, blank) for name in paper_names() for paper in SIZES for blank in (False, True)]
DANGEROUS = ("night", "pit", "destruction", "balance", "hobby")  # papers that touch fuel, fire, digging or night work
NO_BLACK = re.compile(
    r"(?:[\d.]+ ){3}(?:rg|RG|sc|SC)\b|(?:[\d.]+ ){4}(?:k|K)\b|(?<![\w.])(?!0 |1 )[\d.]+ (?:g|G|scn|SCN)\b"
)


def ask_for(name: str) -> SheetAsk:
    return SheetAsk() if name == "hobby" else ASK


@pytest.fixture(scope="module")
def made(case: Case) -> dict[tuple[str, str, bool], bytes]:
    return {form: render_paper(case, form[0], form[1], form[2], ask_for(form[0])) for form in FORMS}


@pytest.mark.parametrize("form", FORMS, ids=str)
def test_format_pages_and_colour(made: dict[tuple[str, str, bool], bytes], form: tuple[str, str, bool]):
    paper = read(made[form])
    for size in paper.sizes:
        assert size == pytest.approx(SIZES[form[1]], abs=0.1)
    count = len(paper.pages)
    for number, page in enumerate(paper.pages, start=1):
        assert f"page{number}of{count}" in page
        assert "sheet" in page
        assert "Case" in page
    for drawn in paper.drawing:
        assert not NO_BLACK.search(drawn)


def test_the_pattern_of_colours_finds_a_colour():
    assert NO_BLACK.search("0.8 0 0 rg")
    assert NO_BLACK.search("/c0 cs 0.5 scn")
    assert not NO_BLACK.search("/c0 cs 0 scn 1.4 w 4 M")
    assert not NO_BLACK.search("/Pattern cs/p2 scn")  # a hatch by its name; its own ink is read too


@pytest.mark.parametrize("name", paper_names())
def test_the_shared_head_is_on_every_paper(made: dict[tuple[str, str, bool], bytes], name: str):
    paper = read(made[name, "a4", False])
    yard = ("Ada Crome", "H01") if name == "hobby" else ("Fennick & Dole", "R. Tull 555 0107", "A07")
    shared = ("OV-31-01", "Orrow Vale (invented), read on 2026-11-25", "J. Marr (apiary officer)", "UTC+05:00",
              "Nell Varga", "Version 2", "Local law, codes and orders, and licensed or trained practice")  # fmt: skip
    for words in (*shared, *yard):
        assert paper.says(words), words
    assert re.search(r"seal2-[0-9a-f]{12}·checkcode[0-9A-F]{4}-[3467ACDEFGHJKMNPQRTWXY9]", paper.pages[0])


@pytest.mark.parametrize("name", paper_names())
def test_a_blank_paper_holds_no_data_of_the_case(made: dict[tuple[str, str, bool], bytes], name: str):
    paper = read(made[name, "a4", True])
    for words in ("A07", "Fennick", "Orrow", "555", "2031", "J. Marr"):
        assert not paper.says(words), words
    assert paper.says("Blank form: no calculation and no record stands behind it.")
    assert paper.says("Caution")


def test_a_blank_paper_needs_no_case():
    assert render_paper(None, "night") == render_paper(None, "night", blank=True)


@pytest.mark.parametrize("name", paper_names())
def test_the_same_input_gives_the_same_bytes(made: dict[tuple[str, str, bool], bytes], case: Case, name: str):
    assert render_paper(case, name, "a4", False, ask_for(name)) == made[name, "a4", False]


@pytest.mark.parametrize("name", DANGEROUS)
def test_papers_of_fuel_and_fire_carry_their_cautions(case: Case, name: str):
    frames = [b for b in make_sheet(Desk(case, ask_for(name)), name).blocks if isinstance(b, Framed)]
    text = " ".join(line for frame in frames for line in frame.lines)
    assert "vapour" in text or "petrol" in text
    assert "override" in text


def test_black_and_white_only_when_drawn(made: dict[tuple[str, str, bool], bytes], tmp_path: Path):
    """Drawn by poppler without smoothing, every dot of the sides for the hives is black or white.

    The time line comes behind them: poppler smooths the tiles of a hatch whatever is asked, so its ink is read instead.
    """
    if not shutil.which("pdftoppm"):
        pytest.skip("poppler is not installed")
    (tmp_path / "night.pdf").write_bytes(made["night", "a4", False])
    draw = ["pdftoppm", "-r", "50", "-aa", "no", "-aaVector", "no", "night.pdf", "page"]
    subprocess.run(draw, cwd=tmp_path, check=True, capture_output=True)
    drawn = sorted(tmp_path.glob("page*.ppm"))
    assert len(drawn) > 3
    for page in drawn[:3]:
        data = page.read_bytes()
        dots = np.frombuffer(data[len(b"P6\n") :].split(b"255\n", 1)[1], dtype=np.uint8)
        assert set(np.unique(dots)) == {0, 255}
        assert (dots.reshape(-1, 3).max(axis=1) == dots.reshape(-1, 3).min(axis=1)).all()


def test_files_are_named_after_case_and_paper(case: Case, tmp_path: Path):
    files = write_papers(case, tmp_path / "out", names=["zone"], paper="us-letter")
    files += write_papers(case, tmp_path / "out", names=["zone"], blank=True)
    assert [file.name for file in files] == ["OV-31-01-zone-us-letter.pdf", "zone-blank-a4.pdf"]
    assert all(file.read_bytes().startswith(b"%PDF") for file in files)


def test_all_papers_are_written_when_none_is_named(tmp_path: Path):
    assert len(write_papers(None, tmp_path)) == len(paper_names())


@pytest.mark.parametrize(("name", "paper"), [("menu", "a4"), ("zone", "a5")])
def test_an_unknown_name_or_format_is_said(case: Case, name: str, paper: str):
    with pytest.raises(UserError):
        render_paper(case, name, paper)
