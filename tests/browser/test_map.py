"""The map module in Chromium, under a policy that allows no inline script and no inline style."""

from __future__ import annotations

import functools
import http.server
import json
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

BUILT = Path(__file__).parents[2] / "src/ashcomb/web/static/built"
CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed"),
    pytest.mark.skipif(not (BUILT / "map.js").exists(), reason="the browser modules are not built (make front)"),
]
POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:"
PAGE = (
    '<!doctype html><meta charset="utf-8"><link rel="icon" href="data:,"><link rel="stylesheet" href="map.css">'
    '<div id="map"{source}></div>{data}<script type="module" src="map.js"></script>'
)
GRID: dict[str, Any] = {
    "grid": True,
    "rings": [{"x": 10_000, "y": 10_000, "radius_m": 3000, "label": "3 km"}],
    "places": [
        {
            "mark": "A07",
            "name": "<b>Mill</b>",
            "x": 10_000,
            "y": 10_000,
            "state": "index",
            "words": "42 hives",
            "kind": "apiary",
        },
        {
            "mark": "A03",
            "name": "Ford",
            "x": 11_200,
            "y": 10_900,
            "state": "follow-up 2",
            "words": "",
            "kind": "apiary",
        },
        {"mark": "HH", "name": "Honey house", "x": 12_000, "y": 9000, "state": "", "words": "", "kind": "honey house"},
        {"mark": "A09", "name": "Far", "x": None, "y": None, "state": "contact", "words": "", "kind": "apiary"},
    ],
    "moves": [{"from": [10_000, 10_000], "to": [11_200, 10_900], "words": "wet supers, 22 Aug 2030"}],
}


class Handler(http.server.SimpleHTTPRequestHandler):
    def end_headers(self) -> None:
        self.send_header("Content-Security-Policy", POLICY)
        super().end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def site(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    for built in BUILT.glob("map.*"):
        shutil.copy(built, tmp_path)
    with http.server.ThreadingHTTPServer(
        ("127.0.0.1", 0), functools.partial(Handler, directory=str(tmp_path))
    ) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield tmp_path, f"http://127.0.0.1:{server.server_port}/page.html"
        server.shutdown()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as start:
        flags = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking"]
        browser = start.chromium.launch(executable_path=CHROMIUM, args=flags)
        yield browser
        browser.close()


def opened(chromium: Any, address: str) -> tuple[Any, list[str]]:
    page = chromium.new_page()
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.goto(address)
    page.wait_for_selector("#map[data-ready]")
    return page, told


def test_a_local_grid_is_drawn_from_an_address(chromium: Any, site: tuple[Path, str]):
    folder, address = site
    (folder / "map.json").write_text(json.dumps(GRID))
    (folder / "page.html").write_text(PAGE.format(source=' data-source="map.json"', data=""))
    page, told = opened(chromium, address)
    assert page.get_attribute("#map", "data-ready") == "yes"
    assert told == []
    assert page.locator(".map-place").all_inner_texts() == ["A07", "A03", "HH"]
    assert page.locator(".map-legend").inner_text().split() == ["follow-up", "honey", "house", "index"]
    assert "Unplaced, confirm: A09" in page.locator(".map-note").inner_text()
    assert page.locator("path.map-ring").count() == page.locator("path.map-move").count() == 1
    label = page.locator(".map-place").nth(0).get_attribute("aria-label")
    assert label == "A07 <b>Mill</b>; apiary, index; 42 hives"
    page.locator(".map-place").nth(0).focus()
    assert "<b>Mill</b>" in page.locator(".leaflet-tooltip").inner_text(), "names are text, never markup"


def test_the_scale_bar_measures_the_ring(chromium: Any, site: tuple[Path, str]):
    """On a plane grid the ring of 3,000 m is 6,000 m wide, so bar and ring must agree (geometry)."""
    folder, address = site
    data = f'<script type="application/json" id="map-data">{json.dumps(GRID).replace("<", chr(92) + "u003c")}</script>'
    (folder / "page.html").write_text(PAGE.format(source="", data=data))
    page, _ = opened(chromium, address)
    ring = page.locator("path.map-ring").evaluate("node => node.getBBox().width")
    bar = page.locator(".leaflet-control-scale-line")
    number, unit = bar.inner_text().split()
    metres = float(number) * {"m": 1, "km": 1000}[unit]
    assert ring / bar.evaluate("node => node.offsetWidth") == pytest.approx(6000 / metres, rel=0.04)


def test_degrees_are_drawn_true_to_north(chromium: Any, site: tuple[Path, str]):
    """One degree of latitude and one of longitude at 60° N stand about 2 : 1 (cos 60° = 0.5)."""
    folder, address = site
    place = {"mark": "P", "name": "", "state": "suspect", "words": "", "kind": "apiary"}
    spots = [{**place, "x": x, "y": y} for x, y in ((66, 60), (67, 60), (66, 61))]
    (folder / "map.json").write_text(json.dumps({"grid": False, "places": spots}))
    (folder / "page.html").write_text(PAGE.format(source=' data-source="map.json"', data=""))
    page, _ = opened(chromium, address)
    boxes = [page.locator(".map-place").nth(i).bounding_box() for i in range(3)]
    east, north = boxes[1]["x"] - boxes[0]["x"], boxes[0]["y"] - boxes[2]["y"]
    assert north / east == pytest.approx(2.0, rel=0.05)


def test_missing_data_are_told_in_words(chromium: Any, site: tuple[Path, str]):
    folder, address = site
    (folder / "page.html").write_text(PAGE.format(source=' data-source="nothing.json"', data=""))
    page, _ = opened(chromium, address)
    assert page.get_attribute("#map", "data-ready") == "no"
    assert "could not be drawn: the server answered 404" in page.locator("#map [role=alert]").inner_text()
