"""Days on which nothing, little or something odd happened."""

from datetime import date, datetime
from io import BytesIO

import pytest
from openpyxl import load_workbook

from desk.errors import Conflict
from desk.models import Charge
from desk.queries.close import usage_report
from exports.files.workbook import write_workbook
from tests import make
from tests.queries.close.ten_jobs import Bench, monday, ten_jobs

LONG = "Maximiliana " * 17
ODD_NAMES = (LONG[:200], "Ivo 🎾 Marrow", '=HYPERLINK("http://example.invalid","x")', "@SUM(1+1)", "Ünsal Ağaoğlu")


def test_empty_day_gives_a_sheet_of_noughts(session):
    report = usage_report(session, make.make_event(session), make.FIRST_DAY, at=make.moment("Mon 22:00"))
    assert (report.summary.racquets_strung, report.summary.string_m, report.summary.bench_mean_min) == (0, 0.0, None)
    assert (report.jobs, report.throughput_by_hour, report.charges, report.uncollected) == ((), (), (), ())
    assert not any(row.differs for row in report.cross_checks)
    assert load_workbook(BytesIO(write_workbook(report))).sheetnames == ["Summary", "Cross-check"]


def test_one_cancelled_job_is_listed_and_counted_once(session):
    event = make.make_event(session)
    desk = Bench.set_up(session, event)
    job = desk.take_in(desk.player("Alma"), "09:00", needed="11:00")
    desk.move(job, "cancelled", "09:30")
    report = monday(session, event)
    tuesday = usage_report(session, event, date(2031, 5, 13), at=make.moment("Tue 22:00"))
    assert (report.summary.cancelled, report.summary.carried_over, report.summary.racquets_strung) == (1, 0, 0)
    assert [(row.player, row.state) for row in report.jobs] == [("Alma", "cancelled")]
    assert [row.outcome for row in report.needed_by] == ["not strung"]
    assert not any(row.differs for row in report.cross_checks)
    assert (tuesday.summary.cancelled, tuesday.jobs) == (0, ())


def test_a_job_cancelled_the_day_after_is_carried_over_first(session):
    event = make.make_event(session)
    desk = Bench.set_up(session, event)
    desk.move(desk.take_in(desk.player("Alma"), "09:00"), "cancelled", "Tue 09:30")
    first, second = (
        usage_report(session, event, day, at=make.moment("Tue 22:00")).summary
        for day in (make.FIRST_DAY, date(2031, 5, 13))
    )
    assert (first.carried_over, first.cancelled) == (1, 0)
    assert (second.carried_over, second.cancelled) == (0, 1)


@pytest.mark.parametrize("name", ODD_NAMES)
def test_odd_names_stand_in_the_sheet_as_text(session, name):
    event = make.make_event(session)
    desk = Bench.set_up(session, event)
    desk.string(desk.take_in(desk.player(name), "09:00"), "09:10", "09:30", 11.0)
    report = monday(session, event)
    book = load_workbook(BytesIO(write_workbook(report)))
    cells = [cell for row in book["Jobs"].iter_rows() for cell in row if cell.value == name]
    assert [cell.data_type for cell in cells] == ["s"]
    assert all(cell.data_type != "f" for sheet in book for row in sheet.iter_rows() for cell in row)


def test_night_of_the_clock_change_has_its_hour_twice_and_its_minutes_once(session):
    # Europe/Vienna leaves summer time on 26 October 2031 at 03:00: 02:00 to 03:00 comes twice.
    event = make.make_event(session, first_day=date(2031, 10, 26), days=1)
    desk = Bench.set_up(session, event)
    job = desk.take_in(desk.player("Alma"), "01:40")
    desk.string(job, "01:50", "03:10", 11.0)  # 23:50 UTC to 02:10 UTC: two hours and twenty minutes
    report = usage_report(session, event, date(2031, 10, 26), at=desk.at("22:00"))
    assert report.time_on_bench[0].bench_min == 140.0
    assert [(row.from_at, row.utc_offset_min) for row in report.throughput_by_hour] == [
        (datetime(2031, 10, 26, 1), 120),
        (datetime(2031, 10, 26, 2), 120),
        (datetime(2031, 10, 26, 2), 60),
        (datetime(2031, 10, 26, 3), 60),
    ]
    assert [row.strung for row in report.throughput_by_hour] == [0, 0, 0, 1]
    hours = [row[0].value for row in load_workbook(BytesIO(write_workbook(report)))["By hour"].iter_rows()]
    assert "02 h (UTC+2)" in hours and "02 h (UTC+1)" in hours


def test_two_currencies_are_refused_with_the_player_named(session):
    event = make.make_event(session, days=2)
    bruno = ten_jobs(session, event).players["Bruno"]
    owed = {"event_id": event.id, "player_id": bruno.id, "at": make.moment("Mon 12:00"), "by": "desk"}
    session.add(Charge(kind="other", text="overgrip", amount_minor=500, currency="USD", **owed))
    session.flush()
    with pytest.raises(Conflict, match="The account of Bruno holds an amount in USD, but Testfield Open is in EUR"):
        monday(session, event)


def test_what_comes_after_midnight_belongs_to_the_desk_still_open(session):
    event = make.make_event(session, days=2)
    event.days[0].closes_at = make.moment("Tue 01:30")
    desk = Bench.set_up(session, event)
    desk.string(desk.take_in(desk.player("Alma"), "23:30"), "Tue 00:30", "Tue 01:00", 11.0)
    days = usage_report(session, event, None, at=make.moment("Tue 22:00")).throughput_by_day
    assert [row.racquets for row in days] == [1, 0]


def test_an_hour_without_work_stands_but_a_night_does_not(session):
    event = make.make_event(session, days=1)
    desk = Bench.set_up(session, event)
    for dropped, started, finished in (("09:00", "09:10", "09:30"), ("12:00", "12:10", "12:30")):
        desk.string(desk.take_in(desk.player(dropped), dropped), started, finished, 11.0)
    desk.take_in(desk.player("late"), "21:00")
    hours = monday(session, event).throughput_by_hour
    assert [row.from_at.hour for row in hours] == [9, 10, 11, 12, 21]


def test_an_event_without_days_says_what_is_missing(session):
    event = make.make_event(session, days=0)
    with pytest.raises(Exception, match="has no day yet"):
        usage_report(session, event, None, at=make.moment("Mon 22:00"))
