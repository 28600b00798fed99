"""Totals of the sheet counted a second time, and what that tells."""

import pytest

from desk.models import ReelEntry
from tests import make
from tests.queries.close.ten_jobs import monday, ten_jobs


def test_every_total_is_counted_twice_and_agrees(report):
    assert [row.figure for row in report.cross_checks if row.differs] == []
    assert len(report.cross_checks) > 12


def test_a_wrong_record_is_told_by_the_cross_check(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    job = desk.take_in(desk.player("Hana"), "17:00")
    job.finished_at = desk.at("17:30")  # finished without anybody having strung it
    session.flush()
    differing = [row.figure for row in monday(session, event).cross_checks if row.differs]
    assert differing == ["Racquets strung"]


@pytest.mark.parametrize(("metres", "differing"), [(0.04, []), (0.3, ["String in racquets"])])
def test_metres_cut_for_no_racquet_are_told_by_the_cross_check(session, metres, differing):
    event = make.make_event(session, days=2)
    reel = ten_jobs(session, event).reel
    session.add(ReelEntry(reel_id=reel.id, kind="use", metres=-metres, at=make.moment("Mon 15:00"), by="bench"))
    session.flush()
    assert [row.figure for row in monday(session, event).cross_checks if row.differs] == differing
