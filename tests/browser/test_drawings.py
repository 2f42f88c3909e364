"""Drawings of plans in Chromium: every word lies on the sheet, and no word covers another."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from itertools import combinations
from typing import Any

import pytest
from tests.drawings.test_plans_drawn import PICTURES

CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed"),
]
BOXES = """() => [...document.querySelectorAll('text')].map(t => {
    const b = t.getBBox(); return [t.textContent, b.x, b.y, b.x + b.width, b.y + b.height]; })"""
TOUCH = 2.5  # units by which the boxes of two lines may overlap: room above and below letters


@pytest.fixture(scope="module")
def page() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        flags = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking"]
        browser = play.chromium.launch(executable_path=CHROMIUM, args=flags)
        yield browser.new_page(viewport={"width": 700, "height": 900})
        browser.close()


@pytest.mark.parametrize("name", PICTURES)
def test_words_lie_on_the_sheet_and_apart(page: Any, name: str) -> None:
    page.set_content(f"<body style='margin:0'>{PICTURES[name]()}</body>")
    wide, high = (
        page.evaluate(f"() => document.querySelector('svg').viewBox.baseVal.{side}") for side in ("width", "height")
    )
    boxes = page.evaluate(BOXES)
    assert len(boxes) > 5
    for words, left, top, right, low in boxes:
        assert left >= 0, words
        assert top >= 0, words
        assert right <= wide, words
        assert low <= high, words
    for (one, *a), (other, *b) in combinations(boxes, 2):
        across, down = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
        assert min(across, down) <= TOUCH, f"“{one}” lies over “{other}”"
