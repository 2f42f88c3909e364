"""Cases to serve in tests: the invented outbreak of Orrow Vale, and an empty new case."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from starlette.testclient import TestClient

from ashcomb.casework.case import DEMO_CLOCK, confirm_profile, new_case
from ashcomb.casework.demo import CASE, write_demo
from ashcomb.casework.hand import fixed_hand
from ashcomb.casework.intake import take_in
from ashcomb.kernel.time import zone
from ashcomb.web.app import make_app

OWN = {"Sec-Fetch-Site": "same-origin"}


def make_demo(folder: Path) -> Path:
    """The demo case, read from its spreadsheets, with its clock standing on the afternoon before the night."""
    files = write_demo(folder / "spreadsheets", 2031)
    moment = datetime(2031, 5, 14, 15, 0, tzinfo=zone(str(CASE["timezone"])))
    (folder / DEMO_CLOCK).write_text(moment.isoformat(), "utf-8")
    with new_case(folder, fixed_hand("NV", moment), profile="orrow-vale", **CASE) as case:  # type: ignore[arg-type]
        assert take_in(case, files.all).refused == 0
        confirm_profile(case, "Nell Varga", "apiary disease officer, Orrow Vale")
    return folder


def make_empty(folder: Path) -> Path:
    """A case in which nothing is recorded yet."""
    moment = datetime(2031, 5, 6, 9, 0, tzinfo=zone("Etc/GMT-5"))
    new_case(folder, fixed_hand("EF", moment), mark="OV-2", timezone="Etc/GMT-5", profile="orrow-vale").store.close()
    return folder


def client_of(folder: Path) -> TestClient:
    """A browser that sends forms from the pages themselves."""
    app = make_app(folder, "NV", hosts=("testserver",))
    return TestClient(app, raise_server_exceptions=False, follow_redirects=False, headers=OWN)
