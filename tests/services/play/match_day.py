"""Two matches one after the other, and what follows the next day; jobs and touches of play on it."""

from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from desk.models import Event, Job, Match, Player
from desk.services.play import needed_by, play
from tests.make import acting, make_court, make_event, make_job, make_match, make_player, moment


class MatchDay:
    """Two matches one after the other, and the next day a match for the winner of the second."""

    def __init__(self, session: Session, **over: Any) -> None:
        self.session = session
        self.event: Event = make_event(session, **over)
        self.a, self.b, self.c, self.d, self.e = (make_player(session, self.event, name=name) for name in "ABCDE")
        self.court = make_court(session, self.event)
        today, tomorrow, _ = self.event.days
        self.first = make_match(session, self.court, day=today, players=(self.a, self.b), start="at 11:00")
        self.second = make_match(session, self.court, day=today, players=(self.c, self.d))
        self.next = make_match(session, self.court, day=tomorrow, players=(self.second, self.e), start="at 13:00")

    def job(self, player: Player, **over: Any) -> Job:
        return make_job(self.session, player, **over)

    def refresh(self, text: str) -> list[needed_by.NeededByChange]:
        return needed_by.refresh_needed_by(self.session, self.event, at=moment(text))

    def start(self, match: Match, text: str) -> list[needed_by.NeededByChange]:
        return play.start_match(self.session, self.event.id, match.id, acting=acting(text))

    def finish(self, match: Match, text: str, winner: int | None = None) -> list[needed_by.NeededByChange]:
        return play.finish_match(self.session, self.event.id, match.id, acting=acting(text), winner_side=winner)


def minutes_between(one: datetime | None, other: datetime | None) -> float:
    assert one is not None and other is not None
    return (other - one).total_seconds() / 60
