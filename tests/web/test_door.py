"""The door of the local server: headers on every answer, foreign hosts and foreign forms refused, sizes bounded."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.test_routes import PAGES

from ashcomb.kernel.errors import UserError
from ashcomb.web import guard
from ashcomb.web.serve import serve_case

POLICY = {
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:", "connect-src 'self'",
    "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'",
}  # fmt: skip
FORM = {"event": "notified", "by": "XX"}


def check_headers(headers: object, path: str) -> None:
    assert set(headers["content-security-policy"].split("; ")) == POLICY, path  # type: ignore[index]
    assert headers["x-content-type-options"] == "nosniff", path  # type: ignore[index]
    assert headers["referrer-policy"] == "no-referrer", path  # type: ignore[index]
    assert "access-control-allow-origin" not in headers, path  # type: ignore[operator]
    store = "no-cache" if path.startswith("/static/") else "no-store"
    assert headers["cache-control"] == store, path  # type: ignore[index]


@pytest.mark.parametrize(
    "path", [*PAGES, "/nothing", "/night?teams=x", "/papers/night.pdf", "/static/no.css", "/refused/x"]
)
def test_the_headers_stand_on_every_answer(demo: TestClient, path: str):
    check_headers(demo.get(path).headers, path)


def test_the_headers_stand_on_refusals(demo: TestClient):
    for answer in (
        demo.get("/", headers={"Host": "evil.example"}),
        demo.post("/settle", headers={"Sec-Fetch-Site": "cross-site"}),
        demo.put("/"),
        demo.post("/record/milestone", content=b"x", headers={"Content-Length": "99999999999"}),
    ):
        assert answer.status_code >= 400
        check_headers(answer.headers, "/")


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:1", "testserver.evil.example", ""])
def test_another_host_name_is_refused_and_learns_nothing(demo: TestClient, host: str):
    answer = demo.get("/", headers={"Host": host})
    assert answer.status_code == 421
    assert "Orrow" not in answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "none"},
        {"Sec-Fetch-Site": "same-origin", "Origin": "http://evil.example"},
    ],
)
def test_a_form_from_elsewhere_is_refused(own: TestClient, headers: dict[str, str]):
    before = own.get("/records/milestone").text
    answer = own.post("/record/milestone", data=FORM, headers=headers)
    assert answer.status_code == 403
    assert own.get("/records/milestone").text == before


@pytest.mark.parametrize(
    ("origin", "status"),
    [(None, 403), ("null", 403), ("http://evil.example", 403), ("https://testserver", 403), ("http://testserver", 303)],
)
def test_without_sec_fetch_site_the_origin_decides(own: TestClient, origin: str | None, status: int):
    del own.headers["Sec-Fetch-Site"]
    answer = own.post("/record/milestone", data=FORM, headers={"Origin": origin} if origin else {})
    assert answer.status_code == status


def test_a_form_of_our_own_with_the_origin_that_our_referrer_policy_hides(own: TestClient):
    assert own.post("/record/milestone", data=FORM, headers={"Origin": "null"}).status_code == 303


def test_a_request_larger_than_the_limit_is_refused(own: TestClient, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(guard, "BODY_LIMIT", 1000)
    declared = own.post("/import", files={"files": ("a.csv", b"x" * 2000)}, data={"by": "NV"})
    assert declared.status_code == 413

    def dribble() -> object:
        for _ in range(40):
            yield b"a=" + b"x" * 98

    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    assert own.post("/settle", content=dribble(), headers=kind).status_code == 413


def test_reading_never_writes(own: TestClient):
    seal = own.get("/verify.json").json()["facts"]
    for path in PAGES:
        own.get(path)
    assert own.get("/verify.json").json()["facts"] == seal


def test_there_is_no_page_that_loads_from_elsewhere(demo: TestClient):
    for path in ("/docs", "/redoc", "/openapi.json"):
        assert demo.get(path).status_code == 404


def test_serving_says_what_stands_in_its_way(demo_folder: Path, tmp_path: Path):
    with pytest.raises(UserError, match="no case"):
        serve_case(tmp_path, 0, "NV", announce=print)
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(UserError, match="cannot be used"):
            serve_case(demo_folder, other.getsockname()[1], "NV", announce=print)


def test_the_command_serves_on_this_machine_and_stops(demo_folder: Path):
    command = [str(Path(sys.executable).with_name("ashcomb")), "serve", str(demo_folder), "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout
        told = " ".join(running.stdout.readline().split())
        address = re.search(r"http://127\.0\.0\.1:\d+/", told)
        assert address, told
        with urllib.request.urlopen(address[0], timeout=20) as answer:
            assert "OV-2031-01" in answer.read().decode()
            check_headers({name.lower(): value for name, value in answer.headers.items()}, "/")
        running.send_signal(signal.SIGINT)
        assert running.wait(15) in (0, -signal.SIGINT, 130)
