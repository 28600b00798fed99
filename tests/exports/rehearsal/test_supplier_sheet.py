"""String to order for the supplier: reels and sets apart, the players' own apart, text that cannot run."""

from datetime import datetime
from io import BytesIO

import openpyxl

from exports.rehearsal.rehearsal_rows import RehearsalReport, RehearsedStringRow, Spread
from exports.rehearsal.supplier_sheet import supplier_csv, supplier_workbook


def string(name, order, piece="reel", whose="desk's", **over):
    """One string that is used, 300 m in the mean and at most 500."""
    usual = {"metres": Spread(mean=300, low=100, high=500), "in_stock_m": 100.0, "piece_m": 200.0, "pieces": 3}
    kind = {"gauge_mm": 1.25, "material": "polyester"}
    return RehearsedStringRow(string=name, whose=whose, piece=piece, order=order, **kind, **usual | over)


def report(*strings):
    """A rehearsal of which only the string is looked at."""
    nothing = dict.fromkeys(("assumptions", "teams", "promises", "hours", "stringers"), ())
    at = datetime(2031, 6, 1, 9, 0)
    said = {"event_name": "Harbour Week", "goal": "", "least_team": "none of these"}
    return RehearsalReport(made_at=at, replications=10, strings=strings, **said, **nothing)


ALL = report(
    string("Alpha", 2),
    string("=Beta", 3, piece="set", piece_m=12.0),
    string("Gamma", 0),
    string("Own", None, whose="players'"),
)


def cells(sheet):
    """The values of a sheet, row by row, without what is empty."""
    return [[value for value in row if value is not None] for row in sheet.iter_rows(values_only=True) if any(row)]


def test_the_order_has_reels_and_sets_and_nothing_else():
    order = cells(openpyxl.load_workbook(BytesIO(supplier_workbook(ALL)))["Order"])
    assert ["Alpha", 1.25, "polyester", 200, 2] in order
    assert ["=Beta", 1.25, "polyester", 12, 3] in order
    assert order.index(["Sets"]) > order.index(["Reels"])
    assert not any(row[0] in ("Gamma", "Own") for row in order)


def test_what_it_was_reckoned_from_has_stock_and_the_players_own_apart():
    behind = cells(openpyxl.load_workbook(BytesIO(supplier_workbook(ALL)))["Reckoned from"])
    assert ["Alpha", 1.25, "polyester", 300, 500, 100, "reel", 200, 2] in behind
    assert ["Own", 1.25, "polyester", 300, 500, "reel", 200, 3] in behind


def test_the_csv_file_has_one_line_a_string_and_no_text_that_runs():
    lines = supplier_csv(ALL).decode("utf-8-sig").splitlines()
    assert lines[0] == '"string","gauge_mm","material","piece_m","order","piece"'
    assert len(lines) == 3
    assert lines[2].startswith("\"'=Beta")


def test_nothing_to_order_is_said():
    order = cells(openpyxl.load_workbook(BytesIO(supplier_workbook(report())))["Order"])
    assert order.count(["none"]) == 2
