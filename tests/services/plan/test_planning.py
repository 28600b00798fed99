"""Planning in the loop: records become a workload, a plan is put in force, changes ask for the next one."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Assignment, Event, Job, Machine, PlanRun, Stringer
from desk.models.database import Database
from desk.planner import Planner
from desk.queries.plan.plan_board import plan_board
from desk.queries.plan.workloads import build_moment
from desk.services.bench import jobs
from desk.services.counter.drop_offs import take_drop_off
from desk.services.machines import machines
from desk.services.plan import hand_moves, leases, plan_runs, what_if
from desk.services.plan.planning import Effort, plan_event, read_moment, solve
from desk.services.team import team
from solver import check_plan
from tests import make
from tests.services.small_desk import ALL_CHECKED, small_desk

NOW = make.acting("Mon 10:00")
QUICK = Effort(seconds=0.2)


def filled(database: Database, racquets: int = 3) -> tuple[int, list[int]]:
    """Return an event with that many racquets of one player, and their jobs' ids."""
    with database.writing() as session:
        desk = small_desk(session)
        form = desk.form(*(desk.racquet_form(number) for number in range(racquets)))
        visit = take_drop_off(session, desk.event.id, form, acting=NOW)
        return desk.event.id, [job.id for job in visit.jobs]


def places(database: Database, event_id: int) -> dict[int, Assignment]:
    with database.reading() as session:
        event = session.get_one(Event, event_id)
        rows = session.scalars(select(Assignment).where(Assignment.run_id == event.current_run_id))
        return {row.job_id: row for row in rows}


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
        event = session.get_one(Event, event_id)
        stringer, machine = _bench(session, event)
        jobs.start_job(session, event_id, job_ids[0], acting=NOW, stringer_id=stringer, machine_id=machine)
        late = NOW.at + timedelta(hours=1)
        moment = build_moment(session, event, late)
    assert moment.workload.jobs[0].started.end > moment.workload.now


def _bench(session: Session, event: Event) -> tuple[int, int]:
    stringer = session.scalars(select(Stringer.id).where(Stringer.event_id == event.id)).first()
    machine = session.scalars(select(Machine.id).where(Machine.event_id == event.id)).first()
    return stringer, machine


def test_a_pinned_racquet_obeys(database: Database) -> None:
    event_id, job_ids = filled(database)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringers = session.scalars(select(Stringer.id).where(Stringer.event_id == event.id)).all()
        for number, job_id in enumerate(job_ids):
            hand_moves.pin_job(
                session, event_id, job_id, stringer_id=stringers[number % 2], machine_id=None, acting=NOW
            )
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    found = places(database, event_id)
    assert [found[job_id].stringer_id for job_id in job_ids] == [stringers[0], stringers[1], stringers[0]]


def test_a_held_racquet_is_left_out(database: Database) -> None:
    event_id, job_ids = filled(database)
    with database.writing() as session:
        jobs.hold_job(session, event_id, job_ids[0], "crack", acting=NOW)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    assert sorted(places(database, event_id)) == sorted(job_ids[1:])


def test_a_sick_stringer_and_a_dead_machine_get_nothing(database: Database) -> None:
    event_id, _ = filled(database)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringer, _ = _bench(session, event)
        second = session.scalars(
            select(Machine.id).where(Machine.event_id == event.id).order_by(Machine.id.desc())
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


def test_a_plan_of_an_older_state_does_not_bring_back_what_was_finished(database: Database) -> None:
    event_id, job_ids = filled(database, 2)
    with database.writing() as session:
        moment = read_moment(session, event_id, NOW.at)
    plan, reasons = solve(moment, QUICK)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringer, machine = _bench(session, event)
        jobs.start_job(session, event_id, job_ids[0], acting=NOW, stringer_id=stringer, machine_id=machine)
        jobs.finish_job(session, event_id, job_ids[0], ALL_CHECKED, acting=make.acting("Mon 10:20"))
    with database.writing() as session:
        plan_runs.store_plan(session, event_id, moment, plan, reasons, at=NOW.at)
        assert plan_runs.needs_plan(session, session.get_one(Event, event_id), NOW.at)
    assert sorted(places(database, event_id)) == job_ids[1:]


def test_a_plan_of_an_older_state_leaves_a_racquet_that_was_started_meanwhile_where_it_is(database: Database) -> None:
    event_id, job_ids = filled(database, 2)
    with database.writing() as session:
        moment = read_moment(session, event_id, NOW.at)
    plan, reasons = solve(moment, QUICK)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringer, machine = _bench(session, event)
        jobs.start_job(session, event_id, job_ids[0], acting=NOW, stringer_id=stringer, machine_id=machine)
    with database.writing() as session:
        plan_runs.store_plan(session, event_id, moment, plan, reasons, at=NOW.at)
        assert plan_runs.needs_plan(session, session.get_one(Event, event_id), NOW.at)
    assert sorted(places(database, event_id)) == job_ids[1:]


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


def test_a_second_planner_does_not_get_the_event(any_database: Database) -> None:
    event_id, _ = filled(any_database, 1)
    now = datetime(2031, 5, 12, tzinfo=UTC)

    def take(holder: str, at: datetime) -> bool:
        with any_database.writing() as session:
            return leases.take_lease(session, event_id, holder, real_now=at, seconds=10)

    assert take("first", now)
    assert not take("second", now + timedelta(seconds=5))
    assert take("first", now + timedelta(seconds=5))
    assert take("second", now + timedelta(seconds=16))


def test_the_planner_plans_what_changed_and_then_rests(any_database: Database) -> None:
    event_id, job_ids = filled(any_database, 2)
    with any_database.writing() as session:
        make.set_clock(session.get_one(Event, event_id), "Mon 10:00")
    planner = Planner(any_database, QUICK)
    assert planner.run_once()
    assert sorted(places(any_database, event_id)) == sorted(job_ids)
    assert not planner.run_once()


def test_another_planner_goes_on_when_the_first_is_gone(database: Database) -> None:
    event_id, _ = filled(database, 1)
    with database.writing() as session:
        make.set_clock(session.get_one(Event, event_id), "Mon 10:00")
    first, second = Planner(database, QUICK), Planner(database, QUICK)
    assert first.run_once()
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        event.change_number += 1
    assert not second.run_once()
    first._give_up()
    assert second.run_once()


def test_a_move_shows_before_and_after_and_keeps_nothing(database: Database) -> None:
    event_id, job_ids = filled(database)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    taken = places(database, event_id)[job_ids[0]].stringer_id
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        everybody = session.scalars(select(Stringer.id).where(Stringer.event_id == event.id)).all()
        other = next(one for one in everybody if one != taken)
        judged = hand_moves.judge_move(
            session, event_id, job_ids[0], stringer_id=other, machine_id=None, at=NOW.at, start_at=NOW.at
        )
        own = judged.comparison.own
        names = {one.id: one.name for one in session.scalars(select(Stringer))}
        assert (own.before.stringer, own.after.stringer) == (names[taken], names[other])
        assert (own.after.ready_at, own.racquet.job_id) == (judged.end_at, job_ids[0])
        assert own.racquet.player == "Player 1"
        assert session.get_one(Job, job_ids[0]).pinned_stringer_id is None


def test_a_move_into_a_break_names_the_fault(database: Database) -> None:
    event_id, job_ids = filled(database, 1)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringer, machine = _bench(session, event)
        night = make.moment("Mon 23:00")
        judged = hand_moves.judge_move(
            session, event_id, job_ids[0], stringer_id=stringer, machine_id=machine, at=NOW.at, start_at=night
        )
    assert judged.faults == ("Stringer 1 is not at work then.",)


def test_a_started_racquet_is_not_moved(database: Database) -> None:
    event_id, job_ids = filled(database, 1)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringer, machine = _bench(session, event)
        jobs.start_job(session, event_id, job_ids[0], acting=NOW, stringer_id=stringer, machine_id=machine)
        with pytest.raises(Conflict, match="only a waiting one can be moved"):
            hand_moves.judge_move(session, event_id, job_ids[0], stringer_id=stringer, machine_id=machine, at=NOW.at)


@pytest.mark.slow
def test_what_if_everybody_leaves_answers_and_keeps_nothing(database: Database) -> None:
    event_id, _ = filled(database)
    plan_event(database, event_id, at=NOW.at, effort=QUICK)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        stringer, _ = _bench(session, event)
        before = event.change_number
        supposed = what_if.Supposition(kind="more_racquets", from_at=NOW.at, count=60)
        crowded = what_if.what_if(session, event_id, supposed, at=NOW.at)
        leaves = what_if.Supposition(kind="stringer_leaves", from_at=NOW.at, subject_id=stringer)
        alone = what_if.what_if(session, event_id, leaves, at=NOW.at)
        assert event.change_number == before
    assert crowded.comparison.late_after > crowded.comparison.late_before
    late = [one for one in crowded.comparison.worse if one.after.late_min]
    assert all(one.racquet.player.startswith("Player ") for one in late)
    assert all(one.after.ready_at is not None for one in alone.comparison.worse)
