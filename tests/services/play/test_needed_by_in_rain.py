"""How the time by which a racquet is needed moves with rain and interruptions."""

from sqlalchemy.orm import Session

from desk.queries.play.forecasts import forecast_event
from desk.services.play import play, play_stops
from tests.make import acting, moment
from tests.services.play.match_day import MatchDay, minutes_between


def test_rain_relaxes_an_on_court_racquet_and_those_that_follow(session: Session, day: MatchDay) -> None:
    day.start(day.first, "Mon 11:00")
    on_court = day.job(day.a, dropped_at=moment("Mon 11:30"), on_court=True)
    follows = day.job(day.c)
    day.refresh("Mon 11:31")
    before = follows.needed_by_at
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:35"))
    play_stops.resume_play(session, day.event.id, acting=acting("Mon 11:40"), resumes_at=moment("Mon 14:00"))
    assert (on_court.needed_by_at, on_court.weight) == (moment("Mon 14:00"), 20)
    moved = minutes_between(before, follows.needed_by_at)
    # Play loses the 145 minutes of the stop; what was played before it counts.
    assert abs(moved - 145) <= 5


def test_rain_without_an_end_counts_with_play_after_a_short_notice(session: Session, day: MatchDay) -> None:
    job = day.job(day.a)
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 10:50"))
    day.refresh("Mon 12:00")
    # 15 minutes' notice at the least, less the lead of 30.
    assert job.needed_by_at == moment("Mon 11:45")


def test_the_minutes_of_an_interruption_are_no_play(session: Session, day: MatchDay) -> None:
    job = day.job(day.c)
    day.start(day.first, "Mon 11:00")
    day.refresh("Mon 11:40")
    without = job.needed_by_at
    play.suspend(session, day.event.id, day.first.id, acting=acting("Mon 11:40"))
    play.resume(session, day.event.id, day.first.id, acting=acting("Mon 13:40"))
    assert abs(minutes_between(without, job.needed_by_at) - 120) <= 1


def test_a_roofed_court_plays_on_during_the_rain(session: Session, day: MatchDay) -> None:
    day.start(day.first, "Mon 11:00")
    job = day.job(day.c)
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 11:35"))
    stopped = job.needed_by_at
    play.resume(session, day.event.id, day.first.id, acting=acting("Mon 11:45"))
    day.refresh("Mon 12:30")
    moved = job.needed_by_at
    day.refresh("Mon 12:31")
    assert (stopped, moved) != (None, None)
    assert day.first.state == "on_court"
    assert forecast_event(session, day.event, moment("Mon 12:30")).starts[day.first.id].end.first <= 752
