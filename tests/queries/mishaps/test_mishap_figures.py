"""What went wrong on the usage sheet: by kind, by reel and by machine, added up by hand."""

from dataclasses import astuple

from sqlalchemy.orm import Session

from desk.queries.close import usage_report
from desk.services.mishaps.mishaps import MishapForm, close_mishap, report_mishap
from tests import make
from tests.services.mishaps.strung_visit import acting, strung
from tests.services.small_desk import small_desk


def test_the_sheet_counts_by_kind_by_reel_and_by_machine(session: Session) -> None:
    """Three strung from one reel on one machine: two broke, one of them anew and closed; a tag was lost."""
    desk = small_desk(session)
    first, second, third = strung(session, desk, 3)
    broke = MishapForm(kind="string_broke", again=True)
    mishap = report_mishap(session, desk.event.id, first.id, broke, acting=acting("14:00"))
    close_mishap(session, desk.event.id, mishap.id, "strung anew", acting=acting("15:00"))
    report_mishap(session, desk.event.id, second.id, MishapForm(kind="string_broke"), acting=acting("14:10"))
    report_mishap(session, desk.event.id, third.id, MishapForm(kind="tag_lost"), acting=acting("14:20"))
    report = usage_report(session, desk.event, make.FIRST_DAY, at=make.moment("Mon 22:00"))
    reel = f"{desk.reel.code}, {report.jobs[0].mains}"
    # group, name, noted, still open, strung anew, so far, of racquets, often (two of one reel)
    assert [astuple(row) for row in report.mishaps] == [
        ("kind", "The string broke", 2, 1, 1, 2, 3, False),
        ("kind", "The tag is lost", 1, 1, 0, 1, 3, False),
        ("reel", reel, 2, 1, 1, 2, 3, True),
        ("machine", desk.machines[0].name, 2, 1, 1, 2, 3, False),
    ]
    assert report.summary.mishaps == 3
    assert not [row.figure for row in report.cross_checks if row.differs]


def test_a_day_counts_what_was_noted_on_it_beside_what_came_before(session: Session) -> None:
    desk = small_desk(session)
    (job,) = strung(session, desk, 1)
    report_mishap(session, desk.event.id, job.id, MishapForm(kind="wrong_tension"), acting=acting("14:00"))
    tuesday = make.moment("Tue 12:00")
    report = usage_report(session, desk.event, desk.event.days[1].date, at=tuesday)
    # nothing was noted on Tuesday; a wrong tension says nothing about a reel
    counted = [(row.group, row.noted, row.so_far, row.racquets) for row in report.mishaps]
    assert counted == [("kind", 0, 1, 1), ("machine", 0, 1, 1)]
    assert report.summary.mishaps == 0
