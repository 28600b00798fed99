"""The reason told with a later time is true: who or what fell away, what came in, or nothing that is not known."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from desk.models import Assignment, Job, PlanRun
from desk.queries.promise.later_why import AWAY, COURT, NOT_KNOWN, OUT
from desk.services.machines import machines
from desk.services.promise.telling import tell_new_times
from desk.services.team import team
from tests import make
from tests.services.small_desk import SmallDesk

NOW, EARLIER, MORNING = make.acting("Mon 12:00"), make.acting("Mon 11:00"), make.acting("Mon 09:30")


@pytest.fixture
def late(session: Session, desk: SmallDesk) -> Job:
    """A racquet told at 10:00 for 14:00, which the plan has at the first bench until 14:20."""
    desk.event.tells_new_times = True
    job = make.make_job(session, desk.player, racquet=desk.racquets[0])
    make.make_promise(session, job.id, "Mon 14:00", given="Mon 10:00")
    values = {"status": "feasible", "total": 0, "bound": 0, "seconds": 0.1, "costs": {}, "unplaced": [], "reasons": {}}
    run = PlanRun(event_id=desk.event.id, made_at=NOW.at, change_number=1, **values)
    session.add(run)
    session.flush()
    desk.event.current_run_id = run.id
    placed(session, desk, job, "Mon 14:20")
    session.refresh(job)
    return job


def placed(session: Session, desk: SmallDesk, job: Job, ends: str, bench: int = 0) -> None:
    end = make.moment(ends)
    place = {"run_id": desk.event.current_run_id, "start_at": end - timedelta(minutes=22), "end_at": end}
    session.add(Assignment(job_id=job.id, **desk.bench(bench), **place))
    session.flush()


def told(session: Session, desk: SmallDesk) -> str:
    (promise,) = [one for one in tell_new_times(session, desk.event, acting=NOW) if one.reason]
    return promise.reason


def from_court(session: Session, desk: SmallDesk, at: str, bench: int = 0) -> None:
    job = make.make_job(session, desk.player, racquet=desk.racquets[1], on_court=True, dropped_at=make.moment(at))
    placed(session, desk, job, "Mon 12:30", bench)


def test_where_nothing_is_known_nothing_is_blamed(session: Session, desk: SmallDesk, late: Job) -> None:
    assert told(session, desk) == NOT_KNOWN


def test_a_stringer_who_fell_sick_since_is_named_as_such(session: Session, desk: SmallDesk, late: Job) -> None:
    team.call_in_absent(session, desk.event.id, desk.stringers[1].id, acting=EARLIER, reason="sick")
    assert told(session, desk) == AWAY


def test_a_machine_that_failed_since_is_named(session: Session, desk: SmallDesk, late: Job) -> None:
    machines.take_out_of_service(session, desk.event.id, desk.machines[1].id, acting=EARLIER, reason="belt")
    assert told(session, desk) == OUT


def test_what_was_known_when_the_time_was_told_or_is_over_is_no_reason(
    session: Session, desk: SmallDesk, late: Job
) -> None:
    team.call_in_absent(session, desk.event.id, desk.stringers[1].id, acting=MORNING, reason="sick")
    machines.take_out_of_service(session, desk.event.id, desk.machines[1].id, acting=EARLIER, reason="belt")
    machines.put_back_in_service(session, desk.event.id, desk.machines[1].id, acting=EARLIER)
    assert told(session, desk) == NOT_KNOWN


@pytest.mark.parametrize(
    ("came", "bench", "reason"),
    [("Mon 11:30", 0, COURT), ("Mon 11:30", 1, NOT_KNOWN), ("Mon 09:30", 0, NOT_KNOWN)],
)
def test_racquets_from_the_court_are_named_where_they_came_since_and_go_before_it(
    session: Session, desk: SmallDesk, late: Job, came: str, bench: int, reason: str
) -> None:
    from_court(session, desk, came, bench)
    assert told(session, desk) == reason
