import shutil
import subprocess
from dataclasses import replace
from datetime import date, datetime

import pytest

from exports.files.csvzip import DIALECTS, csv_text
from exports.files.workbook import write_workbook
from exports.money import major
from exports.report import UsageReport
from exports.sheet import Sheet
from exports.tables import tables
from tests.exports.full_report import make_full_report
from tests.exports.make import make_job, make_report, with_name
from tests.exports.office import RAW, SHOWN, convert, csv_books, csv_sheets, needs_office, open_german

pytestmark = [needs_office, pytest.mark.slow]
NAME = "=1+1 Tester"


def head_rows(sheet: Sheet) -> int:
    return 3 + len(sheet.lines)


def expected(kind: str, value: object) -> object:
    """The value as the conversion to CSV should give it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if kind == "minor" and value is not None:
        return float(major(value, "EUR"))
    return "" if value is None else value


def found(value: object, cell: str) -> object:
    """The cell read as the type that is expected."""
    if isinstance(value, datetime):
        return datetime.strptime(cell, "%m/%d/%Y %H:%M:%S")
    if isinstance(value, date):
        return datetime.strptime(cell.split(maxsplit=1)[0], "%m/%d/%Y").date()
    return pytest.approx(float(cell), rel=1e-9, abs=1e-9) if isinstance(value, (int, float)) else cell


def test_every_figure_reads_in_another_program_as_it_was_given(tmp_path):
    reports = {f"days{days}": with_name(make_full_report(jobs=60, days=days), NAME) for days in (1, 3)}
    books = csv_books({name: write_workbook(report) for name, report in reports.items()}, tmp_path, RAW)
    for name, report in reports.items():
        assert compared_figures(report, books[name]) > 2000


def compared_figures(report: UsageReport, read: dict[str, list[list[str]]]) -> int:
    compared = 0
    for sheet in (one for one in tables(report) if one.rows):
        rows = read[sheet.name][head_rows(sheet) :]
        for given, cells in zip(sheet.rows, rows, strict=False):
            for column, cell in zip(sheet.columns, cells, strict=True):
                kind = column.kind_of(given)
                if kind != "duration":
                    value = expected(kind, column.of(given))
                    assert value == found(value, cell), (sheet.name, column.key)
                    compared += 1
        assert len(rows) >= len(sheet.rows)
    return compared


def test_durations_and_amounts_show_their_units(tmp_path):
    report = make_full_report(jobs=90, days=5)
    read = csv_sheets(write_workbook(report), tmp_path, SHOWN)
    row = report.throughput_by_stringer[0]
    assert row.at_work_min == 3000
    assert read["By stringer"][3][4] == "50:00"
    assert read["By stringer"][3][5] == f"{row.busy_min // 60:.0f}:{row.busy_min % 60:02.0f}"
    assert all(row[5].endswith(" EUR") for row in read["Charges"][3:])


def test_every_whole_minute_shows_as_itself(tmp_path):
    jobs = tuple(make_job(tag=str(minute), bench_min=float(minute)) for minute in range(0, 1600))
    read = csv_sheets(write_workbook(make_report(jobs=jobs)), tmp_path, SHOWN)["Jobs"]
    place = read[2].index("Bench, h:mm")
    assert [row[place] for row in read[3:1603]] == [f"{n // 60}:{n % 60:02}" for n in range(0, 1600)]


def test_summary_is_one_upright_page_of_a4(tmp_path):
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    convert(write_workbook(make_full_report(jobs=40)), tmp_path, "pdf")
    path = tmp_path / "pdf" / "report.pdf"
    info = subprocess.run(["pdfinfo", path], capture_output=True, text=True, check=True).stdout
    assert "595.304 x 841.89 pts (A4)" in info or "595.32 x 841.92 pts (A4)" in info
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    pages = text.split("\f")
    assert all(words in pages[0] for words in ("Strung", "Received", "Cancelled"))
    assert pages[1].lstrip().startswith("Comparison:")
    assert all("Lakeside Open (invented), Harbour Town" in page for page in pages if page.strip())
    assert "###" not in text


def test_empty_day_opens_with_its_first_page_alone(tmp_path):
    read = csv_sheets(write_workbook(make_report()), tmp_path, SHOWN)
    assert [row[0] for sheet in read.values() for row in sheet][:1] == ["Lakeside Open (invented)"]
    assert len(read) == 1


def test_german_settings_read_numbers_as_numbers_and_text_as_text(tmp_path):
    """1031 is German in Germany ([MS-LCID]); the field marks and the comma are those of its regional settings."""
    odd = {"tag": "3E5", "mains": "1.25", "crosses": "12-14", "player": "1MAI", "note": "=1+1", "stringer": "WAHR"}
    report = make_full_report(jobs=30)
    report = replace(report, jobs=(make_job(**odd), *report.jobs))
    sheets = [one for one in tables(report) if one.key in ("jobs", "money_by_day", "string", "needed_by")]
    texts = {one.key: csv_text(one, report.currency, DIALECTS["semicolon"]) for one in sheets}
    opened = open_german({key: text.encode("utf-8-sig") for key, text in texts.items()}, tmp_path)
    for sheet in sheets:
        head, *rows = opened[sheet.key]
        for given, cells in zip(sheet.rows, rows, strict=True):
            for column in sheet.columns:
                if column.filed:
                    cell = cells[head.index(column.key.removesuffix("_minor"))]
                    _same_kind(column.of(given), cell, (sheet.key, column.key))


def _same_kind(given: object, cell: object, where: object) -> None:
    if given is None or given == "":
        assert cell is None, where
    elif isinstance(given, (bool, str)):
        assert isinstance(cell, str), where
    elif isinstance(given, (date, datetime)):
        assert isinstance(cell, datetime), where
        assert cell.date() == (given.date() if isinstance(given, datetime) else given), where
    else:
        assert isinstance(cell, (int, float)) and not isinstance(cell, bool), where
