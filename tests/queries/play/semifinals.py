"""Two semi-finals on one court today, and the final tomorrow."""

from sqlalchemy.orm import Session

from desk.models import Event
from tests.make import make_court, make_event, make_match, make_player


class Semifinals:
    """Court 1 with two matches, Court 2 without any; the final on the next day."""

    def __init__(self, session: Session) -> None:
        self.event: Event = make_event(session, days=2)
        self.players = [make_player(session, self.event, name=name) for name in "ABCD"]
        self.court = make_court(session, self.event, name="Centre")
        make_court(session, self.event, name="Garden")
        a, b, c, d = self.players
        today, tomorrow = self.event.days
        self.first = make_match(session, self.court, day=today, players=(a, b), start="at 11:00", code="S1")
        self.second = make_match(session, self.court, day=today, players=(c, d), code="S2")
        self.final = make_match(
            session, self.court, day=tomorrow, players=(self.first, self.second), start="not before 14:00", code="F"
        )
