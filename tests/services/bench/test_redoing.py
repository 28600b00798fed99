"""A racquet that is strung again has a ready time of its own at once."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Job
from desk.queries.counter.job_cards import card_by_code
from desk.services.bench import jobs
from desk.services.bench.redoing import string_again
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.make import acting
from tests.services.small_desk import ALL_CHECKED, SmallDesk, small_desk

NOW, LATER = acting("Mon 10:00"), acting("Mon 11:00", by="front desk")


def strung(session, desk: SmallDesk, **over: object) -> Job:
    """Return a racquet that came at 10:00, was promised, and is strung."""
    at = (session, desk.event.id)
    (job,) = take_drop_off(*at, desk.form(desk.racquet_form(0)), acting=NOW).jobs
    for name, value in over.items():
        setattr(job, name, value)
    jobs.start_job(*at, job.id, acting=NOW, **desk.bench())
    return jobs.finish_job(*at, job.id, ALL_CHECKED, acting=NOW)


def test_a_redo_is_promised_its_own_time_and_the_first_promise_stays(any_session: Session) -> None:
    desk = small_desk(any_session)
    first = strung(any_session, desk)
    told = [one.ready_at for one in first.promises]
    again = string_again(any_session, desk.event.id, first.id, "a cross was missed", acting=LATER)
    (promise,) = again.promises
    # Free benches: it is begun at once, so the work and a margin, as for a racquet over the counter.
    assert promise.planned_end_at == LATER.at + timedelta(minutes=again.house_minutes)
    assert promise.planned_end_at <= promise.ready_at <= LATER.at + timedelta(hours=2)
    assert (promise.given_at, promise.by) == (LATER.at, "front desk")
    assert [one.ready_at for one in first.promises] == told
    assert card_by_code(any_session, desk.event.id, again.code).promised_at == promise.ready_at


def test_a_redo_that_was_needed_long_ago_is_promised_a_time_to_come(session: Session, desk: SmallDesk) -> None:
    first = strung(session, desk, needed_by_kind="time", needed_by_at=make.moment("Mon 10:30"))
    again = string_again(session, desk.event.id, first.id, "a cross was missed", acting=LATER)
    assert [one.ready_at > LATER.at for one in again.promises] == [True]


@pytest.mark.parametrize(("reason", "fault"), [(" ", BadInput), ("once more", Conflict)])
def test_a_redo_that_is_refused_leaves_no_job(
    session: Session, desk: SmallDesk, reason: str, fault: type[Exception]
) -> None:
    first = strung(session, desk)
    string_again(session, desk.event.id, first.id, "a cross was missed", acting=LATER)
    with pytest.raises(fault):
        string_again(session, desk.event.id, first.id, reason, acting=LATER)
    assert session.scalar(select(func.count()).select_from(Job)) == 2
