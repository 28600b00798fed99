"""A small file that would grow large is refused before it is read."""

import io
import time
import zipfile

import pytest
from openpyxl import Workbook

from desk.errors import InputFault
from desk.services.event_files import apart
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.workbook_limits import EVENT, ONE_TABLE, size_problem

pytestmark = pytest.mark.slow

SHEET = "xl/worksheets/sheet1.xml"


def packed(change=lambda book: None) -> bytes:
    book, out = Workbook(), io.BytesIO()
    book.active.append(["day", "time", "player"])
    change(book)
    book.save(out)
    return out.getvalue()


def with_part(name: str, content: bytes) -> bytes:
    """Return a workbook in which one part is replaced."""
    source, out = zipfile.ZipFile(io.BytesIO(packed())), io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for part in source.infolist():
            archive.writestr(part.filename, content if part.filename == name else source.read(part))
    return out.getvalue()


def far_column(book: Workbook) -> None:
    book.active["ZZ2"] = "x"


def far_row(book: Workbook) -> None:
    book.active["ZZ20000"] = "x"


def wide_merge(book: Workbook) -> None:
    book.active.merge_cells("A2:IV300")


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (far_column, "something in column ZZ"),
        (far_row, "something in row 20000"),
        (wide_merge, "more than 60,000 cells"),
    ],
)
def test_what_lies_far_outside_is_refused(change, found: str) -> None:
    assert size_problem(packed(change), ONE_TABLE).startswith(found)


def test_a_plain_table_is_read() -> None:
    def full(book: Workbook) -> None:
        for number in range(2_000):
            book.active.append([f"text {number}.{column}" for column in range(21)])

    assert size_problem(packed(full), ONE_TABLE) == ""
    assert size_problem(packed(), EVENT) == ""


@pytest.mark.parametrize(
    ("part", "content", "found"),
    [
        (SHEET, b"<worksheet>" + b"<row/>" * 3_000_000, "a file that unpacks to an unreasonable size"),
        (SHEET, b"<worksheet><sheetData><row>" + b"<c/>" * 70_000, "more than 60,000 cells"),
        ("xl/styles.xml", b"<styleSheet><cellXfs>" + b"<xf/>" * 200_000, "more texts and styles"),
        ("xl/workbook.xml", b'<!DOCTYPE a [<!ENTITY b "c">]><workbook/>', "a file with definitions of its own"),
    ],
)
def test_what_unpacks_to_too_much_is_refused(part: str, content: bytes, found: str) -> None:
    data = with_part(part, content)
    assert len(data) < 40_000
    assert size_problem(data, ONE_TABLE).startswith(found)


def test_a_far_cell_across_the_end_of_a_chunk_is_found() -> None:
    padding = b" " * ((1 << 20) - 45)
    content = b"<worksheet><sheetData>" + padding + b'<row r="1"><c r="ZZ20000"><v>1</v></c></row></sheetData>'
    assert size_problem(with_part(SHEET, content), ONE_TABLE).startswith("something in row 20000")


@pytest.mark.parametrize(
    ("data", "found"), [(b"a\n" * 7_000, "more than 6,000 rows"), (b"," * 300, "more than 256 columns")]
)
def test_a_csv_file_beyond_reason_is_refused(data: bytes, found: str) -> None:
    faults: list[InputFault] = []
    assert apart.read_apart(BY_NAME["matches"], data, "a.csv", faults).rows == []
    assert [fault.found for fault in faults] == [found]


def test_a_sent_workbook_is_read_by_a_process_of_its_own() -> None:
    faults: list[InputFault] = []
    data = packed(lambda book: book.active.append(["Mon", "9:00", "P1"]))
    raw = apart.read_apart(BY_NAME["dropoffs"], data, "a.xlsx", faults)
    assert [row.cells for row in raw.rows] == [{"day": "Mon", "time": "9:00", "player": "P1"}]
    assert {fault.where for fault in faults} == {"a.xlsx sheet Sheet row 1"}


def test_a_file_that_takes_too_long_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "SECONDS", 0.05)
    faults: list[InputFault] = []
    begun = time.monotonic()
    assert apart.read_apart(BY_NAME["matches"], packed(), "a.xlsx", faults).rows == []
    assert faults[0].found == "a file that takes longer than 0.05 seconds to read"
    assert time.monotonic() - begun < 10
