"""Closing a day, what may not be closed, and what a closed day says when its figures change."""

import json
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook
from sqlalchemy import select

from desk.errors import BadInput, Conflict
from desk.models import DayCorrection, LogEntry
from desk.queries.close import usage_report
from desk.services.bench.undo import undo_last
from desk.services.close import days
from tests import make
from tests.queries.close.ten_jobs import Bench, monday, ten_jobs
from tests.services.close.closed_day import closed_monday, lead


def test_a_day_is_closed_with_who_and_when(session):
    desk = closed_monday(session)
    report = monday(session, desk.event, "Tue 12:00")
    log = session.scalars(select(LogEntry.text).where(LogEntry.subject == "days")).all()
    assert (report.closed, report.closed_by, f"{report.closed_at:%a %H:%M}") == (True, "Mira", "Mon 22:05")
    assert report.corrections == ()
    assert log == ["Monday 12 May 2031 closed: 9 strung, 1 carried over"]


def test_a_racquet_on_the_machine_forbids_closing(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    job = desk.jobs[8]
    job.stringer_id, job.machine_id = desk.stringers[0].id, desk.machines[0].id
    job.started_at = make.moment("Mon 22:00")
    desk.move(job, "on_machine", "22:00")
    with pytest.raises(Conflict, match=f"{job.code} Greta: on a machine: finish them or report a problem"):
        days.close_day(session, desk.event.id, desk.event.days[0].id, acting=lead())
    assert desk.event.days[0].closed_at is None


def test_a_day_is_closed_once(session):
    desk = closed_monday(session)
    with pytest.raises(Conflict, match="was closed by Mira already; note a correction instead"):
        days.close_day(session, desk.event.id, desk.event.days[0].id, acting=lead("Mon 22:10"))


def test_days_are_closed_in_their_order_and_not_before_they_begin(session):
    event = make.make_event(session, days=2)
    with pytest.raises(Conflict, match="Tuesday 13 May 2031 has not begun"):
        days.close_day(session, event.id, event.days[1].id, acting=lead())
    with pytest.raises(Conflict, match="Monday 12 May 2031 is not closed yet; close the days in their order"):
        days.close_day(session, event.id, event.days[1].id, acting=lead("Tue 22:05"))


def test_what_comes_after_closing_counts_for_the_next_day(session):
    desk = closed_monday(session)
    before = monday(session, desk.event, "Tue 12:00")
    desk.hand_over(desk.jobs[6], "22:20")  # Elif's, uncollected when the day was closed
    desk.string(desk.take_in(desk.player("Hana"), "22:30"), "22:35", "22:55", 11.0)
    after = monday(session, desk.event, "Tue 12:00")
    tuesday = usage_report(session, desk.event, desk.event.days[1].date, at=make.moment("Tue 12:00"))
    assert after == before
    assert (tuesday.summary.racquets_strung, tuesday.summary.uncollected) == (1, 1)
    assert sum(row.handed_over for row in tuesday.throughput_by_hour) == 1
    assert not any(row.differs for row in (*after.cross_checks, *tuesday.cross_checks))


def test_a_closed_day_that_changes_says_so_until_it_is_noted(session):
    desk = closed_monday(session)
    undo_last(session, desk.event.id, desk.jobs[6].id, acting=lead("Tue 09:00"))  # Elif's was never strung
    changed = {
        row.subject: (row.before, row.after, row.reason) for row in monday(session, desk.event, "Tue 12:00").corrections
    }
    assert changed["Racquets strung"] == ("9", "8", "not noted yet: the desk lead has to say why")
    assert changed["Metres in racquets"][:2] == ("101.5", "90")  # 101.5 - 11.5
    days.correct_day(
        session, desk.event.id, desk.event.days[0].id, note=" wrong tag scanned ", acting=lead("Tue 09:05")
    )
    noted = monday(session, desk.event, "Tue 12:00").corrections
    assert {row.reason for row in noted} == {"wrong tag scanned"}
    assert {(row.subject, row.before, row.after) for row in noted} >= {("Racquets strung", "9", "8")}
    assert {(row.made_by, f"{row.made_at:%a %H:%M}") for row in noted} == {("Mira", "Tue 09:05")}


def test_a_remark_without_a_changed_figure_is_noted_once(session):
    desk = closed_monday(session)
    (row,) = days.correct_day(
        session, desk.event.id, desk.event.days[0].id, note="counted again", acting=lead("Tue 09:00")
    )
    assert (row.subject, row.note) == ("", "counted again")
    assert [one.subject for one in monday(session, desk.event, "Tue 12:00").corrections] == ["the day"]
    assert len(session.scalars(select(DayCorrection)).all()) == 1


@pytest.mark.parametrize("note", ["", "   ", "x" * 501])
def test_a_correction_says_why_in_few_words(session, note):
    desk = closed_monday(session)
    with pytest.raises(BadInput, match="Say why"):
        days.correct_day(session, desk.event.id, desk.event.days[0].id, note=note, acting=lead("Tue 09:00"))


def test_an_open_day_needs_no_correction(session):
    event = make.make_event(session, days=2)
    with pytest.raises(Conflict, match="is not closed; correct it where it is wrong"):
        days.correct_day(session, event.id, event.days[0].id, note="why", acting=lead())


def test_closing_copies_the_sheets_into_the_folder(database, tmp_path, monkeypatch):
    monkeypatch.setenv("DESK_EXPORT_FOLDER", str(tmp_path / "sheets" / "copies"))
    with database.writing() as session:
        event = ten_jobs(session, make.make_event(session, days=2, slug="testfield")).event
    _, files, trouble = days.end_day(database, event.id, event.days[0].id, acting=lead())
    name = "testfield-usage-2031-05-12"
    assert trouble == ""
    assert sorted(file.name for file in files[0].parent.iterdir()) == [f"{name}.json", f"{name}.xlsx", f"{name}.zip"]
    workbook, tables, data = files
    assert load_workbook(workbook)["Summary"]["A3"].value.startswith("Closed by Mira on Monday 12 May 2031 at 22:05")
    assert "jobs.csv" in ZipFile(tables).namelist()
    assert json.loads(data.read_text())["closed_by"] == "Mira"


def test_a_copy_that_cannot_be_written_leaves_the_day_closed(database, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("DESK_EXPORT_FOLDER", str(tmp_path / "file" / "folder"))
    with database.writing() as session:
        event = make.make_event(session, days=2)
        day_id = event.days[0].id
    day, files, trouble = days.end_day(database, event.id, day_id, acting=lead())
    assert (files, day.closed_by) == ([], "Mira")
    assert "cannot be made" in trouble


def test_closing_is_the_same_on_both_databases(any_session):
    desk = closed_monday(any_session)
    assert desk.event.days[0].figures["string_m"] == 101.5
    assert monday(any_session, desk.event, "Tue 12:00").corrections == ()


def test_a_day_that_is_open_for_business_is_not_closed_by_one_touch(session):
    event = make.make_event(session, days=2)
    desk = Bench.set_up(session, event)
    desk.take_in(desk.player("Alma"), "09:00")
    asked = "The desk is open until 22:00, now it is 12:00; 1 waiting at the desk."
    with pytest.raises(days.StillOpen, match=asked):
        days.close_day(session, event.id, event.days[0].id, acting=lead("Mon 12:00"))
    assert days.close_day(session, event.id, event.days[0].id, acting=lead("Mon 12:00"), while_open=True).closed_at
