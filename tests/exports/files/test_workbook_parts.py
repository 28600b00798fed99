"""The parts of a workbook against ECMA-376, part 1 (SpreadsheetML), and its values as a second library reads them."""

import re
from datetime import date, datetime, timedelta
from io import BytesIO
from itertools import pairwise
from pathlib import PurePosixPath
from xml.etree import ElementTree
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries
from openpyxl.utils.cell import coordinate_from_string
from python_calamine import CalamineWorkbook

from exports.files.workbook import write_workbook
from tests.exports.full_report import make_full_report
from tests.exports.make import make_report, with_name

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
LINKS = "{http://schemas.openxmlformats.org/package/2006/relationships}"
WORKSHEET = [
    "sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData", "sheetCalcPr", "sheetProtection",
    "protectedRanges", "scenarios", "autoFilter", "sortState", "dataConsolidate", "customSheetViews", "mergeCells",
    "phoneticPr", "conditionalFormatting", "dataValidations", "hyperlinks", "printOptions", "pageMargins",
    "pageSetup", "headerFooter", "rowBreaks", "colBreaks", "customProperties", "cellWatches", "ignoredErrors",
    "smartTags", "drawing", "legacyDrawing", "tableParts", "extLst",
]  # fmt: skip
"""The sequence of CT_Worksheet, 18.3.1.99."""

WORKBOOK = [
    "fileVersion", "fileSharing", "workbookPr", "workbookProtection", "bookViews", "sheets", "functionGroups",
    "externalReferences", "definedNames", "calcPr", "oleSize", "customWorkbookViews", "pivotCaches", "extLst",
]  # fmt: skip
"""The sequence of CT_Workbook, 18.2.27."""

STYLES = [
    "numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs", "tableStyles", "colors",
    "extLst",
]  # fmt: skip
"""The sequence of CT_Stylesheet, 18.8.39."""

ROW = {"r", "spans", "s", "customFormat", "ht", "hidden", "customHeight", "outlineLevel", "collapsed"}
CELL = {"r", "s", "t", "cm", "vm", "ph"}
"""Attributes of CT_Row, 18.3.1.73, and of CT_Cell, 18.3.1.4."""


@pytest.fixture(scope="module", params=["empty", "a day", "three days", "a name like a formula"])
def workbook(request: pytest.FixtureRequest) -> bytes:
    return write_workbook(
        {
            "empty": make_report,
            "a day": lambda: make_full_report(jobs=60),
            "three days": lambda: make_full_report(jobs=90, days=3),
            "a name like a formula": lambda: with_name(make_full_report(jobs=20), "=1+1 & <b>"),
        }[request.param]()
    )


@pytest.fixture(scope="module")
def parts(workbook: bytes) -> dict[str, bytes]:
    with ZipFile(BytesIO(workbook)) as archive:
        assert len(archive.namelist()) == len(set(archive.namelist()))
        return {name: archive.read(name) for name in archive.namelist()}


def tree(parts: dict[str, bytes], name: str) -> ElementTree.Element:
    return ElementTree.fromstring(parts[name])


def sheets(parts: dict[str, bytes]) -> dict[str, ElementTree.Element]:
    return {name: tree(parts, name) for name in parts if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", name)}


def in_order(element: ElementTree.Element, sequence: list[str]) -> bool:
    places = [sequence.index(child.tag.removeprefix(MAIN)) for child in element]
    return places == sorted(places)


def test_elements_stand_in_the_order_of_the_standard(parts):
    assert in_order(tree(parts, "xl/workbook.xml"), WORKBOOK)
    assert in_order(tree(parts, "xl/styles.xml"), STYLES)
    assert [name for name, sheet in sheets(parts).items() if not in_order(sheet, WORKSHEET)] == []


def test_rows_and_cells_rise_and_have_no_attribute_of_their_own(parts):
    styles = len(tree(parts, "xl/styles.xml").find(f"{MAIN}cellXfs"))
    for name, sheet in sheets(parts).items():
        rows = sheet.find(f"{MAIN}sheetData").findall(f"{MAIN}row")
        assert [int(row.get("r")) for row in rows] == sorted({int(row.get("r")) for row in rows}), name
        for row in rows:
            assert set(row.attrib) <= ROW and float(row.get("ht", 0)) <= 409.5, name
            at = [range_boundaries(cell.get("r")) for cell in row]
            assert at == sorted(at) and {top for _, top, _, _ in at} <= {int(row.get("r"))}, name
            for cell in row:
                _check_cell(cell, styles)


def _check_cell(cell: ElementTree.Element, styles: int) -> None:
    assert set(cell.attrib) <= CELL and int(cell.get("s", 0)) < styles
    held = [child.tag.removeprefix(MAIN) for child in cell]
    if cell.get("t") == "inlineStr":
        assert held == ["is"] and len("".join(cell.itertext())) <= 32_767
    else:
        assert cell.get("t") in (None, "n") and held in ([], ["v"])
        assert not held or re.fullmatch(r"-?\d+(\.\d+)?([eE][-+]?\d+)?", cell[0].text)


def test_columns_merged_cells_and_footers_are_within_their_bounds(parts):
    for name, sheet in sheets(parts).items():
        columns = [(int(one.get("min")), int(one.get("max"))) for one in sheet.iter(f"{MAIN}col")]
        assert all(low <= high for low, high in columns), name
        assert all(before[1] < after[0] for before, after in pairwise(columns)), name
        assert all(float(one.get("width")) <= 255 for one in sheet.iter(f"{MAIN}col")), name
        merged = [range_boundaries(one.get("ref")) for one in sheet.iter(f"{MAIN}mergeCell")]
        assert len({top for _, top, _, _ in merged}) == len(merged), name  # each in a row of its own
        assert all(len(one.text or "") <= 255 for one in sheet.iter(f"{MAIN}oddFooter")), name


def test_defined_names_point_to_cells_of_their_sheet(parts):
    book = tree(parts, "xl/workbook.xml")
    names = [sheet.get("name") for sheet in book.iter(f"{MAIN}sheet")]
    assert len({name.casefold() for name in names}) == len(names)
    assert all(len(name) <= 31 and not set(name) & set(r"[]:*?/\\") for name in names)
    found = [(int(one.get("localSheetId")), one.get("name"), one.text) for one in book.iter(f"{MAIN}definedName")]
    assert {name for _, name, _ in found} <= {"_xlnm.Print_Area", "_xlnm.Print_Titles", "_xlnm._FilterDatabase"}
    assert sum(name == "_xlnm.Print_Area" for _, name, _ in found) == len(names)
    for number, _, text in found:
        where, _, cells = text.rpartition("!")
        assert where.strip("'") == names[number]
        assert re.fullmatch(r"\$[A-Z]+\$\d+:\$[A-Z]+\$\d+|\$\d+:\$\d+", cells)


def test_every_part_has_its_type_and_every_link_its_part(parts):
    types = tree(parts, "[Content_Types].xml")
    endings = {one.get("Extension") for one in types.iter(f"{TYPES}Default")}
    overrides = {one.get("PartName") for one in types.iter(f"{TYPES}Override")}
    assert {name.removeprefix("/") for name in overrides} <= set(parts)
    for name in parts:
        assert f"/{name}" in overrides or name.rpartition(".")[2] in endings or name == "[Content_Types].xml", name
        if name.endswith(".rels"):
            folder = PurePosixPath(name).parent.parent
            for link in tree(parts, name).iter(f"{LINKS}Relationship"):
                target = link.get("Target")
                assert (target.removeprefix("/") if target.startswith("/") else str(folder / target)) in parts, target


def test_a_second_library_reads_the_same_values(workbook):
    first, second = load_workbook(BytesIO(workbook)), CalamineWorkbook.from_filelike(BytesIO(workbook))
    assert second.sheet_names == first.sheetnames
    compared = 0
    for name in first.sheetnames:
        rows = second.get_sheet_by_name(name).to_python(skip_empty_area=False)
        for row in first[name].iter_rows():
            for cell in row:
                column, number = coordinate_from_string(cell.coordinate)
                if cell.value is not None:
                    found = rows[number - 1][cell.column - 1]
                    assert _plain(found) == pytest.approx(_plain(cell.value)), (name, column, number)
                    compared += 1
    assert compared > 10


def _plain(value: object) -> object:
    """A value without its type: moments and durations as days."""
    if isinstance(value, timedelta):
        return value / timedelta(days=1)
    if isinstance(value, datetime):
        return (value - datetime(1899, 12, 30)) / timedelta(days=1)
    if isinstance(value, date):
        return float((value - date(1899, 12, 30)).days)
    return value
