"""Rates that count everybody: never strung, given back unstrung, carried over, and a match played without."""

from datetime import date

import pytest

from desk.queries.close import usage_report
from tests import make
from tests.queries.close.ten_jobs import Bench

MONDAY, TUESDAY = make.FIRST_DAY, date(2031, 5, 13)


@pytest.fixture
def bench(database):
    with database.writing() as session:
        yield Bench.set_up(session, make.make_event(session, days=2))


def report(bench: Bench, day: date | None = MONDAY, at: str = "Mon 22:00"):
    return usage_report(bench.session, bench.event, day, at=make.moment(at))


def cancel(bench: Bench, job, when: str, why: str) -> None:
    bench.move(job, "cancelled", when)
    job.changes[-1].note = why
    bench.session.flush()
    bench.session.expire(job, ["changes"])


def figures(found) -> tuple[int, int, int, int, int]:
    s = found.summary
    return s.with_needed_by, s.on_time, s.needed_not_strung, s.promises_made, s.promises_kept


def outcomes(found) -> list[tuple[str, str, str]]:
    return [(row.player, row.outcome, row.reason) for row in found.needed_by]


def test_a_racquet_never_strung_is_no_less_late(bench):
    ready = bench.take_in(bench.player("Alma"), "09:00", needed="11:00", promised=("10:30",))
    bench.string(ready, "09:10", "09:30", 11.0)
    bench.take_in(bench.player("Bruno"), "09:00", needed="12:00", promised=("11:30",))
    found = report(bench)
    assert figures(found) == (2, 1, 1, 2, 1)
    assert outcomes(found) == [("Alma", "on time", ""), ("Bruno", "not strung", "carried over")]
    assert not any(row.differs for row in found.cross_checks)


def test_a_racquet_given_back_unstrung_counts_with_its_reason(bench):
    job = bench.take_in(bench.player("Alma"), "09:00", needed="11:00", promised=("10:30",))
    cancel(bench, job, "10:00", "hairline crack")
    found = report(bench)
    assert figures(found) == (1, 0, 1, 1, 0)
    assert outcomes(found) == [("Alma", "not strung", "given back unstrung: hairline crack")]
    assert not any(row.differs for row in found.cross_checks)


def test_a_drop_off_taken_back_never_was(bench):
    job = bench.take_in(bench.player("Alma"), "09:00", needed="11:00", promised=("10:30",))
    cancel(bench, job, "09:02", "undone")
    found = report(bench)
    assert figures(found) == (0, 0, 0, 0, 0)
    assert not any(row.differs for row in found.cross_checks)


def test_what_is_needed_tomorrow_counts_tomorrow(bench):
    job = bench.take_in(bench.player("Alma"), "17:00", needed="Tue 11:00", promised=("Tue 10:00",))
    assert figures(report(bench)) == (0, 0, 0, 0, 0)
    bench.string(job, "Tue 09:00", "Tue 09:20", 11.0)
    assert figures(report(bench, TUESDAY, "Tue 22:00")) == (1, 1, 0, 1, 1)


def test_a_racquet_late_overnight_counts_on_the_day_it_was_needed_and_once(bench):
    job = bench.take_in(bench.player("Alma"), "15:00", needed="18:00", promised=("17:00",))
    bench.string(job, "Tue 09:00", "Tue 09:20", 11.0)
    monday, tuesday, whole = (report(bench, day, "Tue 22:00") for day in (MONDAY, TUESDAY, None))
    assert [figures(one) for one in (monday, tuesday, whole)] == [(1, 0, 1, 1, 0), (0, 0, 0, 0, 0), (1, 0, 0, 1, 0)]
    assert whole.summary.late_more == 1
    assert [row.with_needed_by for row in whole.throughput_by_day] == [1, 0]
    assert not any(row.differs for one in (monday, tuesday, whole) for row in one.cross_checks)


def test_a_match_played_without_its_racquet_leaves_it_late(bench):
    """The plan then takes the racquet for the next match; what it was needed by stays on the sheet."""
    session, event = bench.session, bench.event
    alma = bench.player("Alma")
    court = make.make_court(session, event)
    played = make.make_match(session, court, day=event.days[0], players=(alma, None), start="at 11:00")
    job = bench.take_in(alma, "09:00", needed="Tue 11:00", needed_by_kind="match")
    played.state, played.started_at, played.ended_at = "finished", make.moment("Mon 11:10"), make.moment("Mon 12:30")
    session.flush()
    bench.string(job, "Mon 14:00", "Mon 14:20", 11.0)
    found = report(bench)
    assert figures(found)[:3] == (1, 0, 0)
    (row,) = found.needed_by
    # The match began at 11:10, 30 minutes before that it was needed: 14:20 is 220 minutes after that.
    assert (row.outcome, row.spare_min, row.match_begun) == ("late", -220.0, True)
    assert (found.summary.late_more, found.summary.late_match_begun) == (1, 1)
    assert not any(row.differs for row in found.cross_checks)


def test_a_walkover_needs_no_racquet(bench):
    session, event = bench.session, bench.event
    alma, court = bench.player("Alma"), make.make_court(session, event)
    off = make.make_match(session, court, day=event.days[0], players=(alma, None), start="at 11:00")
    bench.take_in(alma, "09:00", needed="Tue 11:00", needed_by_kind="match")
    off.state, off.ended_at = "walkover", make.moment("Mon 10:50")
    session.flush()
    assert figures(report(bench)) == (0, 0, 0, 0, 0)


def test_late_is_told_by_how_much(bench):
    for number, minutes in enumerate((1, 5, 6, 15, 30, 31)):
        job = bench.take_in(bench.player(f"P{number}"), "08:00", needed="09:00")
        bench.string(job, "08:10", f"09:{minutes:02}", 5.0)
    s = report(bench).summary
    assert (s.late_up_to_5, s.late_up_to_15, s.late_up_to_30, s.late_more) == (2, 2, 1, 1)


def test_a_day_under_way_is_held_against_the_same_hour_of_the_day_before(bench):
    for number, (dropped, finished) in enumerate((("09:00", "09:30"), ("12:00", "12:30"), ("Tue 09:00", "Tue 09:30"))):
        job = bench.take_in(bench.player(f"P{number}"), dropped)
        bench.string(job, dropped, finished, 11.0)
    found = report(bench, TUESDAY, "Tue 12:00").comparison
    assert found.before_title == "Monday 12 May 2031 up to 12:00"
    assert (found.rows[0].now, found.rows[0].before) == (1, 1)
