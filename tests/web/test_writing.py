"""Forms that write: records, corrections, conflicts, profile, imports; and text that would like to be markup."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
from openpyxl import Workbook
from starlette.testclient import TestClient
from tests.web.demo_case import client_of, make_empty

from ashcomb.casework.case import DEMO_CLOCK
from ashcomb.casework.demo import write_faulty_demo
from ashcomb.casework.merging import FORMAT

HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'--;{{7*7}}javascript:alert(3)"


def newest(client: TestClient, kind: str) -> str:
    """The text of the newest row of a list."""
    return re.sub(r"\s+", " ", client.get(f"/records/{kind}").text.split("<tbody>")[1].split("</tr>")[0])


def test_a_record_is_written_sealed_and_shown(own: TestClient):
    data = {"hive": "A07-02", "step": "dosed", "amount_ml": "250 mL", "happened": "14.5.2031 22:07", "by": "IV"}
    answer = own.post("/record/kill", data=data)
    assert answer.status_code == 303
    shown = own.get(answer.headers["location"]).text
    assert "Recorded under id" in shown
    row = newest(own, "kill")
    for words in ("Wed 14 May 2031 22:07", "A07-02", "dosed", "250", "IV", "seen"):
        assert words in row


def test_a_record_without_a_time_is_dated_now(own: TestClient):
    own.post("/record/milestone", data={"event": "notified", "by": "NV"})
    assert "Wed 14 May 2031 15:00" in newest(own, "milestone")


def test_every_fault_is_named_at_its_field_and_nothing_is_written(own: TestClient):
    before = own.get("/records/kill").text
    data = {"hive": "A07-02", "step": "sung to", "amount_ml": "lots", "happened": "31.6.2031", "by": "IV"}
    answer = own.post("/record/kill", data=data)
    assert answer.status_code == 422
    assert answer.text.count('aria-invalid="true"') == 3
    assert 'value="lots"' in answer.text, "what was typed is kept"
    assert own.get("/records/kill").text == before


def test_a_mark_nobody_knows_is_refused(own: TestClient):
    answer = own.post("/record/kill", data={"hive": "Z9", "step": "sealed", "by": "IV"})
    assert answer.status_code == 422
    assert "Z9 is not a known hive." in html.unescape(answer.text)


@pytest.mark.parametrize("by", ["", "   "])
def test_nothing_is_written_by_nobody(own: TestClient, by: str):
    answer = own.post("/record/milestone", data={"event": "notified", "by": by})
    assert answer.status_code == 422
    assert "Nobody is named" in answer.text


def test_a_form_sent_twice_writes_once(own: TestClient):
    form = own.get("/record/milestone").text
    key = re.search(r'name="record_id" value="([^"]+)"', form)
    assert key
    data = {"event": "inspector's visit", "by": "NV", "record_id": key[1]}
    first, second = (own.post("/record/milestone", data=data) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    assert own.get("/records/milestone?words=" + key[1]).text.count("<tr") == 2, "the heading and one row"


def test_a_correction_replaces_what_holds_and_keeps_what_was_said(own: TestClient):
    own.post("/record/milestone", data={"event": "zone set", "happened": "2031-05-13", "by": "NV"})
    old = re.search(r"corrects=([0-9a-f-]{36})", newest(own, "milestone"))
    assert old
    form = own.get(f"/record/milestone?corrects={old[1]}").text
    assert 'value="2031-05-13"' in form
    own.post("/record/milestone", data={"event": "zone set", "happened": "2031-05-14", "by": "NV", "corrects": old[1]})
    text = own.get("/records/milestone?words=zone set").text
    assert "holds no more" in text
    assert f"corrects <code>{old[1]}</code>" in text


def test_the_case_is_corrected_but_never_opened_twice(own: TestClient):
    twice = own.post("/record/case", data={"mark": "X", "timezone": "UTC", "by": "NV"})
    assert twice.status_code == 422
    assert "The case is open already." in twice.text


def test_a_conflict_is_shown_asked_and_settled_by_name(own: TestClient):
    """Acceptance story 12: dead at 22:07, still buzzing at 22:09; a person says which one holds."""
    dead = {"hive": "A07-31", "step": "dead confirmed", "happened": "2031-05-14T22:07", "by": "A"}
    buzz = {"hive": "A07-31", "step": "listened: buzzing", "happened": "2031-05-14T22:09", "by": "B"}
    assert own.post("/record/kill", data=dead).status_code == 303
    assert own.post("/record/kill", data=buzz).status_code == 303
    assert "Conflicts that a person must settle: 1" in own.get("/").text
    form = own.get("/settle").text
    choices = re.findall(r'name="holds" id="[^"]+" value="([^"]+)"', form)
    assert len(choices) == 2
    assert own.post("/settle", data={"holds": choices[1], "reason": "", "by": "NV"}).status_code == 422
    assert own.post("/settle", data={"holds": "nonsense", "reason": "x", "by": "NV"}).status_code == 422
    done = own.post("/settle", data={"holds": choices[1], "reason": "heard twice", "by": "NV"})
    assert done.status_code == 303
    assert "No conflict is open." in own.get("/settle").text
    assert "heard twice" in newest(own, "settlement")


def test_the_profile_is_changed_with_a_reason_and_then_unconfirmed(own: TestClient):
    assert own.post("/profile/choose", data={"profile": "nz", "reason": " ", "by": "NV"}).status_code == 422
    assert own.post("/profile/choose", data={"profile": "nz", "reason": "moved", "by": "NV"}).status_code == 303
    page = own.get("/profile").text
    assert "confirmed by nobody yet" in page
    digest = re.search(r'name="digest" value="([^"]+)"', page)
    assert digest
    data = {"officer": "Nell Varga", "role": "officer", "digest": "another wording"}
    assert own.post("/profile/confirm", data=data).status_code == 422
    assert own.post("/profile/confirm", data=data | {"digest": digest[1]}).status_code == 303
    assert "confirmed by Nell Varga" in own.get("/").text


def test_an_import_keeps_good_rows_and_hands_the_refused_ones_back(tmp_path: Path):
    """Acceptance story 1: seven planted faults, seven named rows."""
    folder = make_empty(tmp_path / "case")
    (folder / DEMO_CLOCK).write_text("2031-05-20T09:00:00+05:00", "utf-8")
    client = client_of(folder)
    planted = write_faulty_demo(tmp_path / "sheets")
    files = [("files", (path.name, path.read_bytes())) for path in planted.all]
    answer = client.post("/import", files=files, data={"by": "NV"})
    assert answer.status_code == 200
    assert f"{len(planted.planted)} refused." in answer.text
    link = re.search(r'href="(/refused/refused-[\d-]+\.xlsx)"', answer.text)
    assert link
    refused = client.get(link[1])
    assert refused.content.startswith(b"PK")
    assert refused.headers["content-disposition"].startswith("attachment")


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("poem.docx", b"x", "is not read"),
        ("broken.xlsx", b"this is no workbook", "broken.xlsx"),
        ("../../../etc/hives.xlsx", b"PK\x03\x04nothing", "hives.xlsx"),
    ],
)
def test_a_file_that_cannot_be_read_is_named(own: TestClient, name: str, content: bytes, words: str):
    answer = own.post("/import", files={"files": (name, content)}, data={"by": "NV"})
    assert answer.status_code == 422
    assert words in answer.text
    assert "Traceback" not in answer.text


def test_no_file_is_an_error_in_words(own: TestClient):
    for path in ("/import", "/merge"):
        answer = own.post(path, data={"by": "NV"})
        assert answer.status_code == 422
        assert "No file was chosen." in answer.text


def test_a_hand_over_file_is_taken_over(own: TestClient):
    head = b'{"format": "%s", "device": "phone A"}\n' % FORMAT.encode()
    answer = own.post("/merge", files={"files": ("a.jsonl", head)}, data={"by": "NV"})
    assert "0 records taken" in answer.text
    bad = own.post("/merge", files={"files": ("a.jsonl", b"[]")}, data={"by": "NV"})
    assert bad.status_code == 422


def test_hostile_text_is_inert_on_every_page(own: TestClient):
    """Text from people stands as text: no tag, no attribute, no template of it comes alive."""
    say = {"by": HOSTILE[:60], "evidence": "memory"}
    apiary = {"mark": "<b>X1", "name": HOSTILE, "landowner": HOSTILE, "x_km": "10.5", "y_km": "10.5", "access": HOSTILE}
    assert own.post("/record/apiary", data={**say, **apiary}).status_code == 303
    assert own.post("/record/hive", data={**say, "mark": "<i>H9", "apiary": "<b>X1"}).status_code == 303
    look = {"hive": "<i>H9", "signs": "clinical", "note": HOSTILE, "inspector": HOSTILE}
    assert own.post("/record/inspection", data={**say, **look}).status_code == 303
    paths = ["/", "/status", "/zone", "/balance", "/worth?apiary=%3Cb%3EX1", "/night?apiary=%3Cb%3EX1",
             "/records/apiary",
             "/records/inspection", "/record/inspection", "/verify", f"/records/hive?words={HOSTILE}",
             f"/night?apiary={HOSTILE}", f"/records/hive?done={HOSTILE}", f"/dates?{HOSTILE}=1"]  # fmt: skip
    for path in paths:
        text = own.get(path).text
        for alive in ("<script>alert", "<img", "<b>X1", "<i>H9", "{{49", "49javascript"):
            assert alive not in text, (path, alive)
    assert "&lt;script&gt;alert(1)" in own.get("/records/apiary").text
    mark = own.get("/map.json").json()["places"][-1]["name"]
    assert mark == HOSTILE, "JSON carries the text as it is; the map shows it as text"


def test_a_workbook_with_a_hostile_sheet_name_comes_back_as_text(own: TestClient, tmp_path: Path):
    book = Workbook()
    book.active.title = "<script>"  # type: ignore[union-attr]
    book.active.append(["<b>bold", "=1+1"])  # type: ignore[union-attr]
    book.save(tmp_path / "a.xlsx")
    answer = own.post("/import", files={"files": ("<img>.xlsx", (tmp_path / "a.xlsx").read_bytes())}, data={"by": "NV"})
    assert "<script>" not in answer.text
    assert "<img>" not in answer.text
