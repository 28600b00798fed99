"""What is quoted at the counter stands in the next plan: a promise just given does not break while nothing happens."""

from datetime import timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk import models
from desk.models import Event, Job, PlanRun
from desk.models.database import Database
from desk.queries.promise.bending import bending_promises
from desk.queries.promise.promises import promises_about_to_break
from desk.queries.promise.quotes import _with_place
from desk.services.counter.court_calls import call_to_court
from desk.services.counter.drop_offs import take_drop_off
from desk.services.plan.planning import Effort, plan_event
from desk.trade.bench.promise import tell
from solver import Assignment, Plan, Sooner
from tests import make
from tests.services.small_desk import SmallDesk, small_desk

PLANNED = make.moment("Mon 10:00")
QUICK = Effort(steps=2000)
A_MINUTE = timedelta(minutes=1)
"""Passes between the drop-off and the plan, while nobody begins anything."""


def _queue(session: Session, desk: SmallDesk, count: int) -> None:
    """Add racquets of others that wait, needed at 11:30, whose own stringer is the second one."""
    for _ in range(count):
        player = make.make_player(session, desk.event, own_stringer_id=desk.stringers[1].id)
        needed = {"needed_by_kind": "time", "needed_by_at": make.moment("Mon 11:30"), "weight": 10}
        make.make_job(session, player, racquet=make.make_racquet(session, player, frame=desk.frame), **needed)


def _take(database: Database, desk: SmallDesk, minutes: int, **over: object) -> Job:
    """Take a racquet in MINUTES after the plan, and plan a minute later."""
    at = PLANNED + timedelta(minutes=minutes)
    acting = make.acting(f"Mon 10:{minutes:02d}")
    with database.writing() as session:
        (job,) = take_drop_off(session, desk.event.id, desk.form(desk.racquet_form(**over)), acting=acting).jobs
        _ = job.promises
    plan_event(database, desk.event.id, at=at + timedelta(minutes=1), effort=QUICK)
    return job


def _shown(database: Database, event_id: int, job: Job, at) -> tuple[bool, bool]:
    with database.reading() as session:
        event = session.get_one(Event, event_id)
        bends = any(one.job_id == job.id and not one.is_sooner for one in bending_promises(session, event, at))
        return bends, any(one.job_id == job.id for one in promises_about_to_break(session, event, at))


def _place(database: Database, job: Job) -> models.Assignment:
    with database.reading() as session:
        found = select(models.Assignment).join(Event, Event.current_run_id == models.Assignment.run_id)
        return session.scalars(found.where(models.Assignment.job_id == job.id)).one()


def test_a_player_without_a_racquet_here_is_quoted_with_the_own_stringer_as_the_next_plan_has_it(
    database: Database,
) -> None:
    with database.writing() as session:
        desk = small_desk(session)
        desk.player.own_stringer_id = desk.stringers[1].id
        _queue(session, desk, 4)
    plan_event(database, desk.event.id, at=PLANNED, effort=QUICK)
    job = _take(database, desk, 1, needed_by_kind="none")
    place = _place(database, job)
    assert place.stringer_id == desk.stringers[1].id
    assert place.end_at <= job.promises[0].planned_end_at + A_MINUTE
    assert _shown(database, desk.event.id, job, PLANNED + timedelta(minutes=2)) == (False, False)


@pytest.mark.parametrize("minutes", [1, 4, 25])
def test_a_quote_counts_that_what_was_to_begin_has_not_begun(database: Database, minutes: int) -> None:
    with database.writing() as session:
        desk = small_desk(session)
        desk.player.own_stringer_id = desk.stringers[1].id
        _queue(session, desk, 3)
    plan_event(database, desk.event.id, at=PLANNED, effort=QUICK)
    job = _take(database, desk, minutes, needed_by_kind="none")
    assert _place(database, job).end_at <= job.promises[0].planned_end_at + A_MINUTE
    assert _shown(database, desk.event.id, job, PLANNED + timedelta(minutes=minutes + 1)) == (False, False)


@pytest.mark.parametrize("correction", [0.5, 1.0, 3.0])
@pytest.mark.parametrize("jobs_ahead", [0, 3, 12])
def test_no_time_is_told_that_would_more_likely_break_than_hold(correction: float, jobs_ahead: int) -> None:
    told = tell(PLANNED, jobs_ahead=jobs_ahead, minutes=22, needed_by_at=None, correction=correction)
    assert told.planned_end_at <= told.likely_at <= told.ready_at


def test_one_called_for_is_not_held_against_the_plan_from_before(database: Database) -> None:
    with database.writing() as session:
        desk = small_desk(session)
        desk.player.own_stringer_id = desk.stringers[1].id
        _queue(session, desk, 6)
    job = _take(database, desk, 1, needed_by_kind="none")
    with database.writing() as session:
        court, other = make.make_court(session, desk.event), make.make_player(session, desk.event)
        event = session.get_one(Event, desk.event.id)
        about = {"state": "on_court", "started_at": PLANNED}
        player = session.get_one(Job, job.id).player
        make.make_match(session, court, day=event.days[0], players=[player, other], start="at 10:00", **about)
        call_to_court(session, event.id, job.id, acting=make.acting("Mon 10:03"))
        assert session.get_one(Job, job.id).promised_at < _place(database, job).end_at
    assert _shown(database, desk.event.id, job, make.moment("Mon 10:03")) == (False, False)


def test_one_from_the_court_is_told_its_time_also_where_the_day_is_full(database: Database) -> None:
    with database.writing() as session:
        desk = small_desk(session)
        make.make_reel(session, desk.string, metres=9_000)
        _queue(session, desk, 250)
    plan_event(database, desk.event.id, at=PLANNED, effort=QUICK)
    job = _take(database, desk, 1, on_court=True)
    assert job.promised_at is not None
    assert _place(database, job).end_at <= job.promised_at
    with database.reading() as session:
        run = session.get_one(PlanRun, session.get_one(Event, desk.event.id).current_run_id)
        assert run.unplaced


def test_what_a_quote_leaves_out_is_in_nobodys_way() -> None:
    """The next racquet of the visit is placed in the plan without it."""
    old, new = (Assignment(job=job, stringer="S", machine="M", start=0, end=20) for job in ("J1", "new"))
    best = Sooner(place=new, moved=(), price=1, breaks=("J1",), left_out=("J1",))
    plan = _with_place(Plan(status="feasible", assignments=(old,), costs={}), best)
    assert (plan.assignments, plan.unplaced) == ((new,), ("J1",))
