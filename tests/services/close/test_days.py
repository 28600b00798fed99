"""Closing a day, what may not be closed, and what a closed day says when its figures change."""

import json
from io import BytesIO
from zipfile import ZipFile

import pytest
from jsonschema import Draft202012Validator
from openpyxl import load_workbook
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import DayCorrection, DayOpening, Event, LogEntry
from desk.queries.close import usage_report
from desk.queries.close.day_checks import check_list
from desk.queries.close.usage_files import read_usage, usage_bytes
from desk.services.bench.undo import undo_last
from desk.services.close import days
from desk.services.string import store
from exports.files.schema import json_schema
from exports.report import UsageReport
from exports.summary import status
from tests import make
from tests.queries.close.ten_jobs import Bench, ten_jobs


def lead(text: str = "Mon 22:05"):
    return make.acting(text, by="Mira")


def closed_monday(session: Session) -> Bench:
    desk = ten_jobs(session, make.make_event(session, days=2))
    days.close_day(session, desk.event.id, desk.event.days[0].id, acting=lead())
    return desk


def monday(session: Session, event: Event, at: str = "Tue 12:00") -> UsageReport:
    return usage_report(session, event, make.FIRST_DAY, at=make.moment(at))


def counts(session: Session, event: Event, at: str = "Mon 22:05") -> dict[str, int]:
    return {item.key: item.count for item in check_list(session, event, event.days[0], at=make.moment(at))}


def test_check_list_counts_what_is_open(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    assert counts(session, desk.event) == {
        "on_machine": 0,
        "waiting": 1,  # 10
        "held": 0,
        "uncollected": 1,  # 7
        "string_missing": 0,
        "reels": 0,  # measured at 20:00
        "accounts": 5,  # all who were charged but Alma, who paid
        "machines_out": 0,
        "uncalibrated": 2,
        "mishaps": 0,
        "totals": 0,
    }


def test_check_list_names_who_and_where_to_mend_it(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    items = check_list(session, desk.event, desk.event.days[0], at=make.moment("Mon 22:05"))
    accounts = next(item for item in items if item.key == "accounts")
    assert accounts.where == "charges"
    assert accounts.names[0] == "Bruno €70.00"
    assert not any(item.forbids for item in items)


def test_more_names_than_fit_are_counted(session):
    desk = Bench.set_up(session, make.make_event(session, days=1))
    for number in range(8):
        desk.take_in(desk.player(f"Player {number}"), "09:00")
    items = check_list(session, desk.event, desk.event.days[0], at=make.moment("Mon 22:05"))
    waiting = next(item for item in items if item.key == "waiting")
    assert (waiting.count, len(waiting.names), waiting.names[-1]) == (8, 6, "and 3 more")


def test_a_reel_cut_after_it_was_measured_is_to_be_measured_again(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    desk.string(desk.take_in(desk.player("Hana"), "20:30"), "20:40", "21:00", 11.0)
    assert counts(session, desk.event)["reels"] == 1
    store.correct_reel(session, desk.event.id, desk.reel.id, 85.0, acting=lead(), note="measured")
    assert counts(session, desk.event)["reels"] == 0


def test_a_day_is_closed_with_who_and_when(session):
    desk = closed_monday(session)
    report = monday(session, desk.event)
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
    before = monday(session, desk.event)
    desk.hand_over(desk.jobs[6], "22:20")  # Elif's, uncollected when the day was closed
    desk.string(desk.take_in(desk.player("Hana"), "22:30"), "22:35", "22:55", 11.0)
    after = monday(session, desk.event)
    tuesday = usage_report(session, desk.event, desk.event.days[1].date, at=make.moment("Tue 12:00"))
    assert after == before
    assert (tuesday.summary.racquets_strung, tuesday.summary.uncollected) == (1, 1)
    assert sum(row.handed_over for row in tuesday.throughput_by_hour) == 1
    assert not any(row.differs for row in (*after.cross_checks, *tuesday.cross_checks))


def test_a_closed_day_that_changes_says_so_until_it_is_noted(session):
    desk = closed_monday(session)
    undo_last(session, desk.event.id, desk.jobs[6].id, acting=lead("Tue 09:00"))  # Elif's was never strung
    changed = {row.subject: (row.before, row.after, row.reason) for row in monday(session, desk.event).corrections}
    assert changed["Racquets strung"] == ("9", "8", "not noted yet: the desk lead has to say why")
    assert changed["Metres in racquets"][:2] == ("101.5", "90")  # 101.5 - 11.5
    days.correct_day(
        session, desk.event.id, desk.event.days[0].id, note=" wrong tag scanned ", acting=lead("Tue 09:05")
    )
    noted = monday(session, desk.event).corrections
    assert {row.reason for row in noted} == {"wrong tag scanned"}
    assert {(row.subject, row.before, row.after) for row in noted} >= {("Racquets strung", "9", "8")}
    assert {(row.made_by, f"{row.made_at:%a %H:%M}") for row in noted} == {("Mira", "Tue 09:05")}


def test_a_remark_without_a_changed_figure_is_noted_once(session):
    desk = closed_monday(session)
    (row,) = days.correct_day(
        session, desk.event.id, desk.event.days[0].id, note="counted again", acting=lead("Tue 09:00")
    )
    assert (row.subject, row.note) == ("", "counted again")
    assert [one.subject for one in monday(session, desk.event).corrections] == ["the day"]
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
    assert monday(any_session, desk.event).corrections == ()


def test_a_day_that_is_open_for_business_is_not_closed_by_one_touch(session):
    event = make.make_event(session, days=2)
    desk = Bench.set_up(session, event)
    desk.take_in(desk.player("Alma"), "09:00")
    asked = "The desk is open until 22:00, now it is 12:00; 1 waiting at the desk."
    with pytest.raises(days.StillOpen, match=asked):
        days.close_day(session, event.id, event.days[0].id, acting=lead("Mon 12:00"))
    assert days.close_day(session, event.id, event.days[0].id, acting=lead("Mon 12:00"), while_open=True).closed_at


def test_a_day_opened_again_keeps_its_first_figures_and_its_sheet_says_so(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    event, day = desk.event, desk.event.days[0]
    signed = dict(days.close_day(session, event.id, day.id, acting=lead("Mon 22:30")).figures)
    days.open_again(session, event.id, day.id, reason="a racquet came back", acting=lead("Mon 22:40"))
    assert (day.closed_at, day.figures) == (None, None)
    (opening,) = session.scalars(select(DayOpening)).all()
    assert (opening.figures, opening.reason) == (signed, "a racquet came back")
    days.close_day(session, event.id, day.id, acting=lead("Mon 22:50"))
    report = read_usage(session, event, day.date, at=make.moment("Mon 22:55"))
    assert status(report).startswith(
        "Second sheet of this day: closed by Mira on Monday 12 May 2031 at 22:30, opened again by Mira at 22:40: "
        "a racquet came back. No figure differs from it. Closed by Mira"
    )


def test_what_differs_from_the_sheet_signed_first_stands_line_by_line(session):
    """Elif pays 35.00 and the reel gives up another metre before the day is closed a second time."""
    desk = ten_jobs(session, make.make_event(session, days=2))
    event, day = desk.event, desk.event.days[0]
    days.close_day(session, event.id, day.id, acting=lead("Mon 22:30"))
    days.open_again(session, event.id, day.id, reason="Elif paid.", acting=lead("Mon 22:40"))
    desk.pay(desk.players["Elif"], 3500, "22:41")
    store.waste(session, event.id, desk.reel.id, 1.0, acting=lead("Mon 22:42"), note="frayed")
    as_open = monday(session, event, "Mon 22:45")
    days.close_day(session, event.id, day.id, acting=lead("Mon 22:50"))
    found = [(row.figure, row.signed, row.now) for row in monday(session, event, "Mon 22:55").signed_before]
    assert found == [
        ("Metres wasted", "2", "3"),
        ("Received", "70.00 EUR", "105.00 EUR"),
        ("Open carried forward", "220.00 EUR", "185.00 EUR"),
        ("Metres left on the reels", "96", "95"),
    ]
    assert [(row.figure, row.signed, row.now) for row in as_open.signed_before] == found
    whole = usage_report(session, event, None, at=make.moment("Mon 22:55"))
    assert [(row.figure, row.signed, row.now) for row in whole.signed_before] == found
    assert "opened again by Mira at 22:40: Elif paid. 4 figures differ from it" in status(as_open)
    Draft202012Validator(json_schema()).validate(json.loads(usage_bytes(as_open, ".json")))
    book = load_workbook(BytesIO(usage_bytes(as_open, ".xlsx")))
    assert [row[3].value for row in book["Signed before"].iter_rows(min_row=4)] == [one[0] for one in found]


def test_a_day_before_a_closed_one_is_not_opened_again(session):
    event = make.make_event(session, days=2)
    for number, when in ((0, "Mon 22:00"), (1, "Tue 22:00")):
        days.close_day(session, event.id, event.days[number].id, acting=lead(when))
    with pytest.raises(Conflict, match="Tuesday 13 May 2031 is closed already; note a correction"):
        days.open_again(session, event.id, event.days[0].id, reason="x", acting=lead("Tue 22:10"))
    with pytest.raises(BadInput, match="it stands on the sheet"):
        days.open_again(session, event.id, event.days[1].id, reason=" ", acting=lead("Tue 22:10"))
