"""The served pages in Chromium: with and without JavaScript, on a desk and on a phone, by keyboard, and by axe."""

from __future__ import annotations

import contextlib
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.web.demo_case import make_demo

BUILT = Path(__file__).parents[2] / "src/ashcomb/web/static/built"
CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed"),
]
PAGES = (
    "/", "/status", "/dates", "/dates?compare=nz", "/trace", "/zone", "/worth", "/follow", "/free",
    "/night?teams=2&agent=petrol", "/pit?length=3&width=1.5&depth=1.2", "/burnday", "/balance", "/pack?boxes=62x11.5",
    "/certificates", "/treatments", "/release", "/hobby?apiary=H01", "/verify", "/profile", "/records", "/records/hive",
    "/record/kill", "/record/apiary", "/settle", "/import", "/papers", "/nothing", "/night?apiary=Z99",
)  # fmt: skip
STATUS_LINE = "Failed to load resource: the server responded with a status of"  # Chromium's own line for 404 and 422


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    import uvicorn

    from ashcomb.web.app import make_app

    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        host = f"127.0.0.1:{door.getsockname()[1]}"
        server = uvicorn.Server(uvicorn.Config(make_app(folder, "NV", (host,)), log_level="error"))
        runs = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        runs.start()
        for _ in range(200):
            if server.started:
                break
            time.sleep(0.05)
        yield f"http://{host}"
        server.should_exit = True
        runs.join(10)


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(make_demo(tmp_path_factory.mktemp("demo"))) as found:
        yield found


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as start:
        flags = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
                 "--disable-component-update", "--disable-sync"]  # fmt: skip
        browser = start.chromium.launch(executable_path=CHROMIUM, args=flags)
        yield browser
        browser.close()


class Desk:
    """Opens pages and keeps what the console says and what was asked for elsewhere."""

    def __init__(self, browser: Any, address: str) -> None:
        self.browser, self.address = browser, address
        self.contexts: list[Any] = []
        self.faults: list[str] = []

    def __call__(self, path: str, width: int = 1280, *, script: bool = True) -> Any:
        context = self.browser.new_context(viewport={"width": width, "height": 900}, java_script_enabled=script)
        self.contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: self._hear(message.text))
        page.on("pageerror", lambda error: self._hear(str(error)))
        page.on("request", lambda request: self._weigh(request.url))
        page.goto(self.address + path)
        return page

    def _hear(self, text: str) -> None:
        if not text.startswith(STATUS_LINE):
            self.faults.append(text)

    def _weigh(self, url: str) -> None:
        if not url.startswith((self.address + "/", "data:")):
            self.faults.append(f"asked elsewhere: {url}")


@pytest.fixture
def opened(chromium: Any, address: str) -> Iterator[Desk]:
    desk = Desk(chromium, address)
    yield desk
    for context in desk.contexts:
        context.close()


@pytest.mark.skipif(not (BUILT / "map.js").exists(), reason="the browser modules are not built (make front)")
@pytest.mark.parametrize("width", [1280, 390])
def test_the_case_page_with_its_map(opened: Any, width: int):
    page = opened("/", width)
    page.wait_for_selector("#map[data-ready=yes]")
    assert page.locator(".map-place").count() >= 30
    assert page.locator("path.map-ring").count() == 2
    assert page.locator("noscript svg").count() == 0, "with a script the drawn map stays away"
    page.locator(".map-place[aria-label^='A07']").focus()
    assert "index" in page.locator(".leaflet-tooltip").inner_text()
    assert opened.faults == []


@pytest.mark.parametrize("width", [1280, 390])
def test_the_case_page_without_a_script(opened: Any, width: int):
    page = opened("/", width, script=False)
    drawing = page.locator("svg.drawn-map").first
    assert drawing.is_visible()
    assert drawing.locator("text").count() >= 30
    page.locator("summary", has_text="places as a table").click()
    assert page.get_by_role("cell", name="A07", exact=True).is_visible()
    assert "does not fit by 5 min" in page.locator("main").inner_text()
    assert opened.faults == []


@pytest.mark.parametrize("path", PAGES)
def test_no_page_has_a_fault_that_axe_finds_or_is_wider_than_the_screen(opened: Any, path: str):
    """axe-core with all its rules on the desk and on the phone, every folded part opened first.

    390 px is a phone; 320 px is a desk of 1280 px at 400 % (WCAG 2.2, success criterion 1.4.10).
    """
    import axe_core_python

    page = opened(path)
    page.evaluate("() => document.querySelectorAll('details').forEach(part => { part.open = true; })")
    page.evaluate((Path(axe_core_python.__file__).parent / "axe.min.js").read_text("utf-8"))
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 900})
        found = page.evaluate("() => axe.run().then(result => result.violations)")
        told = [(fault["id"], [node["html"][:160] for node in fault["nodes"][:3]]) for fault in found]
        assert told == [], width
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    assert opened.faults == []


def test_the_keyboard_reaches_the_page_the_contents_and_tables(opened: Any):
    page = opened("/zone", 1280)
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "page"
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.name") == "centres"
    page.keyboard.type("A03")
    page.keyboard.press("Enter")
    assert page.locator("h1").inner_text() == "Zone around A03"


@pytest.mark.parametrize("script", [True, False])
def test_a_record_is_written_through_a_real_form(chromium: Any, tmp_path: Path, script: bool):
    """The browser hides Origin under our referrer policy; the form must pass the door all the same."""
    with served(make_demo(tmp_path / "case")) as address:
        context = chromium.new_context(java_script_enabled=script)
        page = context.new_page()
        page.goto(f"{address}/record/kill")
        page.get_by_label("Hive").fill("A07-02")
        page.get_by_label("Step").select_option("sealed")
        page.get_by_label("Written by").fill("IV")
        page.get_by_role("button", name="Write it down").click()
        assert page.url.startswith(f"{address}/records/kill?done=")
        assert "Recorded under id" in page.locator("main").inner_text()
        assert page.get_by_role("cell", name="A07-02").is_visible()
        page.goto(f"{address}/import")
        (tmp_path / "hives.csv").write_text("Hive,Apiary,In use since\nA07-99,A07,31 June 2031\n", "utf-8")
        page.get_by_label("XLSX or CSV files").set_input_files(tmp_path / "hives.csv")
        page.get_by_role("button", name="Read them in").click()
        assert "1 refused" in page.locator("main").inner_text()
        assert page.get_by_role("link", name="The refused rows as a spreadsheet").is_visible()
        context.close()


def test_on_paper_the_forms_and_the_contents_stay_away(opened: Any):
    page = opened("/night", 794)
    page.emulate_media(media="print")
    assert not page.locator("nav#contents").is_visible()
    assert not page.locator("form").first.is_visible()
    assert page.locator("section.caution").is_visible()
    assert page.get_by_text("Each team seals all its hives").is_visible(), "folded parts are printed"
