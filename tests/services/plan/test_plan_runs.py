"""Plans kept: what was taken up meanwhile, old plans, and the same plan again."""

import pytest
from sqlalchemy import func, select

from desk.models import Assignment, Event, PlanRun
from desk.models.database import Database
from desk.services.bench import jobs
from desk.services.plan import plan_runs
from desk.services.plan.planning import Effort, plan_event, read_moment, solve
from tests import make
from tests.services.plan.planned_event import NOW, QUICK, begin, filled, places
from tests.services.small_desk import ALL_CHECKED


@pytest.mark.parametrize("is_finished", [True, False], ids=["finished", "begun"])
def test_a_plan_of_an_older_state_leaves_what_was_taken_up_meanwhile_where_it_is(
    database: Database, is_finished: bool
) -> None:
    event_id, job_ids = filled(database, 2)
    with database.writing() as session:
        moment = read_moment(session, event_id, NOW.at)
    plan, reasons = solve(moment, QUICK)
    with database.writing() as session:
        begin(session, event_id, job_ids[0])
        if is_finished:
            jobs.finish_job(session, event_id, job_ids[0], ALL_CHECKED, acting=make.acting("Mon 10:20"))
    with database.writing() as session:
        plan_runs.store_plan(session, event_id, moment, plan, reasons, at=NOW.at)
        assert plan_runs.needs_plan(session, session.get_one(Event, event_id), NOW.at)
    assert sorted(places(database, event_id)) == job_ids[1:]


def test_old_runs_lose_their_assignments_and_keep_their_row(database: Database) -> None:
    event_id, _ = filled(database, 1)
    for _ in range(plan_runs.KEPT_RUNS + 3):
        plan_event(database, event_id, at=NOW.at, effort=Effort(seconds=0.02))
    with database.reading() as session:
        runs = session.scalar(select(func.count()).select_from(PlanRun))
        with_rows = session.scalar(select(func.count(func.distinct(Assignment.run_id))))
    assert (runs, with_rows) == (plan_runs.KEPT_RUNS + 3, plan_runs.KEPT_RUNS)


def test_the_same_plan_again_leaves_the_screens_alone(database: Database) -> None:
    event_id, _ = filled(database)
    plan_event(database, event_id, at=NOW.at, effort=Effort(seconds=1, steps=200))
    with database.reading() as session:
        before = session.get_one(Event, event_id).revision
    plan_event(database, event_id, at=NOW.at, effort=Effort(seconds=1, steps=200))
    with database.reading() as session:
        assert session.get_one(Event, event_id).revision == before
