"""The sheets of several days and of the event: what is compared, added up and carried on."""

from datetime import date

import pytest

from desk.errors import NotFound
from desk.queries.close import usage_report
from tests import make
from tests.queries.close.ten_jobs import monday, ten_jobs
from tests.statements import statements


def test_tuesday_is_compared_with_monday_and_monday_stays_as_it_was(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    before = monday(session, event)
    greta = desk.jobs[8]
    desk.string(greta, "Tue 09:00", "Tue 09:20", 11.0)
    tuesday = usage_report(session, event, date(2031, 5, 13), at=make.moment("Tue 12:00"))
    after = monday(session, event, "Tue 12:00")
    assert after.summary == before.summary
    assert (after.jobs, after.carried_over, after.reels) == (before.jobs, before.carried_over, before.reels)
    assert tuesday.summary.racquets_strung == 1
    assert tuesday.comparison.before_title == "Monday 12 May 2031 up to 12:00"
    assert [(row.now, row.before) for row in tuesday.comparison.rows[:2]] == [(1, 6), (1, 4)]  # 1 to 6


def test_days_add_up_to_the_event(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    job = desk.take_in(desk.player("Hana"), "Tue 00:30")  # in the night, after Monday's desk
    desk.string(job, "Tue 00:40", "Tue 01:00", 11.0)
    whole = usage_report(session, event, None, at=make.moment("Tue 23:00"))
    assert [row.racquets for row in whole.throughput_by_day] == [9, 1]
    assert whole.summary.racquets_strung == 10
    assert whole.title == "Event so far, 2 days"
    assert sum(row.strung for row in whole.throughput_by_hour) == 10


def test_the_first_day_is_compared_with_the_same_weekday_of_the_year_before(session):
    earlier = make.make_event(session, name="Testfield Open 2030", first_day=date(2030, 5, 13), days=2)
    ten_jobs(session, earlier)
    event = make.make_event(session, name="Testfield Open 2031", days=2)
    report = monday(session, event)
    assert report.comparison.before_title == "Monday 13 May 2030 of Testfield Open 2030 up to 22:00"
    assert [(row.now, row.before) for row in report.comparison.rows[:2]] == [(0, 9), (0, 6)]


def test_another_tournament_is_no_comparison(session):
    ten_jobs(session, make.make_event(session, name="Elsewhere Cup", first_day=date(2030, 5, 13), days=2))
    event = make.make_event(session, name="Testfield Open", days=2)
    assert monday(session, event).comparison is None


def test_payment_of_tuesday_is_received_on_tuesday(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    desk.pay(desk.players["Bruno"], 5000, "Tue 09:00")
    assert monday(session, event, "Tue 12:00").summary.received_minor == 7000
    tuesday = usage_report(session, event, date(2031, 5, 13), at=make.moment("Tue 12:00"))
    whole = usage_report(session, event, None, at=make.moment("Tue 12:00"))
    figures = ("brought_forward_minor", "charged_minor", "received_minor", "carried_forward_minor")
    assert [getattr(tuesday.summary, name) for name in figures] == [22_000, 0, 5000, 17_000]
    assert [(row.payer, row.note) for row in tuesday.charges if row.note] == [("Bruno", "received cash €50.00")]
    assert whole.summary.received_minor == 12_000


def test_a_day_that_the_event_has_not_is_refused(session):
    event = make.make_event(session, days=2)
    with pytest.raises(NotFound, match="2031-06-01 is no day of Testfield Open; it runs from 2031-05-12 to"):
        usage_report(session, event, date(2031, 6, 1), at=make.moment("Mon 12:00"))


def test_statements_are_as_many_for_two_jobs_as_for_forty(database):
    counts = []
    with database.writing() as session:
        event = make.make_event(session, days=2)
        desk = ten_jobs(session, event)
        for more in (0, 30):
            for number in range(more):
                job = desk.take_in(desk.player(f"Player {number}"), "17:00", needed="20:00", promised=("19:00",))
                desk.string(job, "17:10", "17:30", 0.5)
            session.expire_all()
            with statements(session) as seen:
                usage_report(session, event, None, at=make.moment("Tue 12:00"))
            counts.append(len(seen))
    assert counts[0] == counts[1]
