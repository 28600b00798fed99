"""Workbooks that are none, are damaged, or hold what cannot be read are refused."""

import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook

from tests.services.event_files.files import faults_of, workbook_of, write_event


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "nothing in it"),
        (b"code,name\n", "a file that is no workbook"),
        (b"PK\x03\x04rubbish", "a file that is no"),
    ],
)
def test_a_workbook_that_is_none_is_refused(data: bytes, found: str, tmp_path: Path) -> None:
    (tmp_path / "event.xlsx").write_bytes(data)
    (fault,) = faults_of(tmp_path / "event.xlsx")
    assert fault.startswith(f"event.xlsx: found {found}")
    assert fault.endswith("expected a workbook saved as .xlsx")


def test_an_archive_that_holds_no_workbook_is_refused(tmp_path: Path) -> None:
    book = tmp_path / "event.xlsx"
    workbook_of(write_event(tmp_path)).save(book)
    whole = book.read_bytes()
    book.write_bytes(whole.replace(b"xl/workbook.xml", b"xl/workbuch.xml"))
    (fault,) = faults_of(book)
    assert fault.startswith("event.xlsx: found a file that is no workbook or a damaged one")


@pytest.mark.parametrize("place", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_a_workbook_with_a_damaged_byte_is_refused(place: float, tmp_path: Path) -> None:
    book = tmp_path / "event.xlsx"
    workbook_of(write_event(tmp_path)).save(book)
    data = bytearray(book.read_bytes())
    part = next(part for part in reversed(zipfile.ZipFile(book).infolist()) if part.header_offset < place * len(data))
    data[part.header_offset + len(part.filename) + 30 + part.compress_size // 2] ^= 0xFF
    book.write_bytes(data)
    (fault,) = faults_of(book)
    assert fault.startswith("event.xlsx: found a file that is no workbook or a damaged one")


def test_formulas_merged_cells_and_unknown_sheets_are_refused(tmp_path: Path) -> None:
    book = workbook_of(write_event(tmp_path))
    book["reels"]["C2"] = "=100+100"
    book["courts"].merge_cells("A2:A3")
    book.create_sheet("Sheet1")["A1"] = "x"
    book.save(tmp_path / "event.xlsx")
    faults = faults_of(tmp_path / "event.xlsx")
    assert (
        "event.xlsx sheet reels, cell C2: found a formula; "
        + ("expected a plain value: copy the column and paste it as values")
        in faults
    )
    assert (
        "event.xlsx sheet courts: found merged cells A2:A3; " + ("expected one value in each cell: unmerge them")
        in faults
    )
    assert any(fault.startswith("event.xlsx sheet Sheet1: found a sheet of an unknown name") for fault in faults)


def test_an_empty_sheet_is_refused(tmp_path: Path) -> None:
    book = Workbook()
    book.save(tmp_path / "event.xlsx")
    assert faults_of(tmp_path / "event.xlsx")[0].startswith("event.xlsx sheet Sheet: found a sheet of an unknown name")
