"""How the time by which a racquet is needed moves as matches are played, won and lost."""

from sqlalchemy.orm import Session

from desk.services.play import needed_by, play
from tests.make import acting, moment
from tests.services.play.match_day import MatchDay


def test_a_walkover_before_makes_the_next_racquets_urgent(session: Session, day: MatchDay) -> None:
    day.event.rest_minutes = 0
    job = day.job(day.c)
    day.refresh("Mon 09:00")
    before = job.needed_by_at
    (change,) = play.walkover(session, day.event.id, day.first.id, acting=acting("Mon 10:00"))
    assert (change.job, change.before, change.after) == (job, before, moment("Mon 10:30"))
    assert change.is_urgent


def test_a_long_match_relaxes_the_racquets_after_it(day: MatchDay) -> None:
    job = day.job(day.c)
    day.start(day.first, "Mon 11:00")
    before = job.needed_by_at
    (change,) = day.refresh("Mon 13:00")
    assert not change.is_urgent
    # Still on at 13:00: the court needs 15 minutes at the least, and the racquet its lead of 30.
    assert moment("Mon 12:45") <= (job.needed_by_at or before) <= moment("Mon 13:30")


def test_a_winner_plays_on_and_a_loser_does_not(day: MatchDay) -> None:
    winner, loser = day.job(day.c), day.job(day.d)
    day.start(day.first, "Mon 11:00")
    day.finish(day.first, "Mon 12:30", 1)
    day.start(day.second, "Mon 12:50")
    assert [winner.weight, loser.weight] == [20, 20]
    day.finish(day.second, "Mon 14:40", 1)
    assert (winner.needed_by_at, winner.match_id, winner.weight) == (moment("Tue 12:30"), day.next.id, 10)
    assert (loser.needed_by_at, loser.match_id, loser.weight) == (None, None, 1)
    assert loser.needed_by_why == (
        f"Match {day.second.code} is lost and no further match of the player stands in the order of play."
    )


def test_both_keep_the_next_match_while_the_winner_is_unknown(day: MatchDay) -> None:
    jobs = [day.job(day.c), day.job(day.d)]
    day.start(day.second, "Mon 11:00")
    day.finish(day.second, "Mon 12:30")
    assert [job.needed_by_at for job in jobs] == [moment("Tue 12:30")] * 2
    assert jobs[0].needed_by_why.startswith(f"With a win in {day.second.code}: Match {day.next.code}")


def test_taking_back_the_end_brings_the_match_back(session: Session, day: MatchDay) -> None:
    job = day.job(day.d)
    day.start(day.second, "Mon 11:00")
    day.finish(day.second, "Mon 12:30", 1)
    play.undo_last_change(session, day.event.id, day.second.id, acting=acting("Mon 12:31"))
    assert (job.match_id, job.weight) == (day.second.id, 20)


def test_a_racquet_dropped_off_during_the_match_is_for_the_next_one(day: MatchDay) -> None:
    day.start(day.second, "Mon 11:00")
    job = day.job(day.c, dropped_at=moment("Mon 11:30"))
    day.refresh("Mon 11:30")
    assert (job.match_id, job.weight) == (day.next.id, 10)


def test_an_on_court_racquet_is_needed_at_once(day: MatchDay) -> None:
    day.start(day.first, "Mon 11:00")
    job = day.job(day.a, dropped_at=moment("Mon 11:30"), on_court=True, needed_by_kind="time")
    day.refresh("Mon 11:31")
    assert (job.needed_by_at, job.weight, job.match_id) == (moment("Mon 11:45"), 20, day.first.id)
    day.refresh("Mon 11:50")
    assert job.needed_by_at == moment("Mon 11:45")


def test_an_on_court_racquet_is_urgent_though_nobody_marked_the_start(day: MatchDay) -> None:
    job = day.job(day.a, dropped_at=moment("Mon 11:30"), on_court=True)
    day.refresh("Mon 11:31")
    assert (job.needed_by_at, job.weight) == (moment("Mon 11:45"), 20)


def test_an_on_court_racquet_goes_on_to_the_next_match_when_its_match_ends(day: MatchDay) -> None:
    day.start(day.second, "Mon 11:00")
    jobs = [day.job(p, dropped_at=moment("Mon 11:30"), on_court=True) for p in (day.c, day.d)]
    day.refresh("Mon 11:31")
    changes = day.finish(day.second, "Mon 11:40", 1)
    assert [(job.needed_by_at, job.weight) for job in jobs] == [(moment("Tue 12:30"), 10), (None, 1)]
    assert [change.is_urgent for change in changes] == [False, False]


def test_a_new_on_court_racquet_is_needed_at_once(session: Session, day: MatchDay) -> None:
    day.start(day.first, "Mon 11:00")
    found = needed_by.needed_by_for(session, day.event, day.a.id, kind="on_court", at=moment("Mon 11:30"))
    assert (found.at, found.weight, found.match_id) == (moment("Mon 11:45"), 20, day.first.id)
