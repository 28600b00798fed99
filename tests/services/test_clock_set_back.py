"""A server's clock that is set back by an hour between two touches: the later touch is the newer one, and work goes on.

What came later is told by the numbers of rows. For every table that is only added to, the second of two rows that
were written with the clock an hour back is the one that counts.
"""

from dataclasses import replace

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

import solver
from desk.models import Event, Job, Match, PlanRun
from desk.models.database import Database
from desk.queries.counter.pickup import last_given
from desk.queries.home.log import log_lines
from desk.queries.mishaps.shift import notes
from desk.queries.money.player_totals import player_totals
from desk.queries.play.play_records import play_matches, play_stops, read_play
from desk.queries.promise.promises_so_far import promises_so_far
from desk.queries.string.store import balances
from desk.queries.team.team import absence_at, windows_of
from desk.services.bench import jobs, undo
from desk.services.counter.drop_offs import take_drop_off
from desk.services.counter.handovers import hand_over
from desk.services.mishaps.shift_notes import hand_shift_over
from desk.services.money.charges import add_charge
from desk.services.plan.planning import Effort, plan_event, read_moment, solve
from desk.services.play import play
from desk.services.play import play_stops as stops
from desk.services.promise.promises import current_promise, renew_promise
from desk.services.string import store
from desk.services.team import team
from tests import make
from tests.services.clock_set_back import AFTER, BEFORE, string
from tests.services.small_desk import ALL_CHECKED, SmallDesk, small_desk

QUICK = Effort(seconds=0.2, steps=200)


@pytest.fixture
def session(any_session: Session) -> Session:
    """On both databases: each numbers rows in its own way."""
    return any_session


def test_a_stringer_who_is_away_stays_away_until_somebody_says_otherwise(session: Session, desk: SmallDesk) -> None:
    one = desk.stringers[0]
    team.call_in_absent(session, desk.event.id, one.id, acting=BEFORE)
    assert absence_at(one, AFTER.at) is not None
    assert not any(start <= AFTER.at < end for start, end in windows_of(one, AFTER.at))
    team.back_at_work(session, desk.event.id, one.id, acting=AFTER)
    assert absence_at(one, AFTER.at) is absence_at(one, BEFORE.at) is None
    assert any(start <= AFTER.at < end for start, end in windows_of(one, AFTER.at))


def test_an_absence_to_come_does_not_hold_yet(session: Session, desk: SmallDesk) -> None:
    one = desk.stringers[0]
    team.call_in_absent(session, desk.event.id, one.id, acting=AFTER, from_at=BEFORE.at)
    assert absence_at(one, AFTER.at) is None and absence_at(one, BEFORE.at) is not None


@pytest.fixture
def match(session: Session, desk: SmallDesk) -> Match:
    court = make.make_court(session, desk.event)
    other = make.make_player(session, desk.event)
    return make.make_match(session, court, day=desk.event.days[0], players=(desk.player, other), start="at 11:00")


def test_play_that_was_stopped_stands_still_and_goes_on(session: Session, desk: SmallDesk, match: Match) -> None:
    play.start_match(session, desk.event.id, match.id, acting=make.acting("Mon 11:00"))
    stops.stop_play(session, desk.event.id, acting=BEFORE)
    records = read_play(session, desk.event)
    stop = records.stop_at(AFTER.at)
    assert stop is not None
    assert play_stops(records, AFTER.at)[0].from_min <= records.clock.to_minutes(AFTER.at)
    stops.resume_play(session, desk.event.id, acting=AFTER)
    session.expire_all()
    records = read_play(session, desk.event)
    assert (records.stop_at(AFTER.at), records.awaited_stop(AFTER.at)) == (None, None)
    assert [one.paused_min for one in play_matches(records, records.clock.to_minutes(AFTER.at))] == [0]
    stops.stop_play(session, desk.event.id, acting=AFTER)
    assert read_play(session, desk.event).stop_at(AFTER.at) is not None


def test_the_later_change_of_a_match_is_taken_back(session: Session, desk: SmallDesk, match: Match) -> None:
    play.start_match(session, desk.event.id, match.id, acting=BEFORE)
    play.finish_match(session, desk.event.id, match.id, acting=AFTER)
    play.undo_last_change(session, desk.event.id, match.id, acting=AFTER)
    assert match.state == "on_court"


def test_the_later_change_of_a_racquet_is_taken_back(session: Session, desk: SmallDesk, job: Job) -> None:
    string(session, desk, job, BEFORE, AFTER)
    undo.undo_last(session, desk.event.id, job.id, acting=AFTER)
    assert job.state == "on_machine"


def test_the_later_promise_is_the_one_that_was_told(session: Session, desk: SmallDesk, job: Job) -> None:
    for acting, told in ((BEFORE, "Mon 14:00"), (AFTER, "Mon 15:00")):
        renew_promise(session, desk.event.id, job.id, acting=acting, ready_at=make.moment(told))
    session.expire_all()
    promise = current_promise(job)
    assert promise is not None and promise.ready_at == job.promised_at == make.moment("Mon 15:00")
    assert session.scalar(select(Job.promised_at).where(Job.id == job.id)) == make.moment("Mon 15:00")


def test_a_reel_holds_the_sum_of_its_entries(session: Session, desk: SmallDesk) -> None:
    for acting, metres in ((BEFORE, 10.0), (AFTER, 5.0)):
        store.correct_reel(session, desk.event.id, desk.reel.id, metres, acting=acting, note="measured")
    assert balances(session, [desk.reel.id])[desk.reel.id] == pytest.approx(5.0)


def test_what_is_owed_is_the_sum_of_its_charges(session: Session, desk: SmallDesk) -> None:
    for acting, minor in ((BEFORE, 700), (AFTER, 200)):
        add_charge(session, desk.event.id, desk.player.id, minor, acting=acting, text="Grip")
    assert [row.charged_minor for row in player_totals(session, desk.event)] == [900]


def test_logs_hand_overs_and_shift_notes_show_the_later_one_first(session: Session, desk: SmallDesk) -> None:
    form = desk.bag(2)
    for one, acting in zip(
        take_drop_off(session, desk.event.id, form, acting=BEFORE).jobs, (BEFORE, AFTER), strict=True
    ):
        string(session, desk, one, acting)
        hand_over(session, desk.event.id, [one.id], acting=acting, collected_by=f"coach {one.serial}")
        hand_shift_over(session, desk.event.id, f"after {one.serial}", acting=acting)
    assert [given.collected_by for given in last_given(session, desk.event)] == ["coach 2", "coach 1"]
    assert [note.words for note in notes(session, desk.event)] == ["after 2", "after 1"]
    assert "after 2" in notes(session, desk.event)[0].words
    assert log_lines(session, desk.event)[0].at == AFTER.at


def test_planning_goes_on_with_a_racquet_that_was_begun_in_the_hour_to_come(any_database: Database) -> None:
    with any_database.writing() as session:
        desk = small_desk(session)
        form = desk.bag(3)
        visit = take_drop_off(session, desk.event.id, form, acting=BEFORE)
        jobs.start_job(session, desk.event.id, visit.jobs[0].id, acting=BEFORE, **desk.bench())
        event_id, job_id = desk.event.id, visit.jobs[0].id
    plan_event(any_database, event_id, at=BEFORE.at, effort=QUICK)
    with any_database.writing() as session:
        moment = read_moment(session, event_id, AFTER.at)
    plan, _ = solve(moment, QUICK)
    assert solver.check_plan(moment.workload, plan) == []
    soon = moment.clock.to_minutes(AFTER.at) + 60
    assert {one.start < soon for one in plan.assignments} == {True}
    plan_event(any_database, event_id, at=AFTER.at, effort=QUICK)
    with any_database.writing() as session:
        event = session.get_one(Event, event_id)
        runs = session.scalars(select(PlanRun.id).order_by(PlanRun.id)).all()
        assert (event.current_run_id, event.planned_change_number) == (runs[-1], event.change_number)
        jobs.finish_job(session, event_id, job_id, ALL_CHECKED, acting=replace(AFTER, at=make.moment("Mon 11:30")))
        promises_so_far(session, event)
    plan_event(any_database, event_id, at=make.moment("Mon 11:31"), effort=QUICK)
