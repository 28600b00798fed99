"""A promise that will more likely break than hold is told anew in time, and one that can be kept much sooner."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Assignment, Job, PlanRun, Promise
from desk.queries.promise.bending import bending_promises
from desk.services.bench import jobs
from desk.services.promise.telling import tell_new_time, tell_new_times
from desk.services.team import team
from desk.trade.bench.promise import tell
from tests import make
from tests.services.small_desk import SmallDesk

NOW = make.moment("Mon 12:00")


def _planned(session: Session, desk: SmallDesk, *, ends: str, promised: str) -> Job:
    job = make.make_job(session, desk.player, racquet=desk.racquets[0])
    job.promises.append(Promise(ready_at=make.moment(promised), given_at=NOW, by="desk"))
    values = {"status": "feasible", "total": 0, "bound": 0, "seconds": 0.1, "costs": {}, "unplaced": [], "reasons": {}}
    run = PlanRun(event_id=desk.event.id, made_at=NOW, change_number=1, **values)
    session.add(run)
    session.flush()
    desk.event.current_run_id = run.id
    end: datetime = make.moment(ends)
    place = {"start_at": end - timedelta(minutes=22), "end_at": end}
    session.add(Assignment(run_id=run.id, job_id=job.id, **desk.bench(), **place))
    session.flush()
    return job


def test_a_promise_that_is_likely_to_hold_is_left_alone(session: Session, desk: SmallDesk) -> None:
    _planned(session, desk, ends="Mon 12:50", promised="Mon 13:00")
    assert bending_promises(session, desk.event, NOW) == []


@pytest.mark.parametrize(("promised", "is_lost"), [("Mon 12:21", True), ("Mon 12:22", False)])
def test_one_that_begun_now_would_still_break_is_lost(
    session: Session, desk: SmallDesk, promised: str, is_lost: bool
) -> None:
    _planned(session, desk, ends="Mon 14:20", promised=promised)
    (row,) = bending_promises(session, desk.event, NOW)
    assert row.is_lost is is_lost


def test_no_time_is_told_of_one_on_the_machine_of_somebody_who_is_away(session: Session, desk: SmallDesk) -> None:
    job, first = _planned(session, desk, ends="Mon 14:20", promised="Mon 14:00"), desk.stringers[0]
    jobs.start_job(session, desk.event.id, job.id, acting=make.acting("Mon 12:00"), **desk.bench())
    assert len(bending_promises(session, desk.event, NOW)) == 1
    team.call_in_absent(session, desk.event.id, first.id, acting=make.acting("Mon 12:00"), reason="sick")
    assert bending_promises(session, desk.event, NOW) == []


def test_one_that_will_more_likely_break_is_seen_at_once_with_the_time_to_tell(
    session: Session, desk: SmallDesk
) -> None:
    job = _planned(session, desk, ends="Mon 14:20", promised="Mon 14:00")
    (row,) = bending_promises(session, desk.event, NOW)
    assert not row.is_sooner
    assert row.tell_at > make.moment("Mon 14:20") > row.promised_at
    given = tell_new_time(session, desk.event.id, job.id, acting=make.acting())
    assert (given.ready_at, given.reason) == (row.tell_at, "it takes longer than we thought")
    with pytest.raises(Conflict, match="holds again"):
        tell_new_time(session, desk.event.id, job.id, acting=make.acting())


def test_one_that_can_be_an_hour_sooner_says_so(session: Session, desk: SmallDesk) -> None:
    _planned(session, desk, ends="Mon 12:30", promised="Mon 15:00")
    (row,) = bending_promises(session, desk.event, NOW)
    assert row.is_sooner and row.tell_at <= make.moment("Mon 14:00")


def test_an_hour_exactly_is_sooner_and_a_minute_less_is_not(session: Session, desk: SmallDesk) -> None:
    job = _planned(session, desk, ends="Mon 12:30", promised="Mon 15:00")
    (row,) = bending_promises(session, desk.event, NOW)
    job.promises[0].ready_at = row.tell_at + timedelta(minutes=60)
    session.flush()
    assert [one.tell_at for one in bending_promises(session, desk.event, NOW)] == [row.tell_at]
    job.promises[0].ready_at = row.tell_at + timedelta(minutes=59)
    session.flush()
    assert bending_promises(session, desk.event, NOW) == []


def test_the_desk_tells_by_itself_only_where_the_event_asks_for_it(session: Session, desk: SmallDesk) -> None:
    job = _planned(session, desk, ends="Mon 14:20", promised="Mon 14:00")
    assert tell_new_times(session, desk.event, acting=make.acting()) == []
    desk.event.tells_new_times = True
    assert [promise.job_id for promise in tell_new_times(session, desk.event, acting=make.acting())] == [job.id]
    assert tell_new_times(session, desk.event, acting=make.acting()) == []


def test_the_pad_of_one_from_the_court_is_not_that_of_others() -> None:
    plain = tell(NOW, jobs_ahead=1, minutes=15, needed_by_at=NOW)
    court = tell(NOW, jobs_ahead=1, minutes=15, needed_by_at=NOW, on_court=True)
    assert court.margin_minutes < plain.margin_minutes
