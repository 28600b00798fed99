"""What the promises of an event so far teach about its margins."""

from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Job, Promise
from desk.queries.promise.promises_so_far import promises_so_far
from tests.make import moment
from tests.services.promise.one_bench import OneBench


def promised(given: str, *, planned_end: str, ready: str) -> Promise:
    times = {"given_at": moment(given), "planned_end_at": moment(planned_end), "ready_at": moment(ready)}
    return Promise(by="desk", margin_minutes=10, **times)


def teach(bench: OneBench, delays: list[int]) -> float:
    """Let promises of a margin of 10 minutes end DELAYS after their planned end; return what that taught."""
    for delay in delays:
        job = bench.job(state="strung", finished_at=moment("Mon 11:00") + timedelta(minutes=delay))
        job.promises.append(promised("Mon 09:00", planned_end="Mon 11:00", ready="Mon 11:10"))
    bench.session.flush()
    bench.event.change_number += 1
    return promises_so_far(bench.session, bench.event).correction


def test_an_event_whose_racquets_come_late_widens_its_margins(session: Session) -> None:
    assert teach(OneBench(session), [18] * 40) > 1.3


def test_an_event_whose_racquets_come_early_narrows_its_margins(session: Session) -> None:
    assert teach(OneBench(session), [-5] * 60) < 1


def test_one_promise_teaches_less_than_many(bench: OneBench) -> None:
    assert 1 < teach(bench, [18]) < teach(bench, [18] * 39)


def test_only_the_first_promise_of_a_racquet_teaches(session: Session, bench: OneBench) -> None:
    teach(bench, [18] * 40)
    for job in session.scalars(select(Job)):
        job.promises.append(promised("Mon 11:05", planned_end="Mon 11:20", ready="Mon 11:30"))
    session.flush()
    before = promises_so_far(session, bench.event)
    bench.event.change_number += 1
    assert promises_so_far(session, bench.event) == before
    assert before.promises == 40


def test_a_time_told_for_the_need_itself_teaches_nothing(session: Session, bench: OneBench) -> None:
    teach(bench, [18] * 40)
    for job in session.scalars(select(Job)):
        job.needed_by_at = moment("Mon 11:10")
    session.flush()
    bench.event.change_number += 1
    assert promises_so_far(session, bench.event).promises == 0


def test_a_racquet_from_the_court_teaches_nothing(session: Session, bench: OneBench) -> None:
    teach(bench, [18] * 40)
    for job in session.scalars(select(Job)):
        job.on_court = True
    session.flush()
    bench.event.change_number += 1
    assert promises_so_far(session, bench.event).promises == 0
