from io import BytesIO

import pytest
from openpyxl import load_workbook

from exports.errors import ReportError
from exports.files.template import COMMENT, GUIDE, ColumnSpec, TableSpec, write_template

NAME = ColumnSpec(name="name", explanation="Family name and given name", example="Arden, Alma", required=True)
CODE = ColumnSpec(name="code", explanation="Short code", example="1-2")
PLAYERS = TableSpec(name="players", explanation="Everyone who plays.", columns=(NAME, CODE))


def read(*tables):
    return load_workbook(BytesIO(write_template(tables, title="=Empty")))


def test_template_has_a_guide_and_a_sheet_for_each_table():
    book = read(PLAYERS)
    assert book.sheetnames == [GUIDE, "players"]
    cells = [cell.value for row in book[GUIDE].iter_rows() for cell in row]
    assert "Everyone who plays." in cells


def test_sheet_has_headings_then_a_comment_that_explains_them_then_nothing():
    sheet = read(PLAYERS)["players"]
    assert [cell.value for cell in sheet[1]] == ["name", "code"]
    assert [cell.value for cell in sheet[2]] == [
        f"{COMMENT} Required. Family name and given name. Example: Arden, Alma",
        "May stay empty. Short code. Example: 1-2",
    ]
    assert all(cell.value is None for row in sheet.iter_rows(min_row=3) for cell in row)
    assert sheet.freeze_panes == "A3"


def test_cells_to_fill_in_are_text_so_that_a_code_is_no_date():
    sheet = read(PLAYERS)["players"]
    assert sheet["B3"].number_format == "@"
    assert sheet.column_dimensions["B"].number_format == "@"


def test_long_explanations_have_rows_of_their_height_and_many_columns_pages_of_their_own():
    many = tuple(ColumnSpec(name=f"c{n}", explanation="Short", empty="30") for n in range(17))
    book = read(PLAYERS, TableSpec(name="wide", explanation="What is checked. " * 12, columns=many))
    assert book[GUIDE].row_dimensions[6].height < book[GUIDE].row_dimensions[7].height
    assert [book[name].page_setup.fitToWidth for name in ("players", "wide")] == [1, 4]
    assert book["wide"]["B2"].value == "Empty stands for 30. Short."


def test_title_like_a_formula_is_text():
    assert read(PLAYERS)[GUIDE]["A1"].data_type == "s"


@pytest.mark.parametrize("name", ["", "n" * 32, "a/b", "a:b", "it's"])
def test_name_that_no_sheet_can_have_is_refused(name):
    with pytest.raises(ReportError, match="cannot name a sheet"):
        read(TableSpec(name=name, explanation="", columns=(NAME,)))


@pytest.mark.parametrize("name", ["PLAYERS", GUIDE])
def test_two_sheets_of_one_name_are_refused(name):
    with pytest.raises(ReportError, match="Two sheets would be named"):
        read(PLAYERS, TableSpec(name=name, explanation="", columns=(NAME,)))


@pytest.mark.parametrize("columns", [(), (NAME, NAME)])
def test_table_without_columns_or_with_one_twice_is_refused(columns):
    with pytest.raises(ReportError, match="no column, or one twice"):
        read(TableSpec(name="players", explanation="", columns=columns))


def test_template_without_a_table_is_refused():
    with pytest.raises(ReportError, match="no table"):
        read()
