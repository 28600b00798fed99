"""A bag counts the racquets that the player has strung for a match, not how often they were strung for it."""

import pytest
from sqlalchemy.orm import Session

from desk.models import Job
from desk.queries.counter.drop_off_preview import preview
from desk.services.bench.jobs import cancel_job
from desk.services.counter.drop_offs import take_drop_off
from desk.services.play.needed_by import refresh_needed_by
from tests import make
from tests.services.small_desk import SmallDesk, small_desk

NOON = make.acting("Mon 12:00")


@pytest.fixture
def desk(session: Session) -> SmallDesk:
    """A player whose three racquets were strung for a match to come, and fetched."""
    desk = small_desk(session)
    players = (desk.player, None)
    court = make.make_court(session, desk.event)
    make.make_match(session, court, day=desk.event.days[0], players=players, start="not before 20:00")
    visit = take_drop_off(session, desk.event.id, desk.bag(3), acting=make.acting("Mon 09:00"))
    assert [job.weight for job in visit.jobs] == [10, 5, 3]
    for job in visit.jobs:
        job.state, job.finished_at = "handed_over", make.moment("Mon 11:00")
    session.flush()
    return desk


def _again(session: Session, desk: SmallDesk, count: int) -> list[Job]:
    drafts = preview(session, desk.event, desk.bag(count, key="again"), NOON.at)
    jobs = take_drop_off(session, desk.event.id, desk.bag(count, key="again"), acting=NOON).jobs
    assert [draft.needed.weight for draft in drafts] == [job.weight for job in jobs]
    assert refresh_needed_by(session, desk.event, at=NOON.at) == []
    return jobs


def test_all_brought_again_for_the_match_leave_the_player_none(session: Session, desk: SmallDesk) -> None:
    assert [job.weight for job in _again(session, desk, 3)] == [10, 5, 3]


def test_what_stays_with_the_player_counts_before_what_is_brought_again(session: Session, desk: SmallDesk) -> None:
    (job,) = _again(session, desk, 1)
    assert job.weight == 3
    assert preview(session, desk.event, desk.form(desk.racquet_form(3)), NOON.at)[0].needed.weight == 3


def test_one_that_goes_back_as_it_is_counts_as_strung_again(session: Session, desk: SmallDesk) -> None:
    first, second = _again(session, desk, 2)
    assert [first.weight, second.weight] == [5, 3]
    cancel_job(session, desk.event.id, first.id, "as it is", acting=NOON)
    refresh_needed_by(session, desk.event, at=NOON.at)
    assert second.weight == 3


def test_a_racquet_strung_twice_for_the_match_counts_once(session: Session, desk: SmallDesk) -> None:
    for job in _again(session, desk, 3):
        job.state, job.finished_at = "handed_over", make.moment("Mon 13:00")
    (job,) = take_drop_off(session, desk.event.id, desk.bag(1, key="third"), acting=NOON).jobs
    assert job.weight == 3
    two = [desk.racquet_form(number) for number in range(3)]
    assert [one.needed.weight for one in preview(session, desk.event, desk.form(*two[1:]), NOON.at)] == [5, 3]
