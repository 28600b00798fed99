"""The organiser's pictures hold the figures of the sheet at the same moment."""

from datetime import UTC, timedelta

from desk.queries.close import usage_report
from desk.queries.close.due.over_the_day import day_pictures
from tests import make
from tests.queries.close.ten_jobs import ten_jobs


def test_pictures_equal_the_sheet_hour_by_hour(session):
    event = make.make_event(session, days=2)
    ten_jobs(session, event)
    at = make.moment("Mon 22:00")
    report = usage_report(session, event, make.FIRST_DAY, at=at)
    rows = report.throughput_by_hour
    starts = [(row.from_at - timedelta(minutes=row.utc_offset_min)).replace(tzinfo=UTC) for row in rows]
    found = day_pictures(session, event, make.FIRST_DAY, starts, 30.0, at=at)
    assert [one.strung for one in found.hours] == [row.strung for row in rows]
    # 09 h: 1 to 4 came, 1, 2 and 3 strung; 4 was needed by 10:00, which is no time past at 10:00.
    assert [(one.waiting, one.late) for one in found.hours] == [
        *((1, 0), (0, 0), (0, 0), (1, 0), (0, 0), (0, 0), (0, 0), (1, 0)),
    ]
    assert found.hours[-1].waiting == report.summary.carried_over
    # Two stringers on shift the whole hour, 30 minutes each racquet: four an hour.
    assert {one.can_do for one in found.hours} == {4.0}


def test_string_left_is_told_in_days_of_mean_use(session):
    event = make.make_event(session, days=2)
    ten_jobs(session, event)
    found = day_pictures(session, event, make.FIRST_DAY, [], 30.0, at=make.moment("Mon 22:00"))
    (one,) = found.strings
    assert 0 < one.days < 2  # 96 m left, some 100 m a day
