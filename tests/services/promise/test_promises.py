"""The ready time told to a player, and what becomes of it."""

from datetime import timedelta

import pytest
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from desk.errors import BadInput, Busy, Conflict
from desk.models import Event, LogEntry
from desk.models.database import Database
from desk.services.acting import lock_event
from desk.services.promise import promises
from tests.make import acting, make_event, moment
from tests.services.promise.one_bench import OneBench, told


@pytest.mark.parametrize("jobs_ahead", [0, 1, 4, 9])
@pytest.mark.parametrize("end", ["13:00", "13:01", "13:04"])
def test_a_promise_is_a_whole_five_minutes_after_the_planned_end(
    session: Session, event: Event, jobs_ahead: int, end: str
) -> None:
    ready_at = told(session, event, f"Mon {end}", jobs_ahead).ready_at
    assert ready_at > moment(f"Mon {end}")
    assert (ready_at.minute % 5, ready_at.second) == (0, 0)


def test_a_longer_queue_gets_a_wider_margin(session: Session, event: Event) -> None:
    found = [told(session, event, "Mon 13:00", ahead).ready_at for ahead in (0, 3, 9, 20)]
    assert found == sorted(set(found))


def test_an_event_that_wants_surer_promises_tells_later_times(session: Session) -> None:
    bold, sure = make_event(session, promise_per_cent=60), make_event(session, promise_per_cent=99)
    assert told(session, bold, "Mon 13:00", 5).ready_at < told(session, sure, "Mon 13:00", 5).ready_at


def test_a_given_promise_keeps_plan_margin_and_giver(session: Session, bench: OneBench) -> None:
    job = bench.job()
    expected = told(session, bench.event, "Mon 13:02", 2)
    given = promises.give_promise(session, bench.event, job, expected, acting=acting())
    assert (given.ready_at, given.planned_end_at, given.by) == (expected.ready_at, moment("Mon 13:02"), "lead")
    assert timedelta(minutes=given.margin_minutes) <= given.ready_at - moment("Mon 13:02")
    assert promises.current_promise(job) is given


def test_the_time_that_the_player_was_shown_is_the_one_kept(bench: OneBench) -> None:
    assert bench.promise(bench.job(), "13:20").ready_at == moment("Mon 13:20")


def test_a_changed_promise_stands_beside_the_old_one(session: Session, bench: OneBench) -> None:
    job = bench.job()
    first = bench.promise(job, "13:20")
    second = bench.promise(job, "13:50", at="Mon 13:00", reason="a machine failed")
    assert job.promises == [first, second]
    assert promises.current_promise(job) is second
    said = session.scalars(select(LogEntry.text).where(LogEntry.subject == "promises")).all()
    assert said == [f"{job.code} promised for Mon 13:50 instead of Mon 13:20: a machine failed"]


def test_the_same_promise_again_adds_nothing(bench: OneBench) -> None:
    job = bench.job()
    assert bench.promise(job, "13:20") is bench.promise(job, "13:20")
    assert len(job.promises) == 1


def test_a_time_that_has_passed_is_not_promised(bench: OneBench) -> None:
    with pytest.raises(BadInput, match="passed already"):
        bench.promise(bench.job(), "11:55")


def test_nothing_is_promised_of_a_racquet_that_is_done(bench: OneBench) -> None:
    with pytest.raises(Conflict, match="not in the queue"):
        bench.promise(bench.job(state="strung"), "13:20")


def test_a_new_promise_comes_from_the_plan_in_force(session: Session, bench: OneBench) -> None:
    before, job = bench.job(), bench.job()
    bench.plan([(before, "12:10", "12:32"), (job, "12:32", "12:54")])
    given = promises.renew_promise(session, bench.event.id, job.id, acting=acting(), reason="play moved")
    expected = told(session, bench.event, "Mon 12:54", 1).ready_at
    assert (given.ready_at, given.reason) == (expected, "play moved")


def test_a_new_promise_waits_for_whoever_changes_the_event(postgres: Database) -> None:
    with postgres.writing() as session:
        bench = OneBench(session)
        job = bench.job()
        bench.plan([(job, "12:10", "12:32")])
        event_id, job_id = bench.event.id, job.id
    with postgres.writing() as first, postgres.writing() as second:
        lock_event(first, event_id)
        second.execute(text("SET LOCAL lock_timeout = '200ms'"))
        with pytest.raises(Busy):
            promises.renew_promise(second, event_id, job_id, acting=acting())
        second.rollback()


def test_a_racquet_without_a_place_gets_no_reckoned_promise(session: Session, bench: OneBench) -> None:
    with pytest.raises(Conflict, match="no place in the plan"):
        promises.renew_promise(session, bench.event.id, bench.job().id, acting=acting())
