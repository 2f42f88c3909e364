"""Pages that write: record one thing, correct it, settle a conflict, choose and confirm the profile; and the lists."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from ashcomb.casework.case import Case, confirm_profile
from ashcomb.casework.listing import counts, list_records, marks_of, record_fields, record_words
from ashcomb.casework.merging import settle_by_record
from ashcomb.casework.profiles import switch_profile
from ashcomb.casework.recording import RecordingError, kind_of_form, record_text
from ashcomb.kernel.errors import AshcombError, UserError
from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.columns import EVIDENCE, Kind
from ashcomb.records.state import conflicts
from ashcomb.web.answers import NotFoundError, fields_of, status_of
from ashcomb.web.office import Office, form_of, office_of

router = APIRouter()
Desk = Annotated[Office, Depends(office_of)]
Form = Annotated[FormData, Depends(form_of)]
OWN_PAGES = {
    "profile": ("/profile", "on the page of the profile"),
    "confirmation": ("/profile", "on the page of the profile"),
    "settlement": ("/settle", "on the page of conflicts"),
    "case": ("/records/case", "by correcting it"),
}
ENVELOPE = ("by", "happened", "evidence", "corrects", "record_id")


@router.get("/records")
def records_index(office: Desk) -> Response:
    """Every kind of record with how many there are."""
    with office.reading() as case:
        return office.page(
            "kinds.html", case, kinds=[KINDS[name] for name in ORDER], counts=counts(case), own=OWN_PAGES
        )


@router.get("/records/{kind}")
def records_page(office: Desk, kind: str, page: int = 1, words: str = "", done: str = "") -> Response:
    """The records of one kind, a page at a time."""
    if kind not in KINDS:
        raise NotFoundError(f"There is no record kind “{kind[:60]}”.", "Choose one from the list of records.")
    with office.reading() as case:
        listing = list_records(case, kind, page, words)
        return office.page("records.html", case, listing=listing, words=words, done=done, own=OWN_PAGES)


@router.get("/record/{kind}")
def record_form(office: Desk, kind: str, corrects: Annotated[str, Query(max_length=64)] = "") -> Response:
    """The form of one kind; filled with the record that is to be corrected, if one is named."""
    definition = _kind(kind)
    with office.reading() as case:
        given = record_fields(case, kind, corrects) if corrects else {}
        return _form_page(office, case, definition, given | {"corrects": corrects, "record_id": case.hand.new_id()})


@router.post("/record/{kind}")
def record_one(office: Desk, form: Form, kind: str) -> Response:
    """Writes one record and shows it in its list."""
    definition, given = _kind(kind), fields_of(form)
    fields = [f"{name}={value}" for name, value in given.items() if name not in ENVELOPE and value.strip()]
    try:
        with office.writing(given) as case:
            body = record_text(
                case, kind, fields, happened=given.get("happened", ""), evidence=given.get("evidence", "seen"),
                corrects=given.get("corrects", ""), record_id=given.get("record_id", ""),
            )  # fmt: skip
    except AshcombError as error:
        with office.reading() as case:
            return _form_page(office, case, definition, given, error)
    return RedirectResponse(f"/records/{kind}?done={body['id']}", 303)


@router.get("/settle")
def settle_form(office: Desk) -> Response:
    """The conflicts that a person must settle."""
    with office.reading() as case:
        return _settle_page(office, case, {})


@router.post("/settle")
def settle_one(office: Desk, form: Form) -> Response:
    """Settles one conflict."""
    given = fields_of(form)
    try:
        with office.writing(given) as case:
            settle_by_record(case, given.get("holds", ""), given.get("reason", ""))
    except AshcombError as error:
        with office.reading() as case:
            return _settle_page(office, case, given, error)
    return RedirectResponse("/records/settlement", 303)


@router.post("/profile/choose")
def profile_choose(office: Desk, form: Form) -> Response:
    """Puts another profile into force."""
    given = fields_of(form)
    if not given.get("reason", "").strip():
        raise UserError("No reason is given.", "Say why this profile holds from now on.", "Reason")
    with office.writing(given) as case:
        switch_profile(case, given.get("profile", ""), given["reason"])
    return RedirectResponse("/profile", 303)


@router.post("/profile/confirm")
def profile_confirm(office: Desk, form: Form) -> Response:
    """An officer answers by name for the profile in the wording that stood on the page."""
    given = fields_of(form)
    with office.writing(given | {"by": given.get("officer", "")}) as case:
        if given.get("digest") != case.profile().digest:
            raise UserError(
                "The profile is not the one that stood on the page any more.", "Read it again, then confirm it."
            )
        confirm_profile(case, given.get("officer", ""), given.get("role", ""))
    return RedirectResponse("/profile", 303)


def _kind(name: str) -> Kind:
    try:
        return kind_of_form(name[:60])
    except UserError as error:
        raise NotFoundError(error.what, error.do) from None


def _form_page(
    office: Office, case: Case, kind: Kind, given: Mapping[str, str], error: AshcombError | None = None
) -> Response:
    wrong = {problem.column: problem for problem in error.problems} if isinstance(error, RecordingError) else {}
    return office.page(
        "record.html", case, status_of(error) if error else 200, kind=kind, given=given, error=error, wrong=wrong,
        grades=EVIDENCE, marks=marks_of(case, kind),
    )  # fmt: skip


def _settle_page(office: Office, case: Case, given: Mapping[str, Any], error: AshcombError | None = None) -> Response:
    return office.page(
        "settle.html", case, status_of(error) if error else 200, conflicts=conflicts(case.situation()), given=given,
        error=error, words_of=record_words,
    )  # fmt: skip
