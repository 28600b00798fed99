"""All courts stop and go on: another time when the first has come and gone, and each word taken back."""

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import PlayStop
from desk.queries.play.play import OrderOfPlay, order_of_play
from desk.queries.play.play_records import play_matches, read_play
from desk.services.play import play, play_stops
from tests.make import acting, make_court, make_event, make_job, make_match, make_player, moment


class Rain:
    """Two courts with a match in play on each, stopped at 11:40; C and D follow on Court 1."""

    def __init__(self, session: Session) -> None:
        self.session, self.event = session, make_event(session)
        self.a, self.b, self.c, self.d, self.e, self.f = (make_player(session, self.event, name=n) for n in "ABCDEF")
        day = self.event.days[0]
        court, other = (make_court(session, self.event) for _ in range(2))
        self.first = make_match(session, court, day=day, players=(self.a, self.b), start="at 11:00")
        self.next = make_match(session, court, day=day, players=(self.c, self.d))
        self.other = make_match(session, other, day=day, players=(self.e, self.f), start="at 11:00")
        for match in (self.first, self.other):
            play.start_match(session, self.event.id, match.id, acting=acting("Mon 11:00"))
        play_stops.stop_play(session, self.event.id, acting=acting("Mon 11:40"))

    def resume(self, text: str, at: str | None = None) -> None:
        resumes_at = moment(at) if at else None
        play_stops.resume_play(self.session, self.event.id, acting=acting(text), resumes_at=resumes_at)

    def take_back(self, text: str) -> None:
        play_stops.take_back_stop(self.session, self.event.id, acting=acting(text))

    def shown(self, text: str) -> OrderOfPlay:
        self.session.flush()
        return order_of_play(self.session, self.event, moment(text))

    @property
    def states(self) -> tuple[str, str]:
        return self.first.state, self.other.state


@pytest.fixture
def rain(session: Session) -> Rain:
    return Rain(session)


def test_a_time_that_came_and_went_can_be_named_again(rain: Rain) -> None:
    rain.resume("Mon 12:00", "Mon 12:30")
    shown = rain.shown("Mon 12:35")
    assert (shown.is_overdue, shown.stopped_since, shown.resumes) == (True, "11:40", "12:30")
    rain.resume("Mon 12:35", "Mon 13:00")
    assert not rain.shown("Mon 12:40").is_overdue
    rain.resume("Mon 13:02")
    assert rain.states == ("on_court", "on_court")
    assert rain.shown("Mon 13:02").stopped_since == ""


def test_play_that_has_gone_on_is_not_stopped(rain: Rain) -> None:
    rain.resume("Mon 12:30")
    with pytest.raises(Conflict, match="not stopped"):
        rain.resume("Mon 12:50", "Mon 13:30")


def test_a_match_played_on_alone_ends_the_wait(session: Session, rain: Rain) -> None:
    rain.resume("Mon 12:00", "Mon 12:30")
    play.resume(session, rain.event.id, rain.first.id, acting=acting("Mon 12:31"))
    assert not rain.shown("Mon 12:35").is_overdue


def test_a_stop_touched_by_mistake_is_taken_back(session: Session, rain: Rain) -> None:
    job = make_job(session, rain.c)
    before = rain.shown("Mon 11:42")
    assert before.take_back == "stop"
    rain.take_back("Mon 11:42")
    assert rain.states == ("on_court", "on_court")
    assert [match.paused_min for match in _play_matches(rain)] == [0, 0, 0]
    assert session.scalar(select(func.count()).select_from(PlayStop)) == 0
    assert job.needed_by_at is not None
    assert rain.shown("Mon 11:42").take_back == ""


def test_resuming_touched_by_mistake_is_taken_back(rain: Rain) -> None:
    rain.resume("Mon 12:10")
    assert rain.shown("Mon 12:12").take_back == "resumes"
    rain.take_back("Mon 12:12")
    assert rain.states == ("suspended", "suspended")
    assert rain.shown("Mon 12:12").resumes == "not known"


def test_a_time_named_by_mistake_is_taken_back(rain: Rain) -> None:
    rain.resume("Mon 12:00", "Mon 13:00")
    rain.take_back("Mon 12:05")
    assert rain.shown("Mon 12:05").resumes == "not known"
    rain.take_back("Mon 12:06")
    assert rain.states == ("on_court", "on_court")


def test_nothing_is_taken_back_once_a_match_was_played_since(session: Session, rain: Rain) -> None:
    rain.resume("Mon 12:10")
    play.finish_match(session, rain.event.id, rain.first.id, acting=acting("Mon 12:11"))
    play.start_match(session, rain.event.id, rain.next.id, acting=acting("Mon 12:20"))
    with pytest.raises(Conflict, match="played since"):
        rain.take_back("Mon 12:21")


def test_a_match_suspended_before_the_rain_stays_so(session: Session, rain: Rain) -> None:
    rain.take_back("Mon 11:41")
    play.suspend(session, rain.event.id, rain.first.id, acting=acting("Mon 11:45"))
    play_stops.stop_play(session, rain.event.id, acting=acting("Mon 11:50"))
    rain.take_back("Mon 11:51")
    assert rain.states == ("suspended", "on_court")


def _play_matches(rain: Rain):
    rain.session.flush()
    return play_matches(read_play(rain.session, rain.event), 600)
