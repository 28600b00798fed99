"""One each first (common practice): which racquet matters, which follow to the court, and both taken back."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Job, Promise
from desk.queries.play.said_racquets import beyond_one_each, racquets_of_match, said_racquets
from desk.services.play import play, what_matters
from desk.services.play.needed_by import refresh_needed_by
from tests import make
from tests.services.play.match_day import MatchDay

NOON = make.acting("Mon 10:00")


def _bag(session: Session, count: int = 3) -> tuple[MatchDay, list[Job]]:
    day = MatchDay(session)
    jobs = [day.job(day.a) for _ in range(count)]
    day.refresh("Mon 10:00")
    assert [job.weight for job in jobs] == [10, 5, 3][:count]
    return day, jobs


def test_the_racquet_that_matters_counts_as_the_first_of_its_bag(session: Session) -> None:
    day, jobs = _bag(session)
    what_matters.matters_most(session, day.event.id, jobs[2].id, acting=NOON)
    assert [job.weight for job in jobs] == [5, 3, 10]
    what_matters.matters_most(session, day.event.id, jobs[1].id, acting=NOON)
    assert [(job.weight, job.matters) for job in jobs] == [(5, ""), (10, "first"), (3, "")]
    what_matters.take_back(session, day.event.id, [jobs[1].id], acting=NOON)
    assert [job.weight for job in jobs] == [10, 5, 3]


def test_it_counts_as_the_first_even_where_the_player_has_others_already(session: Session) -> None:
    day, jobs = _bag(session)
    jobs[0].state = "strung"
    session.flush()
    what_matters.matters_most(session, day.event.id, jobs[2].id, acting=NOON)
    assert [job.weight for job in jobs[1:]] == [3, 10]


def test_what_follows_to_the_court_is_wanted_an_hour_later_and_moves_with_play(session: Session) -> None:
    day, jobs = _bag(session)
    before = jobs[1].needed_by_at
    what_matters.follow_to_the_court(session, day.event.id, [jobs[1].id, jobs[2].id], acting=NOON)
    assert jobs[1].needed_by_at - before == timedelta(hours=1)
    assert [job.weight for job in jobs] == [10, 3, 3]
    assert jobs[1].needed_by_why.endswith("It follows to the court during the match.")
    day.first.start_at = make.moment("Mon 12:00")
    day.refresh("Mon 10:05")
    assert jobs[1].needed_by_at - before == timedelta(hours=2)
    play.start_match(session, day.event.id, day.first.id, acting=make.acting("Mon 12:04"))
    assert jobs[0].needed_by_at == make.moment("Mon 12:04")
    assert (jobs[1].needed_by_at, jobs[1].weight) == (make.moment("Mon 12:34"), 3)


def test_taken_back_all_is_as_before_promise_and_all(session: Session) -> None:
    day, (first, second) = _bag(session, 2)
    told = Promise(ready_at=make.moment("Mon 10:20"), given_at=NOON.at, by="desk", planned_end_at=NOON.at)
    second.promises.append(told)
    before = second.needed_by_at, second.latest_at, second.weight
    what_matters.follow_to_the_court(session, day.event.id, [second.id], acting=NOON)
    assert second.promises[-1].reason == what_matters.FOLLOWS
    assert second.promises[-1].ready_at == second.needed_by_at
    what_matters.take_back(session, day.event.id, [first.id, second.id], acting=make.acting("Mon 10:01"))
    assert (second.needed_by_at, second.latest_at, second.weight, second.matters) == (*before, "")
    assert second.promises[-1].ready_at == make.moment("Mon 10:20")


def test_a_time_that_the_desk_fixed_moves_and_comes_back_too(session: Session) -> None:
    day = MatchDay(session)
    fixed = make.moment("Mon 15:00")
    job = day.job(day.a, needed_by_kind="time", needed_by_at=fixed, latest_at=fixed)
    what_matters.follow_to_the_court(session, day.event.id, [job.id], acting=NOON)
    what_matters.follow_to_the_court(session, day.event.id, [job.id], acting=NOON)
    assert job.needed_by_at == make.moment("Mon 16:00")
    what_matters.take_back(session, day.event.id, [job.id], acting=NOON)
    assert job.needed_by_at == fixed


def test_what_was_said_holds_for_that_match_alone(session: Session) -> None:
    day = MatchDay(session)
    job = day.job(day.c, dropped_at=make.moment("Mon 09:00"))
    day.refresh("Mon 10:00")
    what_matters.follow_to_the_court(session, day.event.id, [job.id], acting=NOON)
    assert said_racquets(session, day.event) == racquets_of_match(session, day.event, day.second.id)
    day.start(day.first, "Mon 11:00")
    day.finish(day.first, "Mon 12:30", winner=1)
    day.start(day.second, "Mon 12:50")
    day.finish(day.second, "Mon 14:30", winner=1)
    refresh_needed_by(session, day.event, at=make.moment("Mon 14:31"))
    assert (job.match_id, job.matters, job.weight) == (day.next.id, "", 10)


def test_nothing_of_it_can_be_said_of_one_from_the_court_or_on_a_machine(session: Session) -> None:
    day, jobs = _bag(session)
    jobs[0].state = "on_machine"
    court = day.job(day.b, on_court=True)
    day.refresh("Mon 10:00")
    with pytest.raises(Conflict, match="is on the machine"):
        what_matters.matters_most(session, day.event.id, jobs[0].id, acting=NOON)
    with pytest.raises(Conflict, match="wanted at once"):
        what_matters.follow_to_the_court(session, day.event.id, [court.id], acting=NOON)


def test_one_each_leaves_the_one_that_matters_and_none_to_who_has_one(session: Session) -> None:
    day, jobs = _bag(session)
    others = [day.job(day.b, state="strung"), day.job(day.b)]
    day.refresh("Mon 10:00")
    others[0].match_id = day.first.id
    session.flush()

    def rest() -> set[int]:
        return {one.job_id for one in beyond_one_each(session, day.event, day.first.id)}

    assert rest() == {jobs[1].id, jobs[2].id, others[1].id}
    what_matters.matters_most(session, day.event.id, jobs[2].id, acting=NOON)
    assert rest() == {jobs[0].id, jobs[1].id, others[1].id}
    what_matters.follow_to_the_court(session, day.event.id, sorted(rest()), acting=NOON)
    assert rest() == set()
