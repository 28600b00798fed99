"""A closed day opened again: what was signed first stays, and its sheet says what differs from it."""

import json
from io import BytesIO

import pytest
from jsonschema import Draft202012Validator
from openpyxl import load_workbook
from sqlalchemy import select

from desk.errors import BadInput, Conflict
from desk.models import DayOpening
from desk.queries.close import usage_report
from desk.queries.close.usage_files import read_usage, usage_bytes
from desk.services.close import days
from desk.services.string import store
from exports.files.schema import json_schema
from exports.report import UsageReport
from exports.summary import status
from tests import make
from tests.queries.close.ten_jobs import monday, ten_jobs
from tests.services.close.closed_day import lead


def signed_before(report: UsageReport) -> list[tuple[str, str, str]]:
    return [(row.figure, row.signed, row.now) for row in report.signed_before]


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
    found = signed_before(monday(session, event, "Mon 22:55"))
    assert found == [
        ("Metres wasted", "2", "3"),
        ("Received", "70.00 EUR", "105.00 EUR"),
        ("Open carried forward", "220.00 EUR", "185.00 EUR"),
        ("Metres left on the reels", "96", "95"),
    ]
    assert signed_before(as_open) == found
    assert signed_before(usage_report(session, event, None, at=make.moment("Mon 22:55"))) == found
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
