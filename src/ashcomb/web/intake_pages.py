"""Takes spreadsheets and hand-over files in, and hands out the blank workbook and the refused rows."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData, UploadFile
from starlette.responses import FileResponse, Response

from ashcomb.casework.intake import REFUSED, blank_workbook, take_in
from ashcomb.casework.merging import merge
from ashcomb.kernel.errors import AshcombError, UserError
from ashcomb.web.answers import NotFoundError, fields_of, status_of
from ashcomb.web.office import Office, files_of, form_of, office_of

router = APIRouter()
Desk = Annotated[Office, Depends(office_of)]
Form = Annotated[FormData, Depends(form_of)]
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
SHEETS = (".xlsx", ".csv")
HANDOVERS = (".jsonl", ".json", ".txt")
_REFUSED_NAME = re.compile(r"refused-\d{8}-\d{6}\.xlsx")


@router.get("/import")
def import_form(office: Desk) -> Response:
    """The forms for spreadsheets and hand-over files."""
    with office.reading() as case:
        return office.page("import.html", case, error=None)


@router.post("/import")
def import_sheets(office: Desk, form: Form) -> Response:
    """Reads spreadsheets into the case and shows what was kept and what was refused."""
    try:
        with office.writing(fields_of(form)) as case, _on_disk(files_of(form, "files"), SHEETS) as files:
            done = take_in(case, files)
            refused = done.file.name if done.file else ""
            return office.page("imported.html", case, report=done.report, refused=refused)
    except AshcombError as error:
        return _again(office, error)


@router.post("/merge")
def merge_files(office: Desk, form: Form) -> Response:
    """Takes over what other phones and people recorded."""
    try:
        with office.writing(fields_of(form)) as case, _on_disk(files_of(form, "files"), HANDOVERS) as files:
            return office.page("merged.html", case, result=merge(case, files))
    except AshcombError as error:
        return _again(office, error)


@router.get("/template.xlsx")
def template() -> Response:
    """The blank workbook with every sheet and heading."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "blank.xlsx"
        blank_workbook(file)
        return Response(file.read_bytes(), media_type=XLSX, headers=_attached("ashcomb-blank.xlsx"))


@router.get("/refused/{name}")
def refused_rows(office: Desk, name: str) -> Response:
    """The spreadsheet of refused rows that an import left in the case folder."""
    file = office.folder / REFUSED / name
    if not _REFUSED_NAME.fullmatch(name) or not file.is_file():
        raise NotFoundError("There is no such list of refused rows.", "Import the file again to get one.")
    return FileResponse(file, media_type=XLSX, headers=_attached(name))


def _attached(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}


def _again(office: Office, error: AshcombError) -> Response:
    with office.reading() as case:
        return office.page("import.html", case, status_of(error), error=error)


@contextmanager
def _on_disk(uploads: list[UploadFile], suffixes: tuple[str, ...]) -> Iterator[list[Path]]:
    """The files under plain names of their own; the folder is gone afterwards."""
    if not uploads:
        raise UserError("No file was chosen.", "Choose one or more files.", "Files")
    with TemporaryDirectory() as folder:
        files: list[Path] = []
        for upload in uploads:
            file = Path(folder) / _plain_name(upload.filename or "", suffixes)
            if file in files:
                raise UserError(f"Two files are called {file.name}.", "Send them one after the other.", "Files")
            with file.open("wb") as target:
                shutil.copyfileobj(upload.file, target)
            files.append(file)
        yield files


def _plain_name(name: str, suffixes: tuple[str, ...]) -> str:
    """The last part of a name with nothing in it that could lead elsewhere; raises UserError for a strange suffix."""
    stem, suffix = Path(name.replace("\\", "/")).stem, Path(name).suffix.lower()
    if suffix not in suffixes:
        raise UserError(f"“{name[-60:]}” is not read.", f"Send files that end in {' or '.join(suffixes)}.", "Files")
    return (re.sub(r"[^\w .()-]", "_", stem).strip(". ")[:80] or "file") + suffix
