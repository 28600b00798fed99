"""While nobody has said when play goes on, no match says a time."""

from sqlalchemy.orm import Session

from desk.queries.play.play import order_of_play
from desk.services.play import play, play_stops
from tests.make import acting, make_court, make_match, make_player, moment
from tests.queries.play.semifinals import Semifinals


def times(session: Session, day: Semifinals, at: str) -> dict[str, str]:
    shown = order_of_play(session, day.event, moment(at))
    lines = [match for one in shown.days for court in one.courts for match in court.matches]
    return {line.code: line.fifty for line in lines if line.fifty}


def test_rain_without_an_end_takes_the_times_of_today(session: Session) -> None:
    day = Semifinals(session)
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:03"))
    play_stops.stop_play(session, day.event.id, acting=acting("Mon 12:00"))
    assert set(times(session, day, "Mon 12:00")) == {"F"}
    play_stops.resume_play(session, day.event.id, acting=acting("Mon 12:05"), resumes_at=moment("Mon 15:30"))
    assert times(session, day, "Mon 12:10").keys() == {"S1", "S2", "F"}
    assert min(times(session, day, "Mon 12:10").values()) >= "14:00"


def test_a_suspended_match_takes_the_times_of_its_court_alone(session: Session) -> None:
    day = Semifinals(session)
    other = make_court(session, day.event, name="North")
    players = [make_player(session, day.event) for _ in range(2)]
    make_match(session, other, day=day.event.days[0], players=players, start="not before 15:00", code="N1")
    play.start_match(session, day.event.id, day.first.id, acting=acting("Mon 11:03"))
    play.suspend(session, day.event.id, day.first.id, acting=acting("Mon 11:40"))
    assert times(session, day, "Mon 11:45").keys() == {"N1", "F"}
    play.resume(session, day.event.id, day.first.id, acting=acting("Mon 12:00"))
    assert times(session, day, "Mon 12:01").keys() == {"S2", "N1", "F"}
