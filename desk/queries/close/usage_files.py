"""Usage sheets as files: workbook, CSV tables in a zip or a folder, JSON."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from datetime import date, datetime
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event
from desk.queries.close import usage_report
from exports.errors import ReportError
from exports.files.csvzip import DIALECTS, write_csv_zip
from exports.files.jsonfile import write_json
from exports.files.workbook import Progress, write_workbook
from exports.report import UsageReport

FORMATS = (".xlsx", ".zip", ".json")


def read_usage(session: Session, event: Event, day: date | None, *, at: datetime) -> UsageReport:
    """Return the usage report of a DAY, or without one of the event so far; what it refuses can be mended."""
    try:
        return usage_report(session, event, day, at=at)
    except ReportError as error:
        raise Conflict(str(error)) from error


def usage_bytes(
    report: UsageReport, suffix: str, *, csv_form: str = "comma", progress: Progress | None = None
) -> bytes:
    """Return a report in the format that a file's SUFFIX says: .xlsx, .zip (CSV tables) or .json."""
    if suffix == ".xlsx":
        return write_workbook(report, progress=progress)
    if suffix == ".zip":
        return write_csv_zip(report, DIALECTS[csv_form])
    if suffix == ".json":
        return write_json(report)
    raise BadInput(f'"{suffix}" is not a format of the usage sheet; end the name in .xlsx, .zip or .json.')


def write_usage(
    session: Session, event: Event, day: date | None, file: Path, *, at: datetime, progress: Progress | None = None
) -> UsageReport:
    """Write the usage sheet of a DAY, or without one of the event so far, to FILE; its suffix says the format.

    Raises
    ------
    BadInput
        When the suffix is none of `FORMATS`, or the file cannot be written.
    NotFound, Conflict
        As `read_usage`.
    """
    if file.suffix.lower() not in FORMATS:
        raise BadInput(f'"{file}" is not a name for a usage sheet; end it in .xlsx, .zip (CSV tables) or .json.')
    report = read_usage(session, event, day, at=at)
    put_file(file, usage_bytes(report, file.suffix.lower(), csv_form=event.csv_form, progress=progress))
    return report


def write_tables(session: Session, event: Event, folder: Path, *, at: datetime) -> list[Path]:
    """Write every table of the event so far as a CSV file into FOLDER, with a READ ME; return the files."""
    content = write_csv_zip(read_usage(session, event, None, at=at), DIALECTS[event.csv_form])
    _writing(folder, lambda: folder.mkdir(parents=True, exist_ok=True))
    with ZipFile(BytesIO(content)) as archive:
        files = [folder / name for name in archive.namelist()]
        for file in files:
            put_file(file, archive.read(file.name))
    return files


def file_name(event: Event, day: date | None, suffix: str) -> str:
    """Return the name of a usage sheet: lakeside-usage-2026-07-08.xlsx, lakeside-usage-event.zip."""
    return f"{event.slug}-usage-{'event' if day is None else day.isoformat()}{suffix}"


def put_file(file: Path, content: bytes) -> None:
    """Write a file whole or not at all: a reader sees the old one or the new one, never a half."""
    beside = file.with_name(f".{file.name}.{secrets.token_hex(4)}")

    def put() -> None:
        try:
            with beside.open("xb") as opened:
                opened.write(content)
                opened.flush()
                os.fsync(opened.fileno())
            beside.replace(file)
        finally:
            beside.unlink(missing_ok=True)

    _writing(file, put)


def _writing(where: Path, write: Callable[[], object]) -> None:
    try:
        write()
    except OSError as error:
        raise BadInput(f'"{where}" cannot be written: {error.strerror}. Choose another place.') from error
