from dataclasses import replace
from datetime import datetime, timedelta
from io import BytesIO

import pytest
from openpyxl import load_workbook

from exports.errors import ReportError
from exports.files.workbook import write_workbook
from exports.layout.splice import put_rows
from exports.tables import tables
from exports.text import MAX_CELL_CHARS
from exports.units import Tension
from tests.exports.full_report import make_full_report
from tests.exports.make import make_job, make_report, make_summary, with_name


def read(report):
    return load_workbook(BytesIO(write_workbook(report)))


def cell_of(sheet, heading, row=1):
    """The cell under a heading, so many rows below it."""
    top = next(cells for cells in sheet.iter_rows() if any(cell.value == heading for cell in cells))
    found = next(cell for cell in top if cell.value == heading)
    return sheet.cell(found.row + row, found.column)


def test_workbook_has_a_sheet_for_each_table_in_order():
    book = read(make_full_report(jobs=60))
    assert ", ".join(book.sheetnames) == (
        "Summary, Comparison, By hour, By stringer, By machine, On time, Needed by, Time on the bench, Jobs, "
        "String, To order, Metres by pattern, Reels, Tensions, Materials, Money, Tax, Charges, For the referee, "
        "Calibration, Went wrong, Carried over, Uncollected, Cross-check, Corrections"
    )


def test_workbook_of_several_days_has_a_sheet_by_day_and_by_hour_of_the_day():
    names = read(make_full_report(jobs=20, days=3)).sheetnames
    assert names[1:5] == ["Comparison", "By day", "By hour of the day", "By hour"]


def test_no_cell_is_a_formula():
    book = read(with_name(make_full_report(jobs=20, days=2), "=HYPERLINK(1)"))
    assert {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row} == {"s", "n", "d"}


def test_times_durations_and_amounts_keep_their_types():
    sheet = read(make_report(jobs=(make_job(),)))["Jobs"]
    assert cell_of(sheet, "Dropped off").value == datetime(2026, 7, 8, 9, 5)
    assert cell_of(sheet, "Dropped off").number_format == "hh:mm"
    assert cell_of(sheet, "Bench, h:mm").value == timedelta(minutes=22)
    assert cell_of(sheet, "Bench, h:mm").number_format == "[h]:mm"
    assert cell_of(sheet, "Charge").value == 25.0
    assert cell_of(sheet, "Charge").number_format == '#,##0.00" EUR"'
    assert cell_of(sheet, "String, m").value == 11.4
    assert cell_of(sheet, "On court").value == "no"


def test_time_of_another_day_shows_its_day():
    job = make_job(dropped_off_at=datetime(2026, 7, 7, 20, 15))
    sheet = read(make_report(jobs=(job,)))["Jobs"]
    assert cell_of(sheet, "Dropped off").number_format == "d mmm hh:mm"
    assert cell_of(sheet, "Ready").number_format == "hh:mm"


def test_tension_stands_as_spoken_and_in_both_units():
    job = make_job(mains_tension=Tension(value=25, unit="kg"), crosses_tension=Tension(value=53.5, unit="lb"))
    sheet = read(make_report(jobs=(job,)))["Jobs"]
    assert cell_of(sheet, "Mains tension").value == "25 kg"
    assert cell_of(sheet, "Mains, kg").value == 25
    assert cell_of(sheet, "Mains, lb").value == pytest.approx(25 / 0.45359237)
    assert cell_of(sheet, "Crosses tension").value == "53.5 lb"
    assert cell_of(sheet, "Crosses, kg").value == pytest.approx(53.5 * 0.45359237)


@pytest.mark.parametrize(
    "name",
    ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1+1", "#N/A", "TRUE", "007", "<b>&amp;", "🎾 Ada", "O'Neil", "x" * 200],
)
def test_name_is_stored_as_it_was_typed_and_as_text(name):
    cell = cell_of(read(make_report(jobs=(make_job(player=name),)))["Jobs"], "Player")
    assert (cell.value, cell.data_type) == (name, "s")


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1+1"])
def test_name_like_a_formula_stays_text_when_it_is_edited(name):
    cell = cell_of(read(make_report(jobs=(make_job(player=name),)))["Jobs"], "Player")
    assert cell.quotePrefix


def test_control_characters_are_left_out_of_cells():
    report = make_report(jobs=(make_job(player="Ada\x00\x07\x1f\ud800 Arden\ufffe"),))
    assert cell_of(read(report)["Jobs"], "Player").value == "Ada Arden"


def test_text_is_cut_to_what_a_cell_holds():
    report = make_report(jobs=(make_job(note="n" * 40_000),))
    assert len(cell_of(read(report)["Jobs"], "Note").value) == MAX_CELL_CHARS == 32_767


def test_headings_stay_and_pages_fit_a4_landscape():
    for sheet in read(make_full_report(jobs=40)).worksheets:
        first = sheet.title == "Summary"
        assert (sheet.page_setup.orientation, sheet.page_setup.paperSize) == ("portrait" if first else "landscape", 9)
        assert (sheet.sheet_properties.pageSetUpPr.fitToPage, sheet.page_setup.fitToWidth) == (True, 1)
        assert sheet.print_area
        if sheet.title not in ("Summary", "Cross-check"):
            assert (sheet.freeze_panes[1:], sheet.print_title_rows) == ("4", "$1:$3")


def test_summary_is_one_page():
    sheet = read(make_full_report(jobs=20))["Summary"]
    assert sheet.page_setup.fitToHeight == 1


def test_footer_names_event_and_day_with_ampersands_escaped():
    report = make_report(event_name="Cup & Bowl", town="Harbour Town")
    for sheet in read(report).worksheets:
        assert sheet.oddFooter.left.text == "Cup && Bowl, Harbour Town"
        assert sheet.oddFooter.center.text == "Wednesday 8 July 2026"


def test_column_is_as_wide_as_its_values_within_bounds():
    players = ("Al", "A name of some length", "n" * 200)
    widths = []
    for player in players:
        sheet = read(make_report(jobs=(make_job(player=player),)))["Jobs"]
        widths.append(sheet.column_dimensions["B"].width)
    assert widths[0] < widths[1] < widths[2] < 40


def test_charts_stand_on_the_sheets_that_have_something_to_show():
    book = read(make_full_report(jobs=40))
    charts = {sheet.title: len(sheet._charts) for sheet in book.worksheets if sheet._charts}
    assert charts == {"Comparison": 1, "By hour": 1, "By stringer": 1, "By machine": 1, "On time": 1}
    assert not any(sheet._charts for sheet in read(make_report()).worksheets)


def test_chart_draws_the_cells_of_its_table():
    sheet = read(make_full_report(jobs=40))["By stringer"]
    series = sheet._charts[0].series[0]
    assert series.val.numRef.f == "'By stringer'!$B$4:$B$8"
    cached = [float(point.v) for point in series.val.numRef.numCache.pt]
    assert cached == [sheet.cell(row, 2).value for row in range(4, 9)]
    names = [point.v for point in series.cat.strRef.strCache.pt]
    assert names == [sheet.cell(row, 1).value for row in range(4, 9)]


def test_sums_stand_below_a_table():
    report = make_report(jobs=(make_job(string_m=11.4), make_job(tag="A18", string_m=0.2)))
    assert cell_of(read(report)["Jobs"], "String, m", 3).value == 11.6
    assert cell_of(read(report)["Jobs"], "Tag", 3).value == "Together"


def test_an_empty_table_has_no_sheet_and_is_named_beside_the_checks():
    assert read(make_report()).sheetnames == ["Summary"]
    book = read(make_full_report(jobs=60))
    assert book["Cross-check"]["A3"].value == "Without a line, and so without a sheet: Team, Invoices, Signed before."


def test_bars_stand_on_zero_and_the_axis_says_what_it_counts():
    for sheet in read(make_full_report(jobs=40)).worksheets:
        for chart in sheet._charts:
            axis = chart.y_axis
            assert not axis.delete
            assert "".join(run.t for run in axis.title.tx.rich.p[0].r) == (
                "change, per cent" if sheet.title == "Comparison" else "racquets"
            )
            assert axis.scaling.min == (None if sheet.title == "Comparison" else 0)


def test_day_with_one_cancelled_job_writes_it():
    job = make_job(state="cancelled", ready_at=None, bench_min=None, stringer=None, string_m=None, charge_minor=None)
    book = read(make_report(jobs=(job,), summary=make_summary(cancelled=1)))
    assert cell_of(book["Jobs"], "State").value == "cancelled"
    assert cell_of(book["Jobs"], "Ready").value is None
    labels = {row[0].value: row[1].value for row in book["Summary"].iter_rows(min_row=6)}
    assert labels["Cancelled"] == 1


def test_correction_of_a_closed_day_is_stated_on_the_summary():
    book = read(make_full_report(jobs=20))
    assert book["Summary"]["A3"].value == (
        "Closed by Mira Tolland on Wednesday 8 July 2026 at 23:05. Corrected since: 1 note on the sheet Corrections."
    )
    assert cell_of(book["Corrections"], "Now").value == "closing 38.5 m"


def test_cross_check_marks_a_difference_in_words_and_type():
    book = read(make_full_report(jobs=20))
    verdicts = [cell_of(book["Cross-check"], "Verdict", row) for row in (1, 2, 3)]
    assert [cell.value for cell in verdicts] == ["agrees", "agrees", "differs"]
    assert [cell.font.b for cell in verdicts] == [False, False, True]
    assert "two counts differ: Charged" in book["Summary"]["A4"].value


def test_progress_counts_rows_to_the_end():
    told = []
    report = make_full_report(jobs=300)
    write_workbook(report, progress=lambda done, rows: told.append((done, rows)))
    rows = sum(len(sheet.rows) for sheet in tables(report))
    assert [done for done, _ in told[:-1]] == list(range(250, rows, 250))
    assert told[-1] == (rows, rows)


def test_whole_and_fine_amounts_follow_the_currency():
    for currency, value, shown in (("JPY", 2500, '#,##0" JPY"'), ("KWD", 2.5, '#,##0.000" KWD"')):
        cell = cell_of(read(make_report(jobs=(make_job(),), currency=currency))["Jobs"], "Charge")
        assert (cell.value, cell.number_format) == (value, shown)


def test_workbook_without_the_expected_sheet_is_refused():
    book = write_workbook(make_report())
    with pytest.raises(ReportError, match="no place for its rows"):
        put_rows(book, {"/xl/worksheets/sheet1.xml": b""})
    with pytest.raises(ReportError, match=r"has no /xl/worksheets/sheet99\.xml"):
        put_rows(book, {"/xl/worksheets/sheet99.xml": b""})


def test_same_report_gives_the_same_cells_twice():
    report = replace(make_full_report(jobs=20), town="")
    first, second = read(report), read(report)
    for sheet in first.worksheets:
        assert [c.value for r in sheet for c in r] == [c.value for r in second[sheet.title] for c in r]
