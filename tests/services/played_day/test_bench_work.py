"""The invented hands at the benches: what they finish, and what they leave to whoever watches."""

import pytest
from sqlalchemy.orm import Session

from desk.models import Job
from desk.services.bench import jobs
from desk.services.played_day.bench_work import BenchWork
from desk.services.team import team
from tests import make
from tests.services.small_desk import SmallDesk

SICK, DONE = make.acting("Mon 12:10"), make.moment("Mon 12:40")


@pytest.fixture
def begun(session: Session, desk: SmallDesk) -> Job:
    job = make.make_job(session, desk.player, racquet=desk.racquets[0])
    return jobs.start_job(session, desk.event.id, job.id, acting=make.acting("Mon 12:00"), **desk.bench())


@pytest.mark.parametrize(("asks", "state"), [(True, "on_machine"), (False, "strung")])
def test_a_sick_stringer_s_racquet_waits_where_somebody_can_be_asked(
    session: Session, desk: SmallDesk, begun: Job, asks: bool, state: str
) -> None:
    team.call_in_absent(session, desk.event.id, desk.stringers[0].id, acting=SICK, reason="sick")
    hands = BenchWork(desk.event.id, asks=asks)
    assert (hands.next_at(session, SICK.at) is None) is asks
    assert (hands.act(session, DONE), begun.state) == ([], state)


def test_a_racquet_that_somebody_works_on_is_finished(session: Session, desk: SmallDesk, begun: Job) -> None:
    BenchWork(desk.event.id, asks=True).act(session, DONE)
    assert begun.state == "strung"
