"""The empty workbook is one that the reader takes once it is filled in."""

import csv
import io
from pathlib import Path

from openpyxl import Workbook, load_workbook

from desk.services.event_files import TABLES, empty_workbook, read_event
from tests.services.event_files.files import faults_of, workbook_of, write_event


def filled(folder: Path) -> Workbook:
    """Return the empty workbook with the rows of the event in FOLDER written below the explanations."""
    book = load_workbook(io.BytesIO(empty_workbook()))
    settings = dict(workbook_of(folder)["event"].iter_rows(min_row=2, values_only=True))
    for table in TABLES:
        names = [column.name for column in table.columns]
        path = folder / f"{table.name}.csv"
        rows = [settings] if table.name == "event" else list(csv.DictReader(path.open())) if path.exists() else []
        for number, row in enumerate(rows, start=3):
            for column, name in enumerate(names, start=1):
                book[table.name].cell(number, column, row.get(name))
    return book


def test_the_empty_workbook_filled_in_gives_the_event(tmp_path: Path) -> None:
    folder = write_event(tmp_path)
    filled(folder).save(tmp_path / "filled.xlsx")
    from_workbook, from_folder = read_event(tmp_path / "filled.xlsx"), read_event(folder)
    for table in TABLES:
        rows = [row.values for row in from_workbook.tables[table.name]]
        assert rows == [row.values for row in from_folder.tables[table.name]], table.name


def test_the_empty_workbook_itself_misses_only_the_rows_of_the_required_tables(tmp_path: Path) -> None:
    (tmp_path / "empty.xlsx").write_bytes(empty_workbook())
    assert faults_of(tmp_path / "empty.xlsx") == [
        f"empty.xlsx sheet {table.name}: found no rows below the header; expected {table.explanation}"
        for table in TABLES
        if table.required
    ]


def test_every_sheet_explains_each_of_its_columns() -> None:
    book = load_workbook(io.BytesIO(empty_workbook()))
    for table in TABLES:
        heading, explaining = list(book[table.name].iter_rows(max_row=2, values_only=True))
        assert list(heading) == [column.name for column in table.columns]
        assert str(explaining[0]).startswith("# ")
        assert all(
            column.explanation.rstrip(".") in str(text) for column, text in zip(table.columns, explaining, strict=True)
        )


def test_an_empty_cell_says_what_it_stands_for() -> None:
    book = load_workbook(io.BytesIO(empty_workbook()))

    def said(table: str, column: str) -> str:
        heading, explaining = book[table].iter_rows(max_row=2, values_only=True)
        return str(dict(zip(heading, explaining, strict=True))[column]).removeprefix("# ")

    assert said("event", "lead_minutes").startswith("Empty stands for 30. Minutes before play")
    assert said("machines", "reach").startswith("Empty stands for 35 cm. ")
    assert said("dropoffs", "needed_by").startswith("Empty stands for match. ")
    assert said("stringers", "gut").startswith("Empty stands for yes. ")
    assert said("players", "phone").startswith("May stay empty. ")
    assert said("players", "code").startswith("Required. ")


def test_a_second_event_in_one_workbook_is_refused(tmp_path: Path) -> None:
    book = filled(write_event(tmp_path))
    for cell in book["event"][3]:
        book["event"].cell(4, cell.column, cell.value)
    book.save(tmp_path / "two.xlsx")
    assert faults_of(tmp_path / "two.xlsx") == [
        "two.xlsx sheet event row 4: found a second event; expected one row of settings"
    ]
