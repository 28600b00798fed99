"""Expected is not a fact: planned with, but nothing starts before somebody says that it is back."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event
from desk.models.database import Database
from desk.queries.plan.expected_ends import overdue
from desk.queries.plan.workloads import build_moment
from desk.services.bench import jobs
from desk.services.machines import machines
from desk.services.plan.plan_runs import needs_plan
from desk.services.plan.planning import Effort, plan_event
from desk.services.play.play_stops import resume_play, stop_play
from desk.services.team import team
from desk.trade.play.expected import still_expected
from tests import make
from tests.services.play.match_day import MatchDay
from tests.services.small_desk import SmallDesk, small_desk

moment, acting = make.moment, make.acting


@pytest.mark.parametrize(
    ("now", "counted"), [("15:59", "16:00"), ("16:00", "16:15"), ("16:14", "16:15"), ("16:15", "16:30")]
)
def test_an_expectation_moves_on_by_quarters_of_an_hour(now: str, counted: str) -> None:
    assert still_expected(moment("Mon 16:00"), moment(f"Mon {now}")) == moment(f"Mon {counted}")


def _windows(session: Session, desk: SmallDesk, at: str) -> tuple[list, list]:
    found = build_moment(session, desk.event, moment(at))
    stringer = found.workload.stringer_by_id[desk.stringers[0].code].windows
    machine = found.workload.machine_by_id[desk.machines[0].code].windows
    return [found.clock.hhmm(start) for start, _ in stringer], [found.clock.hhmm(start) for start, _ in machine or ()]


def test_the_plan_counts_with_it_until_it_has_passed_and_then_a_little_later(session: Session, desk: SmallDesk) -> None:
    machine, stringer = desk.machines[0], desk.stringers[0]
    back = {"back_at": moment("Mon 16:00")}
    machines.take_out_of_service(session, desk.event.id, machine.id, acting=acting(), reason="belt", **back)
    team.call_in_absent(session, desk.event.id, stringer.id, acting=acting(), **back)
    assert _windows(session, desk, "Mon 15:00")[0][0] == "16:00"
    assert _windows(session, desk, "Mon 16:10")[0][0] == "16:15"
    assert _windows(session, desk, "Mon 16:10")[1][0] == "16:15"


def test_nothing_starts_on_what_is_not_back(session: Session, desk: SmallDesk) -> None:
    job = make.make_job(session, desk.player, racquet=desk.racquets[0])
    start = {"event_id": desk.event.id, "job_id": job.id, "acting": acting("Mon 16:30"), **desk.bench()}
    machines.take_out_of_service(
        session, desk.event.id, desk.machines[0].id, acting=acting(), reason="belt", back_at=moment("Mon 16:00")
    )
    with pytest.raises(Conflict, match="Out of service"):
        jobs.start_job(session, **start)
    machines.put_back_in_service(session, desk.event.id, desk.machines[0].id, acting=acting("Mon 16:31"))
    team.call_in_absent(session, desk.event.id, desk.stringers[0].id, acting=acting(), back_at=moment("Mon 14:00"))
    with pytest.raises(Conflict, match="marked as away"):
        jobs.start_job(session, **(start | {"acting": acting("Mon 16:32")}))
    team.back_at_work(session, desk.event.id, desk.stringers[0].id, acting=acting("Mon 16:33"))
    assert jobs.start_job(session, **(start | {"acting": acting("Mon 16:34")})).state == "on_machine"


def test_a_plan_is_made_anew_when_somebody_was_expected_and_nobody_said_so(database: Database) -> None:
    def needed(text: str) -> bool:
        at: datetime = moment(text)
        with database.reading() as session:
            return needs_plan(session, session.get_one(Event, event_id), at)

    with database.writing() as session:
        desk = small_desk(session)
        event_id = desk.event.id
        team.call_in_absent(session, event_id, desk.stringers[0].id, acting=acting(), back_at=moment("Mon 14:00"))
    effort = Effort(seconds=5, steps=50)
    plan_event(database, event_id, at=moment("Mon 13:00"), effort=effort)
    assert (needed("Mon 13:59"), needed("Mon 14:00")) == (False, True)
    plan_event(database, event_id, at=moment("Mon 14:00"), effort=effort)
    assert (needed("Mon 14:14"), needed("Mon 14:15")) == (False, True)


def test_rain_moves_the_needed_by_times_on_until_a_match_is_played(session: Session) -> None:
    day = MatchDay(session)
    job = day.job(day.a)
    stop_play(session, day.event.id, acting=acting("Mon 10:30"))
    resume_play(session, day.event.id, acting=acting("Mon 10:31"), resumes_at=moment("Mon 12:00"))
    needed = []
    for at in ("Mon 11:59", "Mon 12:00", "Mon 12:14", "Mon 12:15"):
        day.refresh(at)
        needed.append(job.needed_by_at)
    quarter = timedelta(minutes=15)
    assert [one - needed[0] for one in needed] == [0 * quarter, quarter, quarter, 2 * quarter]
    assert [(one.kind, one.at, one.counted_at) for one in overdue(session, day.event, moment("Mon 12:20"))] == [
        ("play", moment("Mon 12:00"), moment("Mon 12:30"))
    ]
    day.start(day.first, "Mon 12:21")
    assert overdue(session, day.event, moment("Mon 12:40")) == []


def test_who_was_to_be_back_is_named_until_somebody_says_so(session: Session, desk: SmallDesk) -> None:
    machine, stringer = desk.machines[0], desk.stringers[0]
    out = {"reason": "belt", "back_at": moment("Mon 16:00")}
    machines.take_out_of_service(session, desk.event.id, machine.id, acting=acting(), **out)
    team.call_in_absent(session, desk.event.id, stringer.id, acting=acting(), back_at=moment("Mon 15:50"))
    assert overdue(session, desk.event, moment("Mon 15:49")) == []
    found = overdue(session, desk.event, moment("Mon 16:01"))
    assert [(one.kind, one.subject_id) for one in found] == [("stringer", stringer.id), ("machine", machine.id)]
    machines.put_back_in_service(session, desk.event.id, machine.id, acting=acting("Mon 16:02"))
    team.back_at_work(session, desk.event.id, stringer.id, acting=acting("Mon 16:02"))
    assert overdue(session, desk.event, moment("Mon 16:03")) == []
