"""Every page answers, on the demo and on a case in which nothing is recorded, and says errors in words."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from ashcomb.records.all import ORDER
from ashcomb.web.contents import CONTENTS
from ashcomb.web.questions import QUESTIONS

OWN_PAGES = ("profile", "confirmation")
PAGES = [
    "/", "/map.json", "/profile", "/profile.json", "/records", "/settle", "/import", "/papers", "/template.xlsx",
    "/static/ledger.css",
    *(f"/{name}" for name in QUESTIONS),
    *(f"/records/{kind}" for kind in ORDER),
    *(f"/record/{kind}" for kind in ORDER if kind not in OWN_PAGES),
]  # fmt: skip
ASKED = [
    "/dates?compare=nz",
    "/trace?unit=A26&first=2030-01-01",
    "/zone?centres=A07,A03&km=1,2.5",
    "/free?apiary=A03&first=2030-04-10&last=2031-05-14&design=2",
    "/night?teams=2&agent=petrol&day=2031-05-14",
    "/pit?length=3&width=1.5&depth=1.2&well=60&fed=yes",
    "/pit?soil=clay&entered=yes&groundwater=1.4&field_drain=4&ground_slope=6&dark=yes",
    "/agents?apiary=A07&hives=A07-05&day=2031-05-14",
    "/waiting?dose=500&temperature=4&wind=2&meter=3&read_at=14:55&reader=NV&witness=EF",
    "/firesite?length=3&width=1.5&depth=1.2&wind_from=270&hives_deg=200&hives_away=40&pit_is=above&bare=12&room=20",
    "/burnday?meter=2&read_at=08:40&reader=NV&witness=EF",
    "/pack?boxes=62x11.5, 30x14.0",
    "/hobby?apiary=H01",
    "/fate?room=200&pallets=4&every=yes",
    "/prepare?day=2031-05-14",
    "/consign?singles=yes",
    "/holdstore?day=2031-05-14",
    "/claim?hives=A07-02,A07-05",
    "/records/hive?page=3",
    "/records/hive?words=A07-12",
]


@pytest.mark.parametrize("path", PAGES + ASKED)
def test_every_page_answers_on_the_demo(demo: TestClient, path: str):
    answer = demo.get(path)
    assert answer.status_code == 200, answer.text
    assert "Traceback" not in answer.text


@pytest.mark.parametrize("path", PAGES)
def test_every_page_answers_on_an_empty_case(empty: TestClient, path: str):
    """Where nothing is recorded a page may say why it cannot answer, but it says it in words."""
    answer = empty.get(path)
    assert answer.status_code in (200, 422), answer.text
    if answer.status_code == 422:
        assert 'role="alert"' in answer.text
        assert "What to do" in answer.text


def test_the_contents_name_every_question(demo: TestClient):
    listed = {address for _, entries in CONTENTS for address, _ in entries}
    assert {f"/{name}" for name in QUESTIONS} <= listed
    for address in listed:
        assert f'href="{address}"' in demo.get("/").text


def test_the_page_of_the_case_shows_the_night_of_story_8(demo: TestClient):
    """Acceptance story 8: one team ends 22:35, the curfew is 22:30; two teams of seven end 21:50."""
    text = demo.get("/").text
    assert "does not fit by 5 min" in text
    assert "2 teams of 7 at most: 78 min, ends 21:50." in text
    assert "Invented demo, clock stands at Wed 14 May 2031 15:00." in text
    assert "Nell Varga" in text


def test_the_clocks_of_story_2_stand_with_start_and_rule(demo: TestClient):
    """Acceptance story 2: seven days from Mon 12 May 15:00 end on Mon 19 May 15:00."""
    text = demo.get("/").text
    assert "due by Mon 19 May 2031 15:00" in text
    assert "Start: confirmed, Mon 12 May 2031 15:00." in text


def test_the_zone_of_story_4(demo: TestClient):
    """Acceptance story 4: inside 3 km lie N01, A03, A11, A12 and H01, which is exactly on the line."""
    rows = demo.get("/zone.json?km=3").json()["facts"]["placed"]
    assert {row["apiary"] for row in rows if row["inside"]} == {"N01", "A03", "A11", "A12", "H01"}


def test_the_packing_of_story_11(demo: TestClient):
    """Acceptance story 11: 62 boxes of 11.5 kg and 30 of 14 kg make 61 units on 3 pallets."""
    assert "61 units" in demo.get("/pack?boxes=62x11.5,30x14.0").text


def test_cautions_stand_on_every_page_of_fire_and_fuel(demo: TestClient):
    for path in ("/", "/night", "/pit?length=3&width=1.5&depth=1.2", "/burnday"):
        assert "Caution" in demo.get(path).text, path


def test_drawings_stand_on_the_pages_of_night_petrol_pit_and_fire(demo: TestClient):
    drawn = {"/night": 1, "/waiting": 1, "/pit": 2, "/firesite?length=3&width=1.5&depth=1.2": 1, "/burnday": 0}
    for path, count in drawn.items():
        assert demo.get(path).text.count("<svg") == count, path


def test_without_the_built_script_the_drawn_map_stands_alone(demo: TestClient, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(__import__("ashcomb.web.answers", fromlist=["x"])._environment().globals, "map_built", bool)
    text = demo.get("/").text
    assert "<script" not in text
    assert "<noscript" not in text
    assert text.count("<svg") == 2


@pytest.mark.parametrize(
    ("path", "status", "words"),
    [
        ("/nothing", 404, "There is no such page."),
        ("/records/bees", 404, "There is no record kind"),
        ("/record/bees", 404, "Nothing is recorded as"),
        ("/records/hive?page=99", 422, "There is no page 99."),
        ("/papers/poem.pdf", 404, "There is no paper"),
        ("/papers/night.pdf?day=soon", 422, "is not a day"),
        ("/papers/night.pdf?paper=a3", 422, "cannot be read"),
        ("/refused/..%2fcase.db", 404, "There is no such"),
        ("/refused/case.db", 404, "There is no such list"),
        ("/night?apiary=Z99", 422, "is not a known apiary"),
        ("/night?teams=0", 422, ""),
        ("/night?teams=many", 422, "is not a whole number"),
        ("/night?aipary=A07", 422, "does not ask for"),
        ("/pit?length=3", 422, "A pit has length, width and depth."),
        ("/pit?length=0&width=1&depth=1", 422, "no floor, no depth"),
        ("/pit?people=0", 422, "nobody to dig"),
        ("/night?agent=cyanide", 422, "is not one of the words"),
        ("/agents?hives=Z9", 422, ""),
        ("/waiting?temperature=900", 422, ""),
        ("/waiting?dose=-5", 422, ""),
        ("/waiting?wind=-1", 422, ""),
        ("/waiting?hives=Z9", 422, "Z9"),
        ("/firesite?at_once=0&length=3&width=1&depth=1", 422, "at least one hive"),
        ("/firesite?length=3&width=1&depth=-1", 422, "no floor or no depth"),
        ("/firesite?apiary=Z99", 422, "is not a known apiary"),
        ("/firesite?apiary=A03", 422, ""),
        ("/firesite?length=3&width=1&depth=1&wind_from=720", 422, ""),
        ("/pit?length=3&width=1&depth=1e9", 422, "is not a number"),
        ("/pit?length=3&width=1&depth=1&soil=mud", 422, "is not one of the words"),
        ("/burnday?begins=25:00", 422, "is not an hour"),
        ("/dates?compare=atlantis", 422, "is not one of the words"),
        ("/pack?boxes=many", 422, "cannot be read"),
        ("/record/hive?corrects=123", 422, "has the id"),
    ],
)
def test_errors_are_words_in_a_page_and_in_json(demo: TestClient, path: str, status: int, words: str):
    answer = demo.get(path)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert words in answer.text
    body = demo.get(path, headers={"Accept": "application/json"})
    assert body.status_code == status
    assert set(body.json()) == {"error"}
    assert set(body.json()["error"]) == {"what", "where", "do"}


def test_the_suffix_json_gives_facts_and_errors(demo: TestClient):
    facts = demo.get("/night.json?teams=2").json()
    assert set(facts) == {"title", "headline", "facts"}
    error = demo.get("/night.json?apiary=Z99")
    assert error.status_code == 422
    assert error.json()["error"]["what"]


def test_a_fault_of_the_program_is_said_without_its_inside(demo: TestClient, monkeypatch: pytest.MonkeyPatch):
    def broken(*_: object) -> None:
        raise RuntimeError("secret inside")

    monkeypatch.setattr("ashcomb.web.case_page.map_of", broken)
    answer = demo.get("/map.json")
    assert answer.status_code == 500
    assert "secret inside" not in answer.text
    assert answer.json()["error"]["what"].startswith("The program failed")
    assert answer.headers["content-security-policy"]


def test_papers_are_set_on_demand(demo: TestClient):
    for path in ("/papers/night.pdf", "/papers/night.pdf?paper=us-letter&blank=1", "/papers/hobby.pdf?apiary=H01"):
        answer = demo.get(path)
        assert answer.status_code == 200
        assert answer.content.startswith(b"%PDF")
        assert answer.headers["content-type"] == "application/pdf"
    sent = demo.get("/paper?name=night&paper=a4&apiary=&day=2031-05-14")
    assert (sent.status_code, sent.headers["location"]) == (303, "/papers/night.pdf?paper=a4&day=2031-05-14")
