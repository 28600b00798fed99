"""Rows put into the sheets of a workbook that the library has written without any."""

import re
from collections.abc import Mapping
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from exports.errors import ReportError

NO_ROWS = re.compile(rb"<sheetData\s*/>|<sheetData>\s*</sheetData>")


def put_rows(workbook: bytes, rows: Mapping[str, bytes]) -> bytes:
    """Return the workbook with rows in its empty sheets.

    Parameters
    ----------
    workbook
        The .xlsx file.
    rows
        The rows of each sheet as its file holds them, by the path of that file in the workbook.
    """
    file = BytesIO()
    with ZipFile(BytesIO(workbook)) as empty, ZipFile(file, "w", ZIP_DEFLATED) as full:
        if missing := [path for path in rows if path.lstrip("/") not in empty.namelist()]:
            raise ReportError(f"The workbook has no {missing[0]}; this version of openpyxl cannot be used.")
        for item in empty.infolist():
            content = empty.read(item)
            new = rows.get(f"/{item.filename}")
            full.writestr(item.filename, content if new is None else _filled(item.filename, content, new))
    return file.getvalue()


def _filled(name: str, content: bytes, rows: bytes) -> bytes:
    halves = NO_ROWS.split(content)
    if len(halves) != 2:
        raise ReportError(f"{name} has no place for its rows; this version of openpyxl cannot be used.")
    return b"".join((halves[0], b"<sheetData>", rows, b"</sheetData>", halves[1]))
