from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from exports.errors import ReportError
from exports.rows.jobs import NeededByRow
from exports.rows.money import ChargeRow
from exports.rows.work import HourRow
from exports.tables import tables
from exports.units import Tension
from tests.exports.make import blank, make_job, make_report, make_summary, rows_of


def make_charge(**over):
    base = {"payer": "Alma Arden", "currency": "EUR", "labour_minor": 4000, "string_minor": 3000, "other_minor": 500}
    return blank(ChargeRow, **(base | over))


def table(report, key):
    return next(sheet for sheet in tables(report) if sheet.key == key)


def test_two_currencies_are_refused_with_the_player_named():
    with pytest.raises(ReportError, match="Alma Arden is charged in USD, but the report is in EUR"):
        make_report(charges=(make_charge(currency="USD"),))


def test_report_without_a_day_is_refused():
    with pytest.raises(ReportError, match="has no day"):
        make_report(days=())


@pytest.mark.parametrize("days", [(date(2026, 7, 9), date(2026, 7, 8)), (date(2026, 7, 8), date(2026, 7, 8))])
def test_days_out_of_order_or_twice_are_refused(days):
    with pytest.raises(ReportError, match="out of order"):
        make_report(days=days)


def test_time_with_an_offset_is_refused_with_its_field_named():
    with pytest.raises(ReportError, match="report: jobs 1: ready_at is 2026-07-08T11:00:00"):
        make_report(jobs=(make_job(ready_at=datetime(2026, 7, 8, 11, tzinfo=UTC)),))


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_number_that_is_not_finite_is_refused(value):
    with pytest.raises(ReportError, match="report: jobs 1: string_m"):
        make_report(jobs=(make_job(string_m=value),))


def test_tension_without_a_unit_is_refused():
    with pytest.raises(ReportError, match="say lb or kg"):
        Tension(value=22, unit="")


@pytest.mark.outside
def test_tension_converts_by_the_exact_pound():
    # NIST SP 811 (2008), App. B.8: 1 lb = 0.453 592 37 kg
    assert Tension(value=Decimal(50), unit="lb").kg == pytest.approx(22.6796185, abs=1e-12)
    assert Tension(value=22.6796185, unit="kg").lb == pytest.approx(50, abs=1e-12)
    assert Tension(value=53.5, unit="lb").spoken == "53.5 lb"


def test_charged_is_stringing_string_and_other():
    # 40.00 stringing + 30.00 string + 5.00 other
    assert make_charge().total_minor == 7500


def test_hour_that_comes_twice_when_the_clock_goes_back_is_told_apart():
    hours = ((1, 120), (2, 120), (2, 60), (3, 60))
    rows = rows_of(HourRow, "from_at utc_offset_min", *((datetime(2026, 10, 25, hour), by) for hour, by in hours))
    sheet = table(make_report(days=(date(2026, 10, 25),), throughput_by_hour=rows), "throughput_by_hour")
    assert [sheet.columns[0].of(row) for row in sheet.rows] == ["01 h", "02 h (UTC+2)", "02 h (UTC+1)", "03 h"]


def test_racquet_ready_in_the_hour_that_comes_twice_is_late_by_its_minutes_and_not_by_the_clock():
    job = make_job(needed_by_at=datetime(2026, 10, 25, 2, 30), ready_at=datetime(2026, 10, 25, 2, 10))
    when = {"needed_by_at": job.needed_by_at, "ready_at": job.ready_at}
    late = blank(NeededByRow, tag=job.tag, **when, spare_min=-40, outcome="late")
    counted = make_summary(with_needed_by=1, late_more=1)
    report = make_report(days=(date(2026, 10, 25),), jobs=(job,), needed_by=(late,), summary=counted)
    ready = next(column for column in table(report, "jobs").columns if column.key == "ready_at")
    assert ready.alert(job)
    assert [(row.band, row.late) for row in table(report, "on_time").rows if row.late] == [("more than 30 min late", 1)]
