"""Makes the pictures of docs/inspections.md from the demo: `python docs/pictures_inspections.py DEMO`.

DEMO is a folder that `ashcomb demo DEMO` made. Needs Chromium and pdftoppm (packages chromium and poppler-utils).
"""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).parent
PAGES = {
    "inspections-calendar.png": "/calendar?split=A07%3D7%2B7&no_fire=2031-05-17&off=OD%3D2031-05-16&every_day=yes",
    "inspections-freedom.png": "/proof?level=apiary&mark=A03",
    "inspections-release.png": "/release",
}
PAPER = ("crewday", "inspections-day-sheet")
WIDTH, TALL, MOST = 900, 1_150, 200_000  # pixels, pixels, bytes


def main(demo: Path) -> int:
    """Writes every picture and complains about one that is too large."""
    with served(demo) as address:
        _pages(address)
    _paper(demo)
    large = [path.name for path in HERE.glob("inspections-*.png") if path.stat().st_size > MOST]
    if large:
        print(f"Larger than {MOST:,} bytes: {', '.join(large)}", file=sys.stderr)
    return bool(large)


@contextlib.contextmanager
def served(demo: Path) -> Iterator[str]:
    """The pages of the case on a free port of this machine."""
    import uvicorn

    from ashcomb.web.app import make_app

    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        host = f"127.0.0.1:{door.getsockname()[1]}"
        server = uvicorn.Server(uvicorn.Config(make_app(demo, "NV", (host,)), log_level="error"))
        runs = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        runs.start()
        while not server.started:
            time.sleep(0.05)
        yield f"http://{host}"
        server.should_exit = True
        runs.join(10)


def _pages(address: str) -> None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH, "height": 700})
        page.set_default_timeout(600_000)
        for name, path in PAGES.items():
            page.goto(f"{address}{path}")
            page.locator("form.ask").evaluate("form => form.remove()")
            box = page.locator("main").bounding_box()
            assert box is not None
            box["height"] = min(box["height"], TALL)
            page.screenshot(path=str(HERE / name), clip=box, full_page=True)  # type: ignore[arg-type]
        browser.close()


def _paper(demo: Path) -> None:
    """The first page of the day sheets, as the demo wrote them."""
    kind, name = PAPER
    (paper,) = (demo / "papers").glob(f"*-{kind}-a4.pdf")
    with tempfile.TemporaryDirectory() as folder:
        target = os.path.join(folder, "page")
        subprocess.run(["pdftoppm", "-r", "72", "-gray", "-png", "-f", "1", "-singlefile", str(paper), target],
                       check=True)  # fmt: skip
        shutil.copyfile(f"{target}.png", HERE / f"{name}.png")


if __name__ == "__main__":
    raise SystemExit(main(Path(sys.argv[1])))
