"""Planning in the loop: records become a workload, and a plan is put in force."""

from datetime import timedelta

from sqlalchemy import select

from desk.models import Event, Machine, Stringer
from desk.models.database import Database
from desk.queries.plan.plan_board import plan_board
from desk.queries.plan.workloads import build_moment
from desk.services.bench import jobs
from desk.services.machines import machines
from desk.services.plan.planning import plan_event, read_moment, solve
from desk.services.team import team
from solver import check_plan
from tests import make
from tests.services.plan.planned_event import NOW, QUICK, begin, filled, first_bench, places
from tests.services.small_desk import small_desk


def test_every_waiting_racquet_is_planned_by_the_rules(any_database: Database) -> None:
    event_id, job_ids = filled(any_database)
    with any_database.writing() as session:
        moment = read_moment(session, event_id, NOW.at)
    plan, _ = solve(moment, QUICK)
    assert check_plan(moment.workload, plan) == []
    plan_event(any_database, event_id, at=NOW.at, effort=QUICK)
    assert sorted(places(any_database, event_id)) == sorted(job_ids)


def test_one_player_stays_with_one_stringer(database: Database) -> None:
    event_id, _ = filled(database)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    assert len({row.stringer_id for row in places(database, event_id).values()}) == 1


def test_a_started_racquet_stands_in_every_later_plan(database: Database) -> None:
    event_id, _ = filled(database)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    first = min(places(database, event_id).values(), key=lambda row: row.start_at)
    with database.writing() as session:
        jobs.start_job(
            session,
            event_id,
            first.job_id,
            acting=NOW,
            stringer_id=first.stringer_id,
            machine_id=first.machine_id,
        )
    plan_event(database, event_id, at=NOW.at + timedelta(minutes=5), effort=QUICK)
    again = places(database, event_id)[first.job_id]
    assert (again.stringer_id, again.machine_id, again.start_at) == (first.stringer_id, first.machine_id, NOW.at)


def test_a_racquet_that_takes_longer_is_never_planned_to_be_done_in_the_past(database: Database) -> None:
    event_id, job_ids = filled(database, 1)
    with database.writing() as session:
        begin(session, event_id, job_ids[0])
        moment = build_moment(session, session.get_one(Event, event_id), NOW.at + timedelta(hours=1))
    assert moment.workload.jobs[0].started.end > moment.workload.now


def test_a_held_racquet_is_left_out(database: Database) -> None:
    event_id, job_ids = filled(database)
    with database.writing() as session:
        jobs.hold_job(session, event_id, job_ids[0], "crack", acting=NOW)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    assert sorted(places(database, event_id)) == sorted(job_ids[1:])


def test_a_sick_stringer_and_a_dead_machine_get_nothing(database: Database) -> None:
    event_id, _ = filled(database)
    with database.writing() as session:
        stringer = first_bench(session, event_id)["stringer_id"]
        second = session.scalars(
            select(Machine.id).where(Machine.event_id == event_id).order_by(Machine.id.desc())
        ).first()
        team.call_in_absent(session, event_id, stringer, acting=NOW, reason="sick")
        machines.take_out_of_service(session, event_id, second, acting=NOW, reason="motor")
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    found = places(database, event_id).values()
    assert found
    assert all(row.stringer_id != stringer and row.machine_id != second for row in found)


def test_nobody_at_work_leaves_racquets_unplaced_with_the_reason(database: Database) -> None:
    event_id, job_ids = filled(database, 1)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        for stringer in session.scalars(select(Stringer.id).where(Stringer.event_id == event.id)):
            team.call_in_absent(session, event_id, stringer, acting=NOW, reason="sick")
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    with database.reading() as session:
        board = plan_board(session, session.get_one(Event, event_id), NOW.at)
    assert [line.job_id for line in board.wrong] == job_ids
    assert "Nobody who may take it works" in board.wrong[0].sentence


def test_a_racquet_becomes_ready_in_the_first_whole_minute_after_it_came(database: Database) -> None:
    # Common practice: a plan by the minute may not begin a racquet before it lies on the counter.
    seconds = {0: 600, 1: 601, 30: 601, 59: 601}
    with database.writing() as session:
        event = small_desk(session).event
        for second in seconds:
            dropped_at = NOW.at + timedelta(seconds=second)
            make.make_job(session, make.make_player(session, event), dropped_at=dropped_at, weight=second + 1)
        workload = build_moment(session, event, NOW.at + timedelta(minutes=5)).workload
    assert {job.weight - 1: job.ready_from for job in workload.jobs} == seconds
