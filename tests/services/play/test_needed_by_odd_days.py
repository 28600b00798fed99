"""Needed-by times of days without matches or times, of nights, and of a changed clock."""

from datetime import date, timedelta

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event
from desk.services.play import needed_by, play
from tests.make import acting, make_court, make_event, make_job, make_match, make_player, moment
from tests.services.play.match_day import MatchDay


def test_a_court_without_matches_and_an_empty_event_are_no_trouble(session: Session, event: Event) -> None:
    make_court(session, event)
    job = make_job(session, make_player(session, event))
    needed_by.refresh_needed_by(session, event, at=moment("Mon 09:00"))
    assert (job.needed_by_at, job.weight) == (None, 1)


def test_a_day_without_any_time_starts_no_sooner_than_the_desk_opens(session: Session, event: Event) -> None:
    player = make_player(session, event)
    make_match(session, make_court(session, event), day=event.days[0], players=(player, None))
    job = make_job(session, player)
    needed_by.refresh_needed_by(session, event, at=moment("Mon 06:00"))
    assert job.needed_by_at == moment("Mon 07:30")


def test_two_matches_at_one_place_of_a_court_are_refused(day: MatchDay) -> None:
    day.second.position = 1
    with pytest.raises(BadInput, match="both stand at position 1"):
        day.refresh("Mon 09:00")


def test_a_night_match_ends_after_midnight_and_the_next_follows_it(session: Session, event: Event) -> None:
    player = make_player(session, event)
    court = make_court(session, event)
    late = make_match(session, court, day=event.days[0], start="at 22:30")
    follows = make_match(session, court, day=event.days[0], players=(player, None))
    job = make_job(session, player)
    play.start_match(session, event.id, late.id, acting=acting("Mon 22:35"))
    play.finish_match(session, event.id, late.id, acting=acting("Tue 00:20"))
    assert job.match_id == follows.id
    assert moment("Tue 00:00") <= (job.needed_by_at or moment("Mon 00:00")) <= moment("Tue 00:20")


@pytest.mark.parametrize(
    ("first_day", "hours"),
    [(date(2031, 3, 29), 22), (date(2031, 10, 25), 24), (date(2031, 5, 10), 23)],
)
def test_the_night_of_a_clock_change_is_an_hour_shorter_or_longer(
    session: Session, first_day: date, hours: int
) -> None:
    # 12:00 to 11:00 the next day on the wall: 23 hours, one less in March, one more in October (EU rule).
    event = make_event(session, first_day=first_day, time_zone="Europe/Vienna")
    player = make_player(session, event)
    make_match(session, make_court(session, event), day=event.days[1], players=(player, None), start="at 11:30")
    noon = moment(f"{first_day} 12:00", first_day=first_day)
    job = make_job(session, player, dropped_at=noon)
    needed_by.refresh_needed_by(session, event, at=noon)
    assert job.needed_by_at == noon + timedelta(hours=hours)
